package operate

import (
	"fmt"
	"slices"

	"limn/cue"
	"limn/cue/files"
)

// newCueWork makes a cue of the present light.
func (m *moment) newCueWork(c Command) (*work, *job) {
	if m.shoot.CueIndex(c.Name) >= 0 {
		return nil, refusal("there is a cue %q already; give the new one another name", c.Name)
	}
	l := m.layers()
	from := m.cueName(l.Cue)
	n := files.NewCue{Name: c.Name, From: from, After: from}
	azimuth := c.Azimuth.Degrees
	switch {
	case c.Verb == NewAngle:
		n.Azimuth = &azimuth
	case l.Here != nil:
		azimuth = l.Here.Azimuth
		n.Azimuth = &azimuth
	}
	for _, look := range l.Looks {
		n.Looks = append(n.Looks, m.shoot.Looks[look].Name)
	}
	w := &work{edits: append([]files.Edit{n}, m.edits(l.Cue, c.Name, m.playing(), files.Here, false)...)}
	w.job.looks = true
	w.job.kept = []int{l.Cue}
	w.job.to = c.Name
	w.job.text = fmt.Sprintf("the new cue %s has this light, and comes after %s", c.Name, from)
	return w, nil
}

// copyWork gives other cues the present light.
func (m *moment) copyWork(c Command) (*work, *job) {
	l := m.layers()
	from := m.cueName(l.Cue)
	w := &work{}
	for _, name := range c.Names {
		switch {
		case m.shoot.CueIndex(name) < 0:
			return nil, refusal("there is no cue %q", name)
		case name == from:
			return nil, refusal("%q is the cue itself", name)
		}
		w.edits = append(w.edits, files.CopyLight{From: from, To: name})
		w.edits = append(w.edits, m.edits(l.Cue, name, m.playing(), files.Here, false)...)
	}
	w.job.text = fmt.Sprintf("%s %s the light of %s now", cue.ShortList(c.Names), hasOrHave(len(c.Names)), from)
	w.settle = func(p *files.Plan) *job {
		var more []string
		for _, name := range p.Cues() {
			if !slices.Contains(c.Names, name) {
				more = append(more, name)
			}
		}
		if len(more) > 0 {
			w.job.notices = append(w.job.notices, "what comes from there changes too: "+cue.ShortList(more))
		}
		return nil
	}
	return w, nil
}

func hasOrHave(n int) string {
	if n == 1 {
		return "has"
	}
	return "have"
}
