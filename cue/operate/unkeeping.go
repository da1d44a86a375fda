package operate

import (
	"limn/cue/files"
	"limn/cue/timeline"
)

// planBack takes back what was kept, or keeps it again.
func (e *Engine) planBack(m *moment, c Command) *job {
	of, word := m.past, "undone"
	if c.Verb == Redo {
		of, word = m.future, "done again"
	}
	plan, err := of.plan.BackIn(e.options.Folder)
	if err != nil {
		return refusal("%s cannot be taken back: %v; .limn/history has the version before", of.text, err)
	}
	if e.options.Write {
		if err := plan.Write(files.By{What: c.String() + " " + of.text}); err != nil {
			return refusal("nothing was written: %v; .limn/history has the version before", err)
		}
	} else {
		plan.Adopt()
	}
	j := e.taking(plan.Shoot())
	if j.refused != "" {
		return j
	}
	j.back, j.redo, j.plan = true, c.Verb == Redo, plan
	j.text = word + ": " + of.text
	for _, ch := range plan.Changes() {
		j.mark.Files = append(j.mark.Files, ch.Path)
	}
	j.mark.Kept = c.String()
	return j
}

// unkeep is a job's part of taking back what was kept, or of keeping it again: the
// files are as they were, and what lay over them comes back.
func (m *moment) unkeep(k int64, j *job, r *Reply) {
	redo := j.redo
	c := m.past
	if redo {
		c = m.future
	}
	n := &change{text: c.text, before: c.before, after: c.after, plan: j.plan, to: c.to}
	to := &c.before
	if redo {
		to = &c.after
		m.future, n.below = c.below, m.past
		m.past = n
	} else {
		m.past, n.below = c.below, m.future
		m.future = n
	}
	l := to.layers
	if l.Cue < 0 {
		l = m.layers()
	}
	m.aside, m.ahead = to.aside, to.ahead
	how := timeline.Timing{Fade: timeline.TrimFade}
	if l.Cue != m.layers().Cue {
		how = timeline.Timing{AsWritten: true}
	}
	m.lay(k, l, how, r)
	if i := m.shoot.CueIndex(c.to); redo && i >= 0 && !r.Refused {
		m.told(m.player.Go(k, i), r)
	}
}
