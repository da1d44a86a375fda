package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/pace"
)

// How a light is shown: one swell in two seconds, half a flash a second where three can trigger
// seizures (WCAG 2.2, 2.3.1, from memory), and half of its codes, which dazzles less than full.
const (
	swellPeriod = 2 * time.Second
	swellPeak   = 128
	swellFor    = 5 * swellPeriod
)

// glow is what the bench shows: some slots of a universe, swelling or steady.
type glow struct {
	universe dmx.Universe
	from, to int // slots, from 1
	steady   bool
	since    int64 // frame
}

// at is the value of its slots at a frame. It begins dark.
func (g *glow) at(k int64) byte {
	t := pace.Offset(max(k-g.since, 0))
	if g.steady {
		return byte(math.Round(swellPeak * min(1, t.Seconds()/swellPeriod.Seconds())))
	}
	phase := float64(t%swellPeriod) / float64(swellPeriod)
	return byte(math.Round(swellPeak * (1 - math.Cos(2*math.Pi*phase)) / 2))
}

// bench drives outputs slot by slot, without cues. Everything that is not shown is dark.
type bench struct {
	wires    *outputs
	loop     *pace.Loop
	universe []dmx.Universe
	show     atomic.Pointer[glow]
	stop     context.CancelFunc
	done     chan error

	mu     sync.Mutex
	status map[string]dmx.Status // by output, as last told
	bell   chan struct{}
}

// newBench opens the outputs of a shoot and sends darkness.
func newBench(shoot *cue.Shoot, tell func(string)) (*bench, error) {
	b := &bench{done: make(chan error, 1), status: map[string]dmx.Status{}, bell: make(chan struct{}, 1)}
	b.show.Store(&glow{})
	var err error
	if b.wires, err = openOutputs(shoot, tell); err != nil {
		return nil, err
	}
	var outs []dmx.Output
	for _, o := range b.wires.outs {
		outs = append(outs, o)
		for _, u := range o.Universes() {
			if !slices.Contains(b.universe, u) {
				b.universe = append(b.universe, u)
			}
		}
	}
	b.loop, err = pace.New(pace.Config{
		Universes: b.universe, Outputs: outs, Fill: b.fill, KeepAlive: loopKeepAlive(shoot),
		OnEvent: func(e pace.Event) {
			tell(eventText(event{Event: e}))
			b.mu.Lock()
			b.status[e.Output] = e.Status
			b.mu.Unlock()
			select {
			case b.bell <- struct{}{}:
			default:
			}
		},
	})
	if err != nil {
		closeAll(b.wires.outs)
		b.wires.close()
		return nil, err
	}
	ctx, cancel := context.WithCancel(context.Background())
	b.stop = cancel
	go func() { b.done <- b.loop.Run(ctx) }()
	return b, nil
}

func (b *bench) fill(k int64, frames []dmx.Frame) bool {
	g := b.show.Load()
	for i, u := range b.universe {
		frames[i] = dmx.Frame{}
		if u == g.universe {
			v := g.at(k)
			for slot := g.from; slot <= g.to; slot++ {
				frames[i][slot-1] = v
			}
		}
	}
	return true
}

// light shows something else from the next frame on.
func (b *bench) light(g glow) {
	g.since = b.loop.NextK()
	b.show.Store(&g)
}

// end goes dark and lets everything go.
func (b *bench) end() error {
	b.show.Store(&glow{})
	dark := time.NewTimer(2 * pace.Offset(1))
	<-dark.C // a frame of darkness is under way; the farewell repeats it
	b.stop()
	err := <-b.done
	if e := b.wires.close(); err == nil {
		err = e
	}
	return err
}

// driven says where light would be made, for the question before.
func driven(shoot *cue.Shoot) string {
	words := make([]string, len(shoot.Outputs))
	for i := range shoot.Outputs {
		words[i] = fmt.Sprintf("%s (%s)", shoot.Outputs[i].Name, whereText(&shoot.Outputs[i]))
	}
	return "this lights slots on " + joinedList(words) + ", and everything else there goes dark"
}

// parseSlots reads "1:21", "21", "1:21-24".
func parseSlots(text string) (glow, error) {
	const cure = "write universe and slot as in --test 1:21, or several slots as in 1:21-24; slots go from 1 to 512"
	g := glow{universe: 1}
	slots := text
	if u, rest, ok := strings.Cut(text, ":"); ok {
		n, err := strconv.Atoi(u)
		if err != nil || n < 1 || n > int(dmx.MaxUniverse) {
			return g, usagef(cure, "--test: there is no universe %q", u)
		}
		g.universe, slots = dmx.Universe(n), rest
	}
	from, to, isRange := strings.Cut(slots, "-")
	if !isRange {
		to = from
	}
	var err1, err2 error
	g.from, err1 = strconv.Atoi(from)
	g.to, err2 = strconv.Atoi(to)
	if err1 != nil || err2 != nil || g.from < 1 || g.to > dmx.Slots || g.from > g.to {
		return g, usagef(cure, "--test: %q are no slots", slots)
	}
	return g, nil
}

// swell shows one light for some seconds.
func (f *findFlags) swell(ctx context.Context, shoot *cue.Shoot, std stdio) error {
	g, err := parseSlots(f.test)
	if err != nil {
		return err
	}
	rig, err := f.rig(shoot)
	if err != nil {
		return err
	}
	b, err := f.openBench(ctx, rig, g.universe, std)
	if err != nil {
		return err
	}
	b.light(g)
	note(std.Err, "universe %d slot %s swells, once in two seconds; Ctrl-C ends it", g.universe, slotsText(g))
	length := swellFor
	if f.wait.given() {
		length = f.wait.std()
	}
	timer := time.NewTimer(length)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-ctx.Done():
	}
	down := b.down()
	if err := b.end(); err != nil {
		return err
	}
	switch {
	case ctx.Err() != nil:
		return said(statusInterrupted)
	case down != "":
		return failuref(statusUnreachable, "see what was said of it above", "the light did not get out: down at the end %s", down)
	}
	return nil
}

// openBench asks, and opens the bench on a rig that carries a universe (0: any).
func (f *findFlags) openBench(ctx context.Context, rig *cue.Shoot, universe dmx.Universe, std stdio) (*bench, error) {
	carried := universe == 0
	for i := range rig.Outputs {
		carried = carried || slices.Contains(rig.Outputs[i].Universes, int(universe))
	}
	if !carried {
		return nil, usagef("add --universe, or take one of the shoot's", "no output carries universe %d", universe)
	}
	if err := f.agree(ctx, driven(rig), std); err != nil {
		return nil, err
	}
	b, err := newBench(rig, func(text string) { note(std.Err, "%s", text) })
	if err != nil {
		return nil, err
	}
	return b, nil
}

// down names the outputs that do not get light out.
func (b *bench) down() string {
	var words []string
	for _, o := range b.loop.Counters().Outputs {
		if !o.Status.Up {
			words = append(words, fmt.Sprintf("%s (%s)", o.Name, o.Status.Where))
		}
	}
	return joinedList(words)
}

func slotsText(g glow) string {
	if g.to > g.from {
		return fmt.Sprintf("%d-%d", g.from, g.to)
	}
	return fmt.Sprint(g.from)
}
