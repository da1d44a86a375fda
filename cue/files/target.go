package files

import (
	"errors"
	"fmt"
	"slices"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// target is one entry in one table of light, and what it is to say.
type target struct {
	file     string
	table    tomlfile.Path
	key      string // of the entry in a digest
	source   int
	name     string     // of the source
	old      *cue.Entry // what the table says of the source now, groups included; nil = nothing
	own      bool       // the table has an entry of the source's own
	whole    bool       // it is a group's entry, edited as one through each of its sources
	group    string     // the group through which the table speaks of it; "" = none
	made     bool       // the table is there and has something in it
	resolved string     // the cue whose own entry it is; "" = a look's, or an exception to one
	get      func(*cue.Shoot) (cue.Entry, bool)

	level  *cue.Level
	colour *colour.Spec
	change *quantity.Stops
}

// claims are what no other edit of the same round may touch.
func (t *target) claims() []string {
	out := []string{t.key}
	if !t.made {
		out = append(out, fmt.Sprint("table ", t.file, t.table))
	}
	return out
}

// all finds the entries that an edit of a source or a group comes to. A group
// that is written as one, and none of its sources beside it, is edited as one.
func (w *planner) all(e SetLight) ([]target, error) {
	s := w.now.shoot
	g := slices.IndexFunc(s.Groups, func(g cue.Group) bool { return g.Name == e.Source })
	if g < 0 {
		return w.targets(e)
	}
	var out []target
	tables := map[string]int{}
	apart := false
	for _, m := range s.Groups[g].Members {
		one := e
		one.Source = s.Rig.Sources[m].Name
		targets, err := w.targets(one)
		if err != nil {
			return nil, err
		}
		for _, t := range targets {
			tables[fmt.Sprint(t.file, t.table)]++
			apart = apart || t.own || t.group != e.Source
		}
		out = append(out, targets...)
	}
	for _, n := range tables {
		apart = apart || n != len(s.Groups[g].Members)
	}
	if apart {
		return out, nil
	}
	for i := range out {
		out[i].name, out[i].own, out[i].whole = e.Source, true, true
	}
	return out, nil
}

// targets finds the entries that an edit of light comes to: one, or two where
// level and colour come from different places.
func (w *planner) targets(e SetLight) ([]target, error) {
	source, err := w.source(e.Source)
	if err != nil {
		return nil, err
	}
	switch {
	case e.Level == nil && e.Colour == nil && e.Change == nil:
		return nil, fmt.Errorf("nothing is said of %s; give a level or a colour", tomlfile.Quote(e.Source))
	case e.Level != nil && e.Change != nil:
		return nil, fmt.Errorf("%s is given a level and a change of level; give one of the two", tomlfile.Quote(e.Source))
	}
	here := layer{cue: -1, look: -1}
	if e.Cue != "" {
		if here.cue, err = w.cueIndex(e.Cue); err != nil {
			return nil, err
		}
	}
	if e.Look != "" {
		if here.look = lookIndex(w.now.shoot, e.Look); here.look < 0 {
			return nil, unknown("look", e.Look, w.lookNames())
		}
	}
	if here.cue < 0 && here.look < 0 {
		return nil, errors.New("no cue and no look is named to write to")
	}
	if e.Where == Here || e.Look != "" {
		t, err := w.target(here, source)
		t.level, t.colour, t.change = e.Level, e.Colour, e.Change
		return []target{t}, err
	}
	return w.atOrigin(e, here, source)
}

// atOrigin finds the entries that level and colour come from. What comes from
// nowhere goes beside the other, or into the cue itself.
func (w *planner) atOrigin(e SetLight, here layer, source int) ([]target, error) {
	ls := layers(w.now.shoot, here.cue)
	find := func(part Part) (layer, bool) {
		if i := uppermost(ls, source, part); i >= 0 {
			return ls[i], true
		}
		return here, false
	}
	level, levelled := find(PartLevel)
	tone, toned := find(PartColour)
	if !toned {
		tone = level
	}
	if !levelled {
		level = tone
	}
	wants := e.Level != nil || e.Change != nil
	same := level.cue == tone.cue && level.look == tone.look
	var out []target
	if wants || same {
		t, err := w.target(level, source)
		if err != nil {
			return nil, err
		}
		t.level, t.change = e.Level, e.Change
		if same {
			t.colour = e.Colour
		}
		out = append(out, t)
	}
	if e.Colour != nil && !same {
		t, err := w.target(tone, source)
		if err != nil {
			return nil, err
		}
		t.colour = e.Colour
		out = append(out, t)
	}
	return out, nil
}

func (w *planner) lookNames() []string {
	names := make([]string, len(w.now.shoot.Looks))
	for i := range names {
		names[i] = w.now.shoot.Looks[i].Name
	}
	return names
}

// target finds the entry of a source in a layer's table.
func (w *planner) target(l layer, source int) (target, error) {
	s := w.now.shoot
	t := target{source: source, name: s.Rig.Sources[source].Name}
	switch {
	case l.cue >= 0 && l.look < 0:
		t.file, t.table = w.cuePath(l.cue)
		t.table = append(t.table, "light")
		name := s.Cues[l.cue].Name
		t.key, t.resolved = cueKey(name, entryKey(t.name)), name
		t.get = func(s *cue.Shoot) (cue.Entry, bool) {
			e, ok := s.Cues[s.CueIndex(name)].Light[source]
			return e, ok
		}
	case l.cue >= 0:
		t.file, t.table = w.cuePath(l.cue)
		name, look := s.Cues[l.cue].Name, s.Looks[l.look].Name
		t.table = append(t.table, "look", look)
		t.key = cueKey(name, exceptKey(look, t.name))
		t.get = func(s *cue.Shoot) (cue.Entry, bool) {
			for _, x := range s.Cues[s.CueIndex(name)].Exceptions {
				if x.Look == look {
					e, ok := x.Light[source]
					return e, ok
				}
			}
			return cue.Entry{}, false
		}
	default:
		look := s.Looks[l.look].Name
		t.file, t.table = w.file(s.Looks[l.look].Origin), tomlfile.Path{"look", look}
		t.key = lookKey(look, entryKey(t.name))
		t.get = func(s *cue.Shoot) (cue.Entry, bool) {
			e, ok := s.Looks[lookIndex(s, look)].Light[source]
			return e, ok
		}
	}
	if e, ok := t.get(s); ok {
		t.old = &e
	}
	ed, err := w.editor(t.file)
	if err != nil {
		return t, err
	}
	t.made = ed.Count(t.table) > 0
	t.own = ed.Has(t.at())
	for _, g := range s.Groups {
		if slices.Contains(g.Members, source) && ed.Has(append(slices.Clone(t.table), g.Name)) {
			t.group = g.Name
		}
	}
	return t, nil
}

// at is the way to the source's own entry.
func (t *target) at(below ...any) tomlfile.Path {
	return append(append(slices.Clone(t.table), t.name), below...)
}
