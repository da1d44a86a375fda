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

// setLight edits one entry.
func (w *planner) setLight(t target) error {
	if t.there() {
		return nil
	}
	ed, err := w.editor(t.file)
	if err != nil {
		return err
	}
	w.may[t.key] = true
	w.proofs = append(w.proofs, t.proof)
	if entry := fmt.Sprint("entry ", t.file, t.at()); t.whole {
		if w.touched[entry] {
			return nil // through another source of the group
		}
		w.touched[entry] = true
	}
	switch {
	case t.own && ed.IsTable(t.at()):
		return t.inTable(ed)
	case t.own:
		return t.overText(ed)
	}
	if t.group != "" {
		w.said = append(w.said, fmt.Sprintf("%s is written for itself now, beside %s; the others of %s stay as they are", t.name, t.group, t.group))
	}
	return ed.Set(t.table, tomlfile.Entry{Key: t.name, Value: t.fresh()})
}

// there says whether the entry says already what is asked.
func (t *target) there() bool {
	if t.old == nil {
		return false
	}
	if t.change != nil && t.change.Stops == 0 && t.level == nil && t.colour == nil {
		return true
	}
	if t.change != nil || t.old.Ramp != nil {
		return false
	}
	return (t.level == nil || t.old.Level != nil && *t.old.Level == *t.level) &&
		(t.colour == nil || t.old.Colour != nil && *t.old.Colour == *t.colour)
}

// wanted is the level the entry is to say; nil = it says none. changed is set
// where it is to say a change instead.
func (t *target) wanted() (level *cue.Level, changed *quantity.Stops) {
	switch {
	case t.level != nil:
		return t.level, nil
	case t.change == nil:
		return nil, nil
	case t.old != nil && t.old.Level != nil:
		l := shift(*t.old.Level, t.change.Stops)
		return &l, nil
	case t.old != nil && t.old.Change != nil:
		c := t.old.Change.With(t.old.Change.Stops + t.change.Stops)
		return nil, &c
	}
	return nil, t.change
}

// fresh is an entry where the table had none of the source's own: a level alone
// as a text. Beside a group's ramp that is moved, it has a ramp of its own.
func (t *target) fresh() any {
	level, change := t.wanted()
	var entries tomlfile.Inline
	if t.change != nil && t.old != nil && t.old.Ramp != nil {
		if level != nil {
			entries = append(entries, tomlfile.Entry{Key: "level", Value: level.String()})
		} else if !allLevelled(t.old.Ramp) {
			entries = append(entries, tomlfile.Entry{Key: "change", Value: change.String()})
		}
		if t.colour != nil {
			entries = append(entries, tomlfile.Entry{Key: "colour", Value: t.colour.String()})
		}
		return append(entries, tomlfile.Entry{Key: "ramp", Value: t.points(t.old.Ramp)})
	}
	switch {
	case level != nil && t.colour == nil:
		return level.String()
	case level != nil:
		entries = append(entries, tomlfile.Entry{Key: "level", Value: level.String()})
	case change != nil:
		entries = append(entries, tomlfile.Entry{Key: "change", Value: change.String()})
	}
	if t.colour != nil {
		entries = append(entries, tomlfile.Entry{Key: "colour", Value: t.colour.String()})
	}
	return entries
}

// overText edits an entry that is a level alone.
func (t *target) overText(ed *tomlfile.Editor) error {
	level, _ := t.wanted()
	if level == nil {
		level = t.old.Level
	}
	if t.colour == nil {
		return ed.Replace(t.at(), level.String())
	}
	return ed.Replace(t.at(), tomlfile.Inline{{Key: "level", Value: level.String()}, {Key: "colour", Value: t.colour.String()}})
}

// inTable edits an entry that is a table.
func (t *target) inTable(ed *tomlfile.Editor) error {
	var entries []tomlfile.Entry
	level, change := t.wanted()
	ramp := ed.Has(t.at("ramp"))
	if change != nil && ramp && allLevelled(t.old.Ramp) {
		change = nil // every point has a level of its own, which is moved
	}
	if level != nil {
		if ed.Has(t.at("change")) {
			if err := ed.Rename(t.at("change"), "level", level.String()); err != nil {
				return err
			}
		} else {
			entries = append(entries, tomlfile.Entry{Key: "level", Value: level.String()})
		}
	}
	if change != nil {
		entries = append(entries, tomlfile.Entry{Key: "change", Value: change.String()})
	}
	if t.colour != nil {
		entries = append(entries, tomlfile.Entry{Key: "colour", Value: t.colour.String()})
	}
	if ramp {
		for i, p := range t.old.Ramp.Points {
			if l := t.pointLevel(&p); l != nil && *l != *p.Level {
				if err := ed.Replace(t.at("ramp", i, "level"), l.String()); err != nil {
					return err
				}
			}
			if t.colour != nil && p.Colour != nil {
				if err := ed.Replace(t.at("ramp", i, "colour"), t.colour.String()); err != nil {
					return err
				}
			}
		}
	}
	if !ramp && t.change != nil && t.old.Ramp != nil { // a group's, which the level would make plain
		entries = append(entries, tomlfile.Entry{Key: "ramp", Value: t.points(t.old.Ramp)})
	}
	if len(entries) == 0 {
		return nil
	}
	return ed.Set(t.at(), entries...)
}

