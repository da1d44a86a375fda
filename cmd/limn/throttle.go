package main

import (
	"slices"
	"time"

	"limn/dmx"
	"limn/dmx/pace"
)

// repeatsAfterChange is how often a frame that has changed goes out again at once (ANSI E1.31, 6.6.2).
const repeatsAfterChange = 3

// throttled is an output that gets no more frames than it asked for. After each it lets its
// interval pass before it takes the next, which is then the latest: nothing is sent late.
type throttled struct {
	dmx.Output
	interval time.Duration // from one frame to the next at least; 0: none
	quiet    time.Duration // an unchanged frame is passed on after this; 0: whenever it is offered

	last    []dmx.Frame
	at      time.Time // of the last frame passed on; zero: none
	repeats int
	failed  bool
}

// throttle slows an output down to a rate in frames a second (0: any) and to its own
// keep-alive (0: the usual), where the loop offers unchanged frames every offered.
func throttle(out dmx.Output, rate int, keepAlive, offered time.Duration) dmx.Output {
	t := &throttled{Output: out, last: make([]dmx.Frame, len(out.Universes()))}
	if rate > 0 && rate < pace.Rate {
		t.interval = time.Second / time.Duration(rate)
	}
	if keepAlive == 0 {
		keepAlive = usualKeepAlive
	}
	if offered > 0 && keepAlive > offered {
		t.quiet = keepAlive - offered - pace.Offset(1) // rather an offer early than one late
	}
	if t.interval == 0 && t.quiet <= 0 {
		return out
	}
	return t
}

func (t *throttled) Send(frames []dmx.Frame) error {
	now := time.Now()
	switch {
	case t.at.IsZero() || t.failed || !slices.Equal(frames, t.last):
		t.repeats = 0
	case t.repeats < repeatsAfterChange:
		t.repeats++
	case now.Sub(t.at) < t.quiet:
		return nil
	}
	copy(t.last, frames)
	t.at = now
	err := t.Output.Send(frames)
	t.failed = err != nil
	if !t.failed {
		time.Sleep(t.interval - time.Since(now))
	}
	return err
}

// Paths passes on how packets are handed to the system, if the output says so.
func (t *throttled) Paths() []string { return paths(t.Output) }

// Paths does the same.
func (p *parting) Paths() []string { return paths(p.Output) }

// Paths does the same.
func (o opened) Paths() []string { return paths(o.Output) }

func paths(o dmx.Output) []string {
	if p, ok := o.(interface{ Paths() []string }); ok {
		return p.Paths()
	}
	return nil
}
