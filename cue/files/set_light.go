package files

import (
	"fmt"
	"slices"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

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
		l := t.old.Level.Shift(t.change.Stops)
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
		l := p.Level.Shift(t.change.Stops)
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
