package main

import (
	"context"
	"slices"
	"sync/atomic"

	"limn/cue"
	"limn/cue/flash"
	"limn/cue/operate"
	"limn/dmx"
	"limn/dmx/pace"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// calmFrames is how long light must have been within the flash rule for its warning to be
// taken back: ten seconds.
const calmFrames = 10 * pace.Rate

// flashGuard judges every frame that is sent by the flash rule, on a goroutine of its own, from the
// light that the slots give. It ends an automatic sequence that flashes too often,
// unless the files allow it; an operator's own keys are only warned of.
type flashGuard struct {
	engine *operate.Engine
	tape   *tape
	byHand *atomic.Int64 // the frame in which the operator last changed light

	shoot     *cue.Shoot // that the detector was made for
	reader    *fixtures.Renderer
	detector  *flash.Detector
	universes []dmx.Universe // of the tape
	own       []dmx.Universe // of the reader
	frames    []dmx.Frame
	light     []colour.XYZ

	next   int64  // frame to be judged
	warned string // that stands
	since  int64  // frame in which it was last found
}

func newFlashGuard(e *operate.Engine, t *tape, byHand *atomic.Int64) *flashGuard {
	us := universes(e.Universes())
	return &flashGuard{engine: e, tape: t, byHand: byHand, universes: us, frames: make([]dmx.Frame, len(us))}
}

// work goes on until ctx ends.
func (g *flashGuard) work(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-g.tape.fresh:
		}
		newest := g.tape.newest.Load()
		// What was forgotten meanwhile counts as the frame before it.
		for g.next = max(g.next, newest-tapeFrames+1); g.next <= newest; g.next++ {
			g.judge(g.next)
		}
	}
}

// judge judges one frame.
func (g *flashGuard) judge(k int64) {
	if !g.tape.at(k, g.frames) || !g.fit() {
		return
	}
	frames := g.frames
	if !slices.Equal(g.own, g.universes) {
		frames = pick(g.frames, g.universes, g.own)
	}
	g.reader.Read(frames, g.light)
	if f := g.detector.Add(k, g.light); f.Found {
		g.found(f)
	} else if g.warned != "" && k-g.since > calmFrames {
		g.engine.Warn(g.warned, true)
		g.warned = ""
	}
}

// fit makes a detector for the shoot that is played.
func (g *flashGuard) fit() bool {
	shoot := g.engine.Shoot()
	if shoot == g.shoot {
		return g.detector != nil
	}
	g.shoot, g.detector = shoot, nil
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil { // the engine could: it has compiled the same
		return false
	}
	g.reader, g.own = r, universes(r.Universes())
	g.light = make([]colour.XYZ, len(shoot.Rig.Sources))
	g.detector = flash.New(pace.Rate, flash.Weights(shoot.Rig))
	return true
}

// found acts on light that flashes too often.
func (g *flashGuard) found(f flash.Finding) {
	g.since = f.K
	name := ""
	if f.Source >= 0 {
		name = g.shoot.Rig.Sources[f.Source].Name
	}
	text := f.Say(name)
	var snap cue.Snapshot
	g.engine.Snapshot(&snap)
	q := sequenceNamed(g.shoot, snap.Sequence)
	switch {
	case q == nil || q.By == cue.ByStep || f.K-g.byHand.Load() < pace.Rate:
	case g.shoot.AllowFlashing:
		text += " in " + q.Name
	default:
		if q.By == cue.ByAngle {
			g.engine.Do(operate.Command{Verb: operate.Hold}) // the light would follow the table on
		}
		g.engine.Do(operate.Command{Verb: operate.Stop})
		text += "; " + q.Name + " is stopped, the light stays"
	}
	text += ". " + flash.Caution
	if text == g.warned {
		return
	}
	if g.warned != "" {
		g.engine.Warn(g.warned, true)
	}
	g.warned = text
	g.engine.Warn(text, false)
}

// sequenceNamed is a sequence of a shoot; nil for none.
func sequenceNamed(s *cue.Shoot, name string) *cue.Sequence {
	i := slices.IndexFunc(s.Sequences, func(q cue.Sequence) bool { return q.Name == name })
	if i < 0 {
		return nil
	}
	return &s.Sequences[i]
}

// ownKey says whether a verb is an operator's own hand on the light, so that what flashes
// after it is theirs.
func ownKey(v operate.Verb) bool {
	switch v {
	case operate.Play, operate.Stop, operate.Confirm, operate.Rolling, operate.Cut, operate.Again, operate.Missed, operate.Picture,
		operate.Note, operate.Approve, operate.Attach:
		return false
	}
	return true
}
