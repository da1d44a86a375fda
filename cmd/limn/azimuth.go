package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"limn/cue/motion"
	"limn/cue/motion/stream"
	"limn/dmx/pace"
)

// azimuthSource is where the angles of a table that turns by itself come from.
type azimuthSource struct {
	name string
	out  chan float64       // degrees, no more than one a frame, always the latest
	box  chan stream.Sample // the latest that was heard

	counts *stream.Counts
	close  func() error
	wait   sync.WaitGroup
}

// stdinAzimuth says that angles come on standard input.
const stdinAzimuth = "-"

// openAzimuth hears angles: "-" on standard input, "udp:HOST:PORT" in datagrams, from other
// computers only where anyone is allowed. Nil where nothing was asked for.
func openAzimuth(ctx context.Context, from string, anyone bool, in io.Reader, news func(string)) (*azimuthSource, error) {
	if from == "" {
		return nil, nil
	}
	a := &azimuthSource{name: "standard input", out: make(chan float64), box: make(chan stream.Sample, 1), close: func() error { return nil }}
	var hear func() error
	switch address, udp := strings.CutPrefix(from, "udp:"); {
	case from == stdinAzimuth:
		a.counts = &stream.Counts{}
		hear = func() error { return stream.Read(in, a.counts, a.hear) }
	case udp:
		l, err := stream.Listen(address, anyone)
		if err != nil {
			return nil, usagef("write for example --azimuth udp:127.0.0.1:9000; --azimuth-anyone lets other computers turn the light",
				"--azimuth: %v", err)
		}
		a.name, a.counts, a.close = "udp "+l.Addr().String(), &l.Counts, l.Close
		hear = func() error { return l.Run(ctx, a.hear) }
	default:
		return nil, usagef(`write --azimuth - for standard input, or --azimuth udp:127.0.0.1:9000`, "--azimuth: %q is no source of angles", from)
	}
	ended := func(err error) {
		switch {
		case ctx.Err() != nil:
		case err != nil:
			news(fmt.Sprintf("azimuth from %s: %v; the light stays at the last angle", a.name, err))
		default:
			news(fmt.Sprintf("azimuth from %s has ended; the light stays at the last angle", a.name))
		}
	}
	if from == stdinAzimuth {
		go func() { ended(hear()) }() // a read cannot be broken off; it ends with its input
	} else {
		a.wait.Go(func() { ended(hear()) })
	}
	a.wait.Go(func() { a.pass(ctx) })
	return a, nil
}

// hear keeps the latest; one goroutine hears.
func (a *azimuthSource) hear(s stream.Sample) {
	select {
	case <-a.box:
	default:
	}
	a.box <- s
}

// pass hands on the latest angle, once a frame at the most.
func (a *azimuthSource) pass(ctx context.Context) {
	frame := time.NewTicker(pace.Offset(1))
	defer frame.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case s := <-a.box:
			select {
			case a.out <- s.Azimuth:
			case <-ctx.Done():
				return
			}
		}
		select {
		case <-frame.C:
		case <-ctx.Done():
			return
		}
	}
}

// end closes what was opened; the context has ended.
func (a *azimuthSource) end() {
	if a != nil {
		a.close()
		a.wait.Wait()
	}
}

// turned is the desk's part of it: what was heard last.
type turned struct {
	source    *azimuthSource
	last      time.Time
	following bool  // light followed the last angle
	bad       int64 // lines that were none, told
	stale     bool
}

// heard takes the angles; nil, which no select ever chooses, where there are none.
func (t *turned) heard() <-chan float64 {
	if t.source == nil {
		return nil
	}
	return t.source.out
}

// staleText says that the table is silent.
var staleText = fmt.Sprintf("the table has told no angle for %g s; the light is held where it was", motion.StaleAfter)

// turn passes an angle on.
func (d *desk) turn(degrees float64) {
	t := &d.turned
	if t.last.IsZero() {
		note(d.out, "%11sthe table tells its angle by %s: %s", "", t.source.name, turnText(degrees))
	}
	t.last = time.Now()
	t.following = !d.recorder.azimuth(degrees).Refused
	d.lookStale()
}

// lookStale says when a table that light follows has fallen silent, and when it is heard again.
func (d *desk) lookStale() {
	t := &d.turned
	if t.source == nil {
		return
	}
	if bad := t.source.counts.Bad(); bad > 0 && t.bad == 0 {
		t.bad = bad
		note(d.err, "azimuth from %s: there are lines that are no angle; they are passed over. Write a number of degrees, or {\"azimuth\": 35.21}", t.source.name)
	}
	stale := t.following && d.sequence != "" && time.Since(t.last).Seconds() > motion.StaleAfter
	if stale != t.stale {
		t.stale = stale
		d.stage.engine.Warn(staleText, !stale)
	}
}
