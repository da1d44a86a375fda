package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"limn/cue"
	"limn/cue/operate"
	"limn/dmx"
	"limn/dmx/pace"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// fadeOutWithin bounds the fade to dark at the end of a run.
const fadeOutWithin = 10 * time.Second

// stage is a shoot being played on outputs: the engine that makes the frames
// and the loop that sends them.
type stage struct {
	shoot    *cue.Shoot
	engine   *operate.Engine
	loop     *pace.Loop
	outs     []*parting
	universe []dmx.Universe
	renderer *fixtures.Renderer // for the dark frames of the end
	tape     *tape              // the latest frames

	ctx    context.Context // of what goes on beside the frames, until the end
	stop   context.CancelFunc
	done   chan error
	warmed sync.WaitGroup
}

// policies gives the on-exit policy of each output by name.
func policies(shoot *cue.Shoot) map[string]string {
	m := map[string]string{}
	for _, o := range shoot.Outputs {
		m[o.Name] = o.OnExit
	}
	return m
}

// newStage puts a shoot on outputs; it owns them from here on. policy gives each
// output's on-exit policy by name.
func newStage(shoot *cue.Shoot, outs []opened, policy map[string]string, opt operate.Options, onEvent func(pace.Event)) (*stage, error) {
	engine, err := operate.New(shoot, opt)
	if err != nil {
		closeAll(outs)
		return nil, err
	}
	return stageFor(engine, 0, outs, policy, onEvent)
}

// stageFor is newStage with an engine that has been made already, whose next frame is first.
func stageFor(engine *operate.Engine, first int64, outs []opened, policy map[string]string, onEvent func(pace.Event)) (*stage, error) {
	shoot := engine.Shoot()
	s := &stage{shoot: shoot, engine: engine, done: make(chan error, 1)}
	ready := false
	defer func() {
		if !ready {
			closeAll(outs)
		}
	}()
	var err error
	if s.renderer, err = fixtures.NewRenderer(shoot.Rig); err != nil {
		return nil, err
	}
	s.universe = universes(s.engine.Universes())
	s.tape = newTape(len(s.universe))
	wrapped := make([]dmx.Output, len(outs))
	for i, o := range outs {
		p := newParting(o, policy[o.Name()])
		s.outs = append(s.outs, p)
		wrapped[i] = p
	}
	s.loop, err = pace.New(pace.Config{
		Universes: s.universe, Outputs: wrapped, Fill: s.tape.fill(s.engine.Fill), FirstK: first,
		KeepAlive: loopKeepAlive(shoot), OnEvent: onEvent,
	})
	if err != nil {
		return nil, err
	}
	ready = true
	return s, nil
}

// start begins to ask for frames; nothing is sent before the first command.
func (s *stage) start() {
	// The loop outlives the command's own context: after Ctrl-C the lights
	// still get the end their outputs ask for.
	ctx, cancel := context.WithCancel(context.Background())
	s.ctx, s.stop = ctx, cancel
	go func() { s.done <- s.loop.Run(ctx) }()
	// So that no cue has to be worked out when it is called.
	s.warmed.Go(func() {
		s.engine.Warm(ctx)
		s.engine.Attend(ctx)
	})
}

// beside has something done off the frame thread until the end of the stage, which has started.
func (s *stage) beside(work func(context.Context)) {
	s.warmed.Go(func() { work(s.ctx) })
}

// now is the frame that the light is at; ok from the first command on.
func (s *stage) now() (k int64, ok bool) {
	var snap cue.Snapshot
	s.engine.Snapshot(&snap)
	return snap.K, snap.Cue >= 0
}

// end closes the run by each output's policy and waits until the last frame is out.
func (s *stage) end() error {
	var snap cue.Snapshot
	s.engine.Snapshot(&snap)
	frames, fades := s.darkFrames(snap.Azimuth), false
	for _, p := range s.outs {
		p.end(pick(frames, s.universe, p.Universes()))
		fades = fades || p.policy == cue.FadeOut
	}
	if fades && snap.Cue >= 0 {
		s.fadeOut(&snap)
	}
	s.stop()
	s.warmed.Wait()
	return <-s.done
}

// unreached is an error if light was called and no output gets it out: whoever left
// a run alone must not take it for a success.
func (s *stage) unreached() error {
	var snap cue.Snapshot
	if s.engine.Snapshot(&snap); snap.Cue < 0 {
		return nil
	}
	var down []string
	for _, o := range s.loop.Counters().Outputs {
		if o.Status.Up {
			return nil
		}
		down = append(down, fmt.Sprintf("%s (%s)", o.Name, o.Status.Where))
	}
	return failuref(statusUnreachable, "see what was said of each output above",
		"the light does not get out: down at the end %s", strings.Join(down, ", "))
}

// fadeOut goes dark and waits for it, within reason.
func (s *stage) fadeOut(snap *cue.Snapshot) {
	reply := s.engine.Do(operate.Command{Verb: operate.Dark})
	tick := time.NewTicker(pace.Offset(1))
	defer tick.Stop()
	limit := time.NewTimer(fadeOutWithin)
	defer limit.Stop()
	for {
		select {
		case <-limit.C:
			return
		case <-tick.C:
			if s.engine.Snapshot(snap); snap.K >= reply.K && snap.Motion == cue.Dark && snap.Progress >= 1 {
				return
			}
		}
	}
}

// darkFrames are the slots of a rig that gives no light, its table standing at
// azimuth: fixed values hold, motors stop.
func (s *stage) darkFrames(azimuth float64) []dmx.Frame {
	// What is sent is what the run began with, even where its rig has changed since.
	own := universes(s.renderer.Universes())
	frames := make([]dmx.Frame, len(own))
	s.renderer.Render(&fixtures.State{
		Light: make([]colour.XYZ, len(s.shoot.Rig.Sources)), Azimuth: azimuth,
	}, frames)
	return pick(frames, own, s.universe)
}

// pick gives the frames of some universes, out of those of all.
func pick(frames []dmx.Frame, all, some []dmx.Universe) []dmx.Frame {
	out := make([]dmx.Frame, len(some))
	for i, u := range some {
		if j := slices.Index(all, u); j >= 0 {
			out[i] = frames[j]
		}
	}
	return out
}
