package operate

import (
	"fmt"
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/files"
)

// mirrorWork puts the mirror image of the present light into the cue that stands
// the other way round, or into a new one.
func (m *moment) mirrorWork(c Command) (*work, *job) {
	l := m.layers()
	scene := m.player.Scene()
	if !scene.HasAngle {
		return nil, refusal("%q has no angle, and so no other side", m.cueName(l.Cue))
	}
	m.calc.Lock()
	twin := m.shoot.Mirror(m.renderer, scene)
	m.calc.Unlock()
	w := &work{}
	to := c.Name
	if to == "" {
		i, off := m.nearestBut(twin.Azimuth, l.Cue)
		if i < 0 || off > nearEnough {
			return nil, refusal("no cue stands at %s; mirror as NAME makes one", degreesText(twin.Azimuth))
		}
		to = m.cueName(i)
	} else {
		azimuth := twin.Azimuth
		w.edits = append(w.edits, files.NewCue{Name: to, After: m.cueName(l.Cue), Azimuth: &azimuth})
		w.job.to = to
	}
	w.edits = append(w.edits, m.twinEdits(to, twin)...)
	w.job.notices = append(w.job.notices, twin.Short...)
	w.job.text = fmt.Sprintf("%s has the mirror image of %s", to, m.cueName(l.Cue))
	return w, nil
}

// twinEdits are a mirror image as edits of a cue.
func (m *moment) twinEdits(to string, twin *cue.Twin) []files.Edit {
	var out []files.Edit
	key := m.shoot.Key()
	order := slices.Sorted(maps.Keys(twin.Light))
	slices.SortStableFunc(order, func(a, b int) int { // the key's first: others count from it
		switch {
		case a == key && b != key:
			return -1
		case b == key && a != key:
			return 1
		}
		return 0
	})
	for _, i := range order {
		e := twin.Light[i]
		if e.Ramp != nil {
			out = append(out, files.SetRamp{Cue: to, Source: m.name(i), Ramp: e.Ramp})
			continue
		}
		out = append(out, files.SetLight{Cue: to, Source: m.name(i), Level: e.Level, Colour: e.Colour, Change: e.Change})
	}
	off := cue.Level{}
	if i := m.shoot.CueIndex(to); i >= 0 {
		for s := range m.shoot.Resolved[i].Light {
			if _, says := twin.Light[s]; !says && m.shoot.Resolved[i].Light[s].Asked.Y > 0 {
				out = append(out, files.SetLight{Cue: to, Source: m.name(s), Level: &off})
			}
		}
	}
	for _, p := range twin.Cards {
		place, away := p.Place, p.Out
		out = append(out, files.SetCard{Cue: to, Card: m.shoot.Cards[p.Card].Name, Place: &place, Out: &away})
	}
	for _, p := range twin.Places {
		place := p.Place
		out = append(out, files.SetPlace{Cue: to, Source: m.name(p.Source), Place: &place})
	}
	return out
}

// nearestBut is the cue nearest to an azimuth, one of them left out.
func (m *moment) nearestBut(azimuth float64, but int) (cueIndex int, off float64) {
	cueIndex, off = -1, 360
	for i := range m.shoot.Resolved {
		r := &m.shoot.Resolved[i]
		if d := abs(cue.Turn(r.Azimuth, azimuth)); i != but && r.HasAngle && d < off {
			cueIndex, off = i, d
		}
	}
	return cueIndex, off
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
