package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"limn/cue"
	"limn/dmx"
)

// backWithin is how long the pull test waits for an output to come back before it asks without.
const backWithin = 15 * time.Second

// pulled is what came of one output's test.
type pulled struct {
	output   string
	expected string
	saw      string        // what the light did: held, dark, faded, other
	noticed  bool          // limn said that the output was down
	back     time.Duration // from the cable's return until the output was up; 0 = it was not seen to go
	returned bool          // the operator saw the light return by itself
}

// pulledWords are the answers to what the light did.
var pulledWords = map[string]string{"h": "held", "d": "went dark", "f": "faded out", "o": "did something else"}

// pull is the guided test: a light is on, its cable is pulled, it is plugged in again.
func (f *findFlags) pull(ctx context.Context, shoot *cue.Shoot, std stdio) error {
	rig, err := f.rig(shoot)
	if err != nil {
		return err
	}
	b, err := f.openBench(ctx, rig, 0, std)
	if err != nil {
		return err
	}
	note(std.Err, "pull cables of data only, never of mains, and never one you have to climb for")
	t := newTalk(std)
	var results []pulled
	for i := range rig.Outputs {
		p, skipped, err := b.pullOne(ctx, rig, &rig.Outputs[i], t)
		if err != nil {
			b.end()
			return err
		}
		if !skipped {
			results = append(results, p)
		}
	}
	if err := b.end(); err != nil {
		return err
	}
	if f.json {
		return writeJSON(std.Out, pulledObject(results))
	}
	for i := range results {
		fmt.Fprintln(std.Out, clean(results[i].verdict()))
	}
	return nil
}

// pullOne leads through the test of one output.
func (b *bench) pullOne(ctx context.Context, rig *cue.Shoot, o *cue.Output, t *talk) (p pulled, skipped bool, err error) {
	p = pulled{output: o.Name, expected: survives(o)}
	g := lightOf(rig, o)
	b.light(g)
	line, err := t.ask(ctx, "output %s: universe %d slot %s comes up and stays on. Is a light on? [y/n]", o.Name, g.universe, slotsText(g))
	if err != nil {
		return p, false, unfinished(err)
	}
	if !strings.HasPrefix(strings.ToLower(line), "y") {
		return p, true, nil
	}
	cable := "the network cable of this computer"
	if o.Kind != cue.ArtNet && o.Kind != cue.SACN {
		cable = "the adapter's USB plug"
	}
	if _, err = t.ask(ctx, "Now pull %s. It should be so: %s. Press Enter three seconds after.", cable, p.expected); err != nil {
		return p, false, unfinished(err)
	}
	p.noticed = !b.up(o.Name)
	for p.saw == "" {
		line, err := t.ask(ctx, "What did the light do: h = held, d = went dark, f = faded, o = something else?")
		if err != nil {
			return p, false, unfinished(err)
		}
		p.saw = pulledWords[strings.ToLower(strings.TrimSpace(line))]
	}
	if _, err = t.ask(ctx, "Plug it in again and press Enter at once."); err != nil {
		return p, false, unfinished(err)
	}
	if p.noticed {
		p.back = b.waitUp(ctx, o.Name)
	}
	line, err = t.ask(ctx, "Is the light as it was, without a flash? [y/n]")
	if err != nil {
		return p, false, unfinished(err)
	}
	p.returned = strings.HasPrefix(strings.ToLower(line), "y")
	return p, false, nil
}

// unfinished words the end of the answers.
func unfinished(err error) error {
	if err == io.EOF {
		return failuref(statusFailed, "begin again and answer each question", "the test was not finished")
	}
	return err
}

// lightOf is what to light for an output: the first source that hangs on it, or its first slots.
func lightOf(rig *cue.Shoot, o *cue.Output) glow {
	g := glow{universe: dmx.Universe(o.Universes[0]), from: 1, to: 16, steady: true}
	for i := range rig.Rig.Sources {
		s := &rig.Rig.Sources[i]
		if s.Hand || !givesLight(s) {
			continue
		}
		for _, u := range o.Universes {
			if u == s.Universe {
				g.universe, g.from = dmx.Universe(u), s.Addresses[0]
				g.to = g.from + s.Profile.Footprint() - 1
				return g
			}
		}
	}
	return g
}

// up says what is known of an output.
func (b *bench) up(name string) bool {
	for _, o := range b.loop.Counters().Outputs {
		if o.Name == name {
			return o.Status.Up
		}
	}
	return false
}

// waitUp waits until an output is up again, within reason, and says how long it took.
func (b *bench) waitUp(ctx context.Context, name string) time.Duration {
	start := time.Now()
	limit := time.NewTimer(backWithin)
	defer limit.Stop()
	look := time.NewTicker(watchEvery)
	defer look.Stop()
	for !b.up(name) {
		select {
		case <-b.bell:
		case <-look.C:
		case <-limit.C:
			return time.Since(start)
		case <-ctx.Done():
			return time.Since(start)
		}
	}
	return time.Since(start)
}

// verdict is the line about an output.
func (p *pulled) verdict() string {
	text := fmt.Sprintf("%s: the light %s when the cable was out", p.output, p.saw)
	switch {
	case !p.noticed:
		text += "; limn did not notice (a switch between, or a receiver that never answers)"
	case p.back >= backWithin:
		text += "; not back in 15 s"
	default:
		text += fmt.Sprintf("; back %.1f s after Enter", p.back.Seconds())
	}
	if p.returned {
		return text + ", as it was: good for a shoot"
	}
	return text + ", and not as it was: look at the receiver's settings for a lost signal"
}

func pulledObject(results []pulled) object {
	list := []any{}
	for i := range results {
		p := &results[i]
		var back any
		if p.noticed {
			back = number{p.back.Seconds(), 1}
		}
		list = append(list, object{
			{"output", p.output},
			{"expected", p.expected},
			{"light", p.saw},
			{"noticed", p.noticed},
			{"back_after", back},
			{"as_before", p.returned},
			{"verdict", p.verdict()},
		})
	}
	return object{{"version", jsonVersion}, {"outputs", list}}
}
