package operate

import (
	"fmt"
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/files"
)

// edits are the trims that play over the present cue, as edits of a cue.
func (m *moment) edits(of string, t trims, where files.Where, exceptions bool) []files.Edit {
	l := m.layers()
	entries := m.entries(l.Cue, &cue.Over{Looks: l.Looks, Trims: t})
	var out []files.Edit
	for _, i := range slices.Sorted(maps.Keys(entries)) {
		e := entries[i]
		edit := files.SetLight{Cue: of, Source: m.name(i), Level: e.Level, Colour: e.Colour, Change: e.Change, Where: where}
		if look := m.lookOver(i); exceptions && look >= 0 {
			edit.Look = m.shoot.Looks[look].Name
			if where == files.AtOrigin {
				edit.Cue = ""
			}
		}
		out = append(out, edit)
	}
	return out
}

// lookOver is the topmost look laid on by hand that says something of a source;
// -1 for none. What is kept of it then is an exception of that look, as the look
// goes over all that the cue says itself.
func (m *moment) lookOver(source int) int {
	l := m.layers()
	for _, look := range slices.Backward(l.Looks) {
		if _, says := m.shoot.Looks[look].Light[source]; says {
			return look
		}
		for i := range m.shoot.Cues[l.Cue].Exceptions {
			x := &m.shoot.Cues[l.Cue].Exceptions[i]
			if _, says := x.Light[source]; says && x.Look == m.shoot.Looks[look].Name {
				return look
			}
		}
	}
	return -1
}

// keepWork keeps the trims of the present cue in it.
func (m *moment) keepWork(c Command, f *files.Folder) (*work, *job) {
	l := m.layers()
	name := m.cueName(l.Cue)
	t := m.playing()
	switch {
	case l.Here != nil:
		return nil, refusal("no cue stands at %s yet; keep as NAME makes one with this light", degreesText(l.Here.Azimuth))
	case len(t) == 0 && len(m.aside[l.Cue]) > 0:
		return nil, refusal("the light is shown as it is kept; trimmed shows the trims, then keep")
	case len(t) == 0:
		return nil, refusal("the cue has no trims to keep")
	}
	w := &work{edits: m.edits(name, t, files.Here, true)}
	w.job.kept = []int{l.Cue}
	w.job.text = "kept in " + name
	if others := m.otherTrims(); others != "" {
		w.job.notices = append(w.job.notices, others)
	}
	switch c.Verb {
	case KeepEverywhere:
		w.edits = m.edits(name, t, files.AtOrigin, true)
		w.settle = func(p *files.Plan) *job {
			w.job.text = "kept; changed: " + cue.ShortList(p.Cues())
			return nil
		}
	case KeepHere:
		w.settle = func(p *files.Plan) *job {
			pins, loose := m.pins(name, t, p)
			w.edits = append(w.edits, pins...)
			if len(loose) > 0 {
				w.job.notices = append(w.job.notices, "what runs along a strip comes from there, and changes too: "+cue.ShortList(loose))
			}
			return nil
		}
	default:
		w.settle = func(p *files.Plan) *job { return m.askWhere(name, t, p, f) }
	}
	return w, nil
}

// pins hold the light of cues that come from the one that is kept as it was, to
// what is printed of it. A ramp cannot be held so: cues with one are loose.
func (m *moment) pins(name string, t trims, p *files.Plan) (pins []files.Edit, loose []string) {
	l := m.layers()
	entries := m.entries(l.Cue, &cue.Over{Looks: l.Looks, Trims: t})
	for _, other := range p.Cues() {
		i, then := m.shoot.CueIndex(other), p.Shoot().CueIndex(other)
		if i < 0 || m.shoot.Cues[i].From != name {
			continue
		}
		for _, source := range slices.Sorted(maps.Keys(t)) {
			light, after := &m.shoot.Resolved[i].Light[source], &p.Shoot().Resolved[then].Light[source]
			if light.Asked == after.Asked && slices.Equal(light.Cells, after.Cells) {
				continue
			}
			level, err := cue.ParseLevel(light.Level)
			if light.Cells != nil || err != nil {
				loose = append(loose, fmt.Sprintf("%s in %s", m.name(source), other))
				continue
			}
			pin := files.SetLight{Cue: other, Source: m.name(source), Level: &level}
			if entries[source].Colour != nil {
				spec := m.colourOf(light)
				pin.Colour = &spec
			}
			pins = append(pins, pin)
		}
	}
	return pins, loose
}

// askWhere asks where trims are kept if that is not plain: where other cues come
// from this one, or the light comes from a look or from another cue.
func (m *moment) askWhere(name string, t trims, here *files.Plan, f *files.Folder) *job {
	wide, err := f.Plan(m.edits(name, t, files.AtOrigin, true))
	if err != nil {
		return nil // there is one place to keep it
	}
	own := slices.Equal(here.Cues(), []string{name}) || len(here.Cues()) == 0
	if own && slices.Equal(wide.Cues(), here.Cues()) {
		return nil
	}
	q := &question{about: Keep}
	q.ask.Text = fmt.Sprintf("the light of %s is shared with other cues", name)
	q.ask.Details = []string{"everywhere changes " + cue.ShortList(wide.Cues())}
	q.ask.Choices = []cue.Choice{
		{Text: "in " + name + " only", Command: string(KeepHere)},
		{Text: fmt.Sprintf("in all %s", countOf(len(wide.Cues()), "cue")), Command: string(KeepEverywhere)},
		{Text: "as a new cue", Command: string(KeepAs) + " "},
		{Text: "leave it unkept", Command: string(NeverMind)},
	}
	return &job{question: q}
}

// otherTrims tells of the trims of other cues; "" where there are none.
func (m *moment) otherTrims() string {
	l := m.layers()
	var names []string
	for i := range m.shoot.Cues {
		if i != l.Cue && len(m.trimsOf(i)) > 0 {
			names = append(names, m.cueName(i))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "not yet kept: the trims of " + cue.ShortList(names)
}
