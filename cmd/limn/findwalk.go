package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"limn/cue"
	"limn/dmx"
	"limn/fixtures/nearest"
)

// walked is a light that somebody named.
type walked struct {
	name, profile string
	universe      dmx.Universe
	address       int
}

// lines are its [[source]].
func (w *walked) lines() string {
	return fmt.Sprintf("[[source]]\nname     = %s\nrole     = \"fill\"                 # key, fill, edge, background or accent; one is the key\nprofile  = %s\nuniverse = %d\naddress  = %d\n",
		quoteTOML(w.name), quoteTOML(w.profile), w.universe, w.address)
}

// walkAlong goes through the slots and lets each light that swells be named.
func (f *findFlags) walkAlong(ctx context.Context, shoot *cue.Shoot, std stdio) error {
	rig, err := f.rig(shoot)
	if err != nil {
		return err
	}
	dir := ""
	if shoot != nil {
		dir = shoot.Dir
	}
	library, err := openLibrary(dir, std)
	if err != nil {
		return err
	}
	b, err := f.openBench(ctx, rig, 0, std)
	if err != nil {
		return err
	}
	note(std.Err, "each slot swells until you answer: its name if a light swells, Enter if none does, b = back, a number = go there, q = done")
	w := walk{bench: b, talk: newTalk(std), footprint: func(name string) (int, error) {
		p, ok := library.Find(name)
		if !ok {
			return 0, errors.New("there is no profile " + strconv.Quote(name) + "; " + nearest.DidYouMean(name, library.Names()))
		}
		return p.Footprint(), nil
	}, say: func(text string) { note(std.Err, "%s", text) }}
	found, err := w.work(ctx)
	if e := b.end(); err == nil {
		err = e
	}
	for i := range found {
		if i > 0 {
			fmt.Fprintln(std.Out)
		}
		io.WriteString(std.Out, cleanLines(found[i].lines()))
	}
	if len(found) > 0 {
		note(std.Err, "paste the lines into rig.toml, then limn check")
	}
	return err
}

// walk is the way along the slots of a bench.
type walk struct {
	bench     *bench
	talk      *talk
	footprint func(profile string) (slots int, err error)
	say       func(string)
}

// work goes on until it is told to end, or the slots do.
func (w *walk) work(ctx context.Context) ([]walked, error) {
	var found []walked
	for _, u := range w.bench.universe {
		for slot := 1; slot <= dmx.Slots; {
			w.bench.light(glow{universe: u, from: slot, to: slot})
			line, err := w.talk.ask(ctx, "universe %d slot %d swells. Name?", u, slot)
			if errors.Is(err, io.EOF) {
				return found, nil
			}
			if err != nil {
				return found, err
			}
			switch line {
			case "":
				slot++
				continue
			case "q", "quit":
				return found, nil
			case "b":
				slot = max(1, slot-1)
				continue
			}
			if n, err := strconv.Atoi(line); err == nil {
				if n < 1 || n > dmx.Slots {
					w.say("slots go from 1 to 512")
					continue
				}
				slot = n
				continue
			}
			light, slots, err := w.named(ctx, line, u, slot)
			if err != nil && !errors.Is(err, io.EOF) {
				return found, err
			}
			found = append(found, light)
			slot += slots
		}
	}
	return found, nil
}

// named asks for the profile of a light and gives the slots it takes.
func (w *walk) named(ctx context.Context, name string, u dmx.Universe, slot int) (walked, int, error) {
	light := walked{name: outputName(name, "light"), profile: "dimmer", universe: u, address: slot}
	for {
		line, err := w.talk.ask(ctx, "profile of %s (Enter = dimmer)?", name)
		if err != nil {
			return light, 1, err
		}
		if line = strings.TrimSpace(line); line == "" {
			return light, 1, nil
		}
		slots, err := w.footprint(line)
		if err == nil && slot+slots-1 > dmx.Slots {
			err = fmt.Errorf("%s has %d slots, which do not fit behind slot %d", line, slots, slot)
		}
		if err != nil {
			w.say(err.Error())
			continue
		}
		light.profile = line
		return light, slots, nil
	}
}
