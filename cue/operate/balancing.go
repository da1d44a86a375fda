package operate

import (
	"fmt"
	"slices"
	"sort"

	"limn/cue"
	"limn/cue/timeline"
)

// trim changes the balance of the present cue at once, that of others once it
// was told what comes of it.
func (m *moment) trim(k int64, c Command, r *Reply) {
	t := c.Trim
	switch {
	case t == nil || len(t.Parts) == 0:
		r.refuse("trim does not say what to change")
		return
	case t.All || len(t.Cues) > 0:
		m.trimIn(c, r)
		return
	case !m.called(r):
		return
	case m.layers().Cue < 0:
		r.refuse("the cue is no longer in the files, and its light stays as it is; go to another first")
		return
	}
	b := m.bench(m.layers().Cue)
	before := b.scene
	for i := range t.Parts {
		b.part(&t.Parts[i])
	}
	if m.exposure && len(b.touched) > 0 {
		m.holdTotal(b, before)
	}
	m.lays(k, c, b, r)
}

// lays plays the trims of a bench over the present cue.
func (m *moment) lays(k int64, c Command, b *bench, r *Reply) {
	for _, text := range b.notices {
		r.say("%s", text)
	}
	for _, text := range b.refused {
		r.say("%s", text)
	}
	if len(b.touched) == 0 {
		r.Refused = true
		return
	}
	was := m.balance()
	l := m.layers()
	if len(m.aside[l.Cue]) > 0 {
		r.say("the trims that were offered are given up for this; undo brings them back")
		m.put(l.Cue, nil)
	}
	if m.lay(k, l.WithTrims(b.trims), timeline.Timing{Fade: timeline.TrimFade}, r); r.Refused {
		return
	}
	m.done(c.String(), was)
	r.say("%s", m.differences(b.inOrder(), m.kept(), m.player.Scene()))
}

// trimIn works out trims for chosen cues, and asks.
func (m *moment) trimIn(c Command, r *Reply) {
	var cues []int
	for i := range m.shoot.Cues {
		if c.Trim.All || slices.Contains(c.Trim.Cues, m.shoot.Cues[i].Name) {
			cues = append(cues, i)
		}
	}
	if len(cues) == 0 {
		r.refuse("there is no such cue")
		return
	}
	q := &question{about: TrimVerb, trims: map[int]trims{}, text: c.String()}
	for _, i := range cues {
		b := m.bench(i)
		for n := range c.Trim.Parts {
			b.part(&c.Trim.Parts[n])
		}
		line := m.cueName(i) + ": "
		if len(b.touched) == 0 {
			q.ask.Details = append(q.ask.Details, line+"nothing changes ("+joinOr(b.refused, "no light fits")+")")
			continue
		}
		q.trims[i] = b.trims
		kept, _ := m.compose(i, &cue.Over{Looks: b.looks})
		line += m.differences(b.inOrder(), kept, b.scene)
		for _, text := range slices.Concat(b.notices, b.refused) {
			line += "; " + text
		}
		q.ask.Details = append(q.ask.Details, line)
	}
	if len(q.trims) == 0 {
		r.Refused = true
		for _, d := range q.ask.Details {
			r.say("%s", d)
		}
		return
	}
	q.ask.Text = fmt.Sprintf("this changes %d of %d cues", len(q.trims), len(m.shoot.Cues))
	q.ask.Choices = []cue.Choice{
		{Text: "trim them so; one undo takes it back", Command: string(Apply)},
		{Text: "leave them as they are", Command: string(NeverMind)},
	}
	m.ask(q, r)
}

func joinOr(texts []string, none string) string {
	if len(texts) == 0 {
		return none
	}
	return texts[0]
}

// applyTrims gives cues the trims that were told before.
func (m *moment) applyTrims(k int64, q *question, r *Reply) {
	was := m.balance()
	l := m.layers()
	cues := make([]int, 0, len(q.trims))
	for i := range q.trims {
		cues = append(cues, i)
	}
	sort.Ints(cues)
	for _, i := range cues {
		if i == l.Cue {
			l = l.WithTrims(q.trims[i])
			m.put(i, nil)
			continue
		}
		l = l.WithTrimsOf(i, q.trims[i])
		m.put(i, nil)
		m.ahead = with(m.ahead, i, true, true)
	}
	if m.lay(k, l, timeline.Timing{Fade: timeline.TrimFade}, r); r.Refused {
		return
	}
	m.done(q.text, was)
	r.say("trimmed %s; one undo takes it back", countOf(len(cues), "cue"))
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// untrim takes all trims of the present cue back.
func (m *moment) untrim(k int64, c Command, r *Reply) {
	l := m.layers()
	if len(m.playing()) == 0 && len(m.aside[l.Cue]) == 0 {
		r.refuse("the cue has no trims")
		return
	}
	was := m.balance()
	m.total = 0
	m.put(l.Cue, nil)
	if m.lay(k, l.WithTrims(nil), timeline.Timing{Fade: timeline.TrimFade}, r); !r.Refused {
		m.done(c.String(), was)
	}
}

// compare shows the kept light, or the trimmed one again.
func (m *moment) compare(k int64, trimmed bool, r *Reply) {
	l := m.layers()
	aside, playing := m.aside[l.Cue], m.playing()
	m.total = 0
	switch {
	case trimmed && len(aside) == 0 && len(playing) > 0:
		r.refuse("the light is trimmed already")
	case trimmed && len(aside) == 0:
		r.refuse("the cue has no trims")
	case !trimmed && len(playing) == 0 && len(aside) > 0:
		r.refuse("the light is as it is kept already; trimmed shows the trims")
	case !trimmed && len(playing) == 0:
		r.refuse("the cue has no trims; the light is as it is kept")
	case trimmed:
		m.put(l.Cue, nil)
		m.lay(k, l.WithTrims(aside), timeline.Timing{Fade: timeline.TrimFade}, r)
	default:
		m.put(l.Cue, playing)
		m.lay(k, l.WithTrims(nil), timeline.Timing{Fade: timeline.TrimFade}, r)
	}
}