// pointLevel is the level a point of a ramp is to have, nil if it has none of
// its own.
func (t *target) pointLevel(p *cue.RampPoint) *cue.Level {
	switch {
	case p.Level == nil:
		return nil
	case t.level != nil:
		return t.level
	case t.change != nil:
		l := shift(*p.Level, t.change.Stops)
		return &l
	}
	return p.Level
}

// points is a ramp written out, moved as asked.
func (t *target) points(r *cue.Ramp) []tomlfile.Inline {
	out := make([]tomlfile.Inline, len(r.Points))
	for i := range r.Points {
		p := &r.Points[i]
		tone := p.Colour
		if t.colour != nil && tone != nil {
			tone = t.colour
		}
		out[i] = rampPoint(p, t.pointLevel(p), tone)
	}
	return out
}

// rampPoint is a point of a ramp as it is written.
func rampPoint(p *cue.RampPoint, level *cue.Level, tone *colour.Spec) tomlfile.Inline {
	out := tomlfile.Inline{{Key: "at", Value: p.At}}
	if level != nil {
		out = append(out, tomlfile.Entry{Key: "level", Value: level.String()})
	}
	if tone != nil {
		out = append(out, tomlfile.Entry{Key: "colour", Value: tone.String()})
	}
	if p.Curve != nil {
		out = append(out, tomlfile.Entry{Key: "curve", Value: p.Curve.String()})
	}
	if p.Path != nil {
		out = append(out, tomlfile.Entry{Key: "path", Value: p.Path.String()})
	}
	return out
}

// allLevelled says whether every point of a ramp has a level of its own.
func allLevelled(r *cue.Ramp) bool {
	return !slices.ContainsFunc(r.Points, func(p cue.RampPoint) bool { return p.Level == nil })
}

// proof holds the entry as it is read again against what was asked.
func (t *target) proof(s *cue.Shoot) error {
	e, ok := t.get(s)
	if !ok {
		return fmt.Errorf("%s has no entry afterwards", t.name)
	}
	level, change := t.wanted()
	var old cue.Entry
	if t.old != nil {
		old = *t.old
	}
	switch {
	case level != nil && (e.Level == nil || *e.Level != *level || e.Change != nil),
		change != nil && (old.Ramp == nil || !allLevelled(old.Ramp)) && (e.Change == nil || *e.Change != *change || e.Level != nil),
		level == nil && change == nil && (words(e.Level) != words(old.Level) || words(e.Change) != words(old.Change)):
		return fmt.Errorf("the level of %s would not be what was asked", t.name)
	case t.colour != nil && (e.Colour == nil || *e.Colour != *t.colour),
		t.colour == nil && words(e.Colour) != words(old.Colour):
		return fmt.Errorf("the colour of %s would not be what was asked", t.name)
	case words(e.Timing) != words(old.Timing):
		return fmt.Errorf("the timing of %s would change too", t.name)
	}
	if err := t.rampProof(&e, &old); err != nil {
		return err
	}
	if t.resolved != "" && e.Ramp == nil && level != nil { // nothing lies over a cue's own entry
		i := s.CueIndex(t.resolved)
		if light := &s.Resolved[i].Light[t.source]; light.Cells == nil && light.Level != level.String() && !ramped(layers(s, i), t.source) {
			return fmt.Errorf("%s would resolve to %s", t.name, light.Level)
		}
	}
	return nil
}

func (t *target) rampProof(e, old *cue.Entry) error {
	if e.Ramp == nil || old.Ramp == nil {
		if e.Ramp != nil || old.Ramp != nil && (t.own || t.change != nil) {
			return fmt.Errorf("the ramp of %s would change too", t.name)
		}
		return nil
	}
	if len(e.Ramp.Points) != len(old.Ramp.Points) {
		return fmt.Errorf("the ramp of %s would change too", t.name)
	}
	for i := range e.Ramp.Points {
		is, was := &e.Ramp.Points[i], &old.Ramp.Points[i]
		if is.At != was.At || words(is.Curve) != words(was.Curve) || words(is.Path) != words(was.Path) {
			return fmt.Errorf("the ramp of %s would change too", t.name)
		}
		if l := t.pointLevel(was); is.Level != nil && (l == nil || *is.Level != *l) || t.own && l != nil && is.Level == nil {
			return fmt.Errorf("the ramp of %s would not be what was asked", t.name)
		}
		if is.Colour != nil && t.colour != nil && *is.Colour != *t.colour {
			return fmt.Errorf("the ramp of %s would not be what was asked", t.name)
		}
	}
	return nil
}
