package files

import (
	"maps"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// Part is what a source's light is made of.
type Part uint8

// The parts.
const (
	PartLevel Part = iota
	PartColour
)

// Origin is where a part of a source's light in a cue is written.
type Origin struct {
	fixtures.Origin          // of the value
	Own             bool     // the cue itself says it
	Cue             string   // the cue whose entry or exception it is; "" = a look's own
	Look            string   // the look; "" = a cue's own entry
	Group           string   // the group it is written for; "" = for the source itself
	Cues            []string // those that a change there would change, in the order of the shoot
}

// Origin finds where a part of the light of a source in a cue is written, and
// what else a change there would change. Line is 0 where nobody says it: a
// source that is off, or a colour that is the camera's white.
func (f *Folder) Origin(cueName, source string, part Part) (Origin, error) {
	now := f.state()
	if now == nil {
		return Origin{}, errNoShoot
	}
	w := &planner{name: f.name, was: now, now: now, editors: map[string]*tomlfile.Editor{}}
	at, err := w.cueIndex(cueName)
	if err != nil {
		return Origin{}, err
	}
	i, err := w.source(source)
	if err != nil {
		return Origin{}, err
	}
	ls := layers(now.shoot, at)
	top := uppermost(ls, i, part)
	if top < 0 {
		return Origin{}, nil
	}
	l := ls[top]
	t, err := w.target(l, i)
	if err != nil {
		return Origin{}, err
	}
	entry := l.light[i]
	o := Origin{Origin: entry.LevelAt, Own: l.cue == at && l.look < 0}
	if part == PartColour {
		o.Origin = entry.ColourAt
	}
	if o.Line == 0 && entry.Ramp != nil {
		o.Origin = entry.Ramp.Origin
	}
	if l.cue >= 0 {
		o.Cue = now.shoot.Cues[l.cue].Name
	}
	if l.look >= 0 {
		o.Look = now.shoot.Looks[l.look].Name
	}
	if !t.own {
		o.Group = t.group
	}
	o.Cues = touches(now, l, i, part)
	return o, nil
}

// touches finds the cues that a change of a part of a layer's entry changes, by
// changing it and resolving again.
func touches(now *state, l layer, source int, part Part) []string {
	try := *now.shoot
	e := l.light[source]
	other := probe(&e, part)
	switch {
	case l.cue >= 0 && l.look < 0:
		try.Cues = slices.Clone(try.Cues)
		try.Cues[l.cue].Light = replaced(l.light, source, other)
	case l.cue >= 0:
		try.Cues = slices.Clone(try.Cues)
		c := &try.Cues[l.cue]
		c.Exceptions = slices.Clone(c.Exceptions)
		for k := range c.Exceptions {
			if c.Exceptions[k].Look == try.Looks[l.look].Name {
				c.Exceptions[k].Light = replaced(l.light, source, other)
			}
		}
	default:
		try.Looks = slices.Clone(try.Looks)
		try.Looks[l.look].Light = replaced(l.light, source, other)
	}
	try.Resolve(now.renderer.Clone())
	return changedCues(now.shoot, &try)
}

func replaced(light map[int]cue.Entry, source int, e cue.Entry) map[int]cue.Entry {
	out := maps.Clone(light)
	out[source] = e
	return out
}

// probe is an entry with another value in one part: a stop less, or another
// colour, whatever it was.
func probe(e *cue.Entry, part Part) cue.Entry {
	out := *e
	if e.Ramp != nil {
		r := *e.Ramp
		r.Points = slices.Clone(r.Points)
		for i := range r.Points {
			p := &r.Points[i]
			p.Level, p.Colour = probed(p.Level, p.Colour, part)
		}
		out.Ramp = &r
	}
	out.Level, out.Colour = probed(e.Level, e.Colour, part)
	if e.Change != nil && part == PartLevel {
		c := e.Change.With(e.Change.Stops - 1)
		out.Change = &c
	}
	return out
}

func probed(level *cue.Level, tone *colour.Spec, part Part) (*cue.Level, *colour.Spec) {
	switch {
	case part == PartLevel && level != nil:
		other := level.Shift(-1)
		if level.Kind() == cue.LevelOff {
			other = level.With(probeShare)
		}
		return &other, tone
	case part == PartColour && tone != nil:
		for _, text := range probeColours {
			if other, err := colour.ParseSpec(text); err == nil && other != *tone {
				return level, &other
			}
		}
	}
	return level, tone
}

// What a probe puts in the place of darkness, and of a colour.
const probeShare = 0.5

var probeColours = []string{"xy 0.4 0.4", "xy 0.3 0.3"}
