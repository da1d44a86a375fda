package operate

import (
	"fmt"
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/files"
)

// edits are the trims t over cue i as edits of the cue called to.
func (m *moment) edits(i int, to string, t trims, where files.Where, exceptions bool) []files.Edit {
	entries := m.entries(i, &cue.Over{Looks: m.layers().Looks, Trims: t})
	var out []files.Edit
	for _, source := range slices.Sorted(maps.Keys(entries)) {
		e := entries[source]
		edit := files.SetLight{Cue: to, Source: m.name(source), Level: e.Level, Colour: e.Colour, Change: e.Change, Where: where}
		if look := m.lookOver(i, source); exceptions && look >= 0 {
			edit.Look = m.shoot.Looks[look].Name
			if where == files.AtOrigin {
				edit.Cue = ""
			}
		}
		out = append(out, edit)
	}
	return out
}

// lookOver is the topmost look laid on by hand that says something of a source in
// cue i; -1 for none. What is kept of it then is an exception of that look, as the look
// goes over all that the cue says itself.
func (m *moment) lookOver(i, source int) int {
	exceptions := m.shoot.Cues[i].Exceptions
	for _, look := range slices.Backward(m.layers().Looks) {
		if _, says := m.shoot.Looks[look].Light[source]; says {
			return look
		}
		for k := range exceptions {
			x := &exceptions[k]
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
	w := &work{edits: m.edits(l.Cue, name, t, files.Here, true)}
	w.job.kept = []int{l.Cue}
	w.job.text = "kept in " + name
	if others := m.otherTrims(); others != "" {
		w.job.notices = append(w.job.notices, others)
	}
	switch c.Verb {
	case KeepEverywhere:
		w.edits = m.edits(l.Cue, name, t, files.AtOrigin, true)
		w.settle = func(p *files.Plan) *job {
			w.job.text = "kept; changed: " + cue.ShortList(p.Cues())
			return nil
		}
	case KeepHere:
		w.pins = func(p *files.Plan) []files.Edit { return m.pins(map[int]trims{l.Cue: t}, p) }
		w.check = func(p *files.Plan) *job { return m.askDrift(c, map[int]trims{l.Cue: t}, p) }
	default:
		w.settle = func(p *files.Plan) *job { return m.askWhere(name, t, p, f) }
		w.instead = func() *job { return m.askHere(name, t, w.edits, f) }
	}
	return w, nil
}

// askWhere asks where trims are kept if that is not plain: where other cues come
// from this one, or the light comes from a look or from another cue.
func (m *moment) askWhere(name string, t trims, here *files.Plan, f *files.Folder) *job {
	wide, err := f.Plan(m.edits(m.layers().Cue, name, t, files.AtOrigin, true))
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
		{Text: everywhereText(wide.Cues()), Command: string(KeepEverywhere)},
		{Text: "as a new cue", Command: string(KeepAs) + " "},
		{Text: "leave it unkept", Command: string(NeverMind)},
	}
	return &job{question: q}
}

// askHere asks for what can be kept here alone, as other cues could not be played with
// it; nil where that cannot be either.
func (m *moment) askHere(name string, t trims, edits []files.Edit, f *files.Folder) *job {
	pins := m.pins(map[int]trims{m.layers().Cue: t}, nil)
	if _, err := f.Plan(slices.Concat(pins, edits)); err != nil {
		return nil
	}
	q := &question{about: Keep}
	q.ask.Text = fmt.Sprintf("other cues come from %s, and count from light that would be gone", name)
	q.ask.Choices = []cue.Choice{
		{Text: "in " + name + " only; the others stay as they are", Command: string(KeepHere)},
		{Text: "as a new cue", Command: string(KeepAs) + " "},
		{Text: "leave it unkept", Command: string(NeverMind)},
	}
	return &job{question: q}
}

// everywhereText is what it comes to where the light comes from.
func everywhereText(cues []string) string {
	if len(cues) == 1 {
		return "where it comes from, which changes " + cues[0]
	}
	return fmt.Sprintf("in all %s", countOf(len(cues), "cue"))
}

// askDrift asks before anything is kept here that would change other cues, or play
// otherwise than it does.
func (m *moment) askDrift(c Command, kept map[int]trims, p *files.Plan) *job {
	drift := m.drift(kept, p)
	if len(drift) == 0 {
		return nil
	}
	q := &question{about: c.Verb, keep: &c}
	q.ask.Text = "kept here, other light would change too"
	q.ask.Details = drift
	q.ask.Choices = []cue.Choice{
		{Text: "keep it so; one undo takes it back", Command: string(Apply)},
		{Text: "leave it unkept", Command: string(NeverMind)},
	}
	return &job{question: q}
}

// keepAllWork keeps the trims of every cue in it, for this cue only, once they have
// been told.
func (m *moment) keepAllWork(c Command) (*work, *job) {
	if here := m.layers().Here; here != nil {
		return nil, refusal("no cue stands at %s yet; keep as NAME makes one with this light, then keep all", degreesText(here.Azimuth))
	}
	kept := map[int]trims{}
	w := &work{}
	var names, details []string
	for i := range m.shoot.Cues {
		t := m.trimsOf(i)
		if len(t) == 0 {
			continue
		}
		kept[i] = t
		w.job.kept = append(w.job.kept, i)
		w.edits = append(w.edits, m.edits(i, m.cueName(i), t, files.Here, true)...)
		names = append(names, m.cueName(i))
		details = append(details, m.cueName(i)+": "+m.trimWords(i, t))
	}
	if len(kept) == 0 {
		return nil, refusal("no cue has trims to keep")
	}
	w.job.text = "kept in " + cue.ShortList(names)
	w.pins = func(p *files.Plan) []files.Edit { return m.pins(kept, p) }
	w.check = func(p *files.Plan) *job {
		q := &question{about: KeepAll, keep: &c}
		q.ask.Text = "this keeps the trims of " + countOf(len(kept), "cue")
		q.ask.Details = details
		for _, d := range m.drift(kept, p) {
			q.ask.Details = append(q.ask.Details, "this changes too, "+d)
		}
		q.ask.Choices = []cue.Choice{
			{Text: "keep them so; one undo takes it back", Command: string(Apply)},
			{Text: "leave them unkept", Command: string(NeverMind)},
		}
		return &job{question: q}
	}
	return w, nil
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
