package operate

import (
	"fmt"
	"maps"
	"slices"
	"strconv"

	"limn/cue"
	"limn/cue/files"
	"limn/fixtures"
)

// pins hold the light of cues that come from those that are kept as it was, once the
// trims are in the files, under the looks laid on by hand too. What a cue says for itself
// altogether needs none. Where p is nil, what is not written counts as moved.
func (m *moment) pins(kept map[int]trims, p *files.Plan) []files.Edit {
	var out []files.Edit
	looks := m.layers().Looks
	entries := map[int]trims{}
	for i, t := range kept {
		entries[i] = m.entries(i, &cue.Over{Looks: looks, Trims: t})
	}
	is := indices(m.shoot)
	var then map[string]int
	if p != nil {
		then = indices(p.Shoot())
	}
	for i := range m.shoot.Cues {
		from, comes := is[m.shoot.Cues[i].From]
		if !comes || kept[from] == nil {
			continue
		}
		for _, source := range slices.Sorted(maps.Keys(kept[from])) {
			own, coloured := entries[i][source], entries[from][source].Colour != nil
			if own.Level != nil && own.Colour != nil {
				continue
			}
			written := m.shoot.Cues[i].Light[source]
			moves := written.Level == nil || coloured && written.Colour == nil
			if p != nil {
				moves = !sameLight(&m.shoot.Resolved[i].Light[source], &p.Shoot().Resolved[then[m.cueName(i)]].Light[source])
			}
			if moves {
				out = append(out, m.pin(i, source, coloured, -1))
			}
			if look := m.lookOver(from, source); look >= 0 && m.lookOver(i, source) == look {
				if edit := m.pin(i, source, coloured, look); edit != nil {
					out = append(out, edit)
				}
			}
		}
	}
	return out
}

// indices are the cues of a shoot by name.
func indices(s *cue.Shoot) map[string]int {
	out := make(map[string]int, len(s.Cues))
	for i := range s.Cues {
		out[s.Cues[i].Name] = i
	}
	return out
}

// pin is the edit that holds the light of one source in a cue as it is, in what comes
// of its own level: in as many digits as it takes for the same slots. With a look it is the
// cue's exception to that, under the looks laid on by hand; nil where that cannot say it.
func (m *moment) pin(i, source int, coloured bool, look int) files.Edit {
	name, scene := m.cueName(i), &m.shoot.Resolved[i]
	edit := files.SetLight{Cue: name, Source: m.name(source)}
	var looks []int
	if look >= 0 {
		looks = m.layers().Looks
		scene, _ = m.compose(i, &cue.Over{Looks: looks})
		edit.Look = m.shoot.Looks[look].Name
	}
	light := &scene.Light[source]
	switch {
	case light.Cells != nil && look >= 0:
		return nil
	case light.Cells != nil:
		return files.CopyLight{From: name, To: name, Sources: []string{m.name(source)}}
	}
	level, err := cue.ParseLevel(light.Level)
	if err != nil { // what a cue resolves to is a level: see cue.Light
		level = cue.Level{}
	}
	edit.Level = &level
	if coloured && light.Asked.Y > 0 {
		spec := m.colourOf(light)
		edit.Colour = &spec
	}
	l := m.lit(scene, source)
	value := l.value(level.Kind(), l.y)
	for decimals := 0; decimals <= maxDecimals; decimals++ {
		e := cue.Entry{Level: edit.Level, Colour: edit.Colour}
		is, _ := m.compose(i, &cue.Over{Looks: looks, Trims: trims{source: e}})
		if m.sameCue(scene, is) { // others may count from it
			return edit
		}
		if finer, err := cue.ParseLevel(levelText(level.Kind(), value, decimals)); err == nil {
			edit.Level = &finer
		}
	}
	edit.Level = &level
	return edit
}

// pinned tells which cues have light written for themselves so that it stays; "" for none.
func pinned(pins []files.Edit) string {
	var names []string
	for _, e := range pins {
		name := ""
		switch e := e.(type) {
		case files.SetLight:
			name = e.Cue
		case files.CopyLight:
			name = e.To
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	const most = 5 // that are told one by one
	if more := len(names) - most; more > 1 {
		names = append(names[:most:most], fmt.Sprintf("%d more", more))
	}
	if len(names) == 0 {
		return ""
	}
	return "so that it stays as it was, the light that came from here is written into " + cue.ShortList(names)
}

// maxDecimals is the most decimals of a level that is written to hold a light.
const maxDecimals = 9

// levelText is a level with so many decimals.
func levelText(kind cue.LevelKind, value float64, decimals int) string {
	switch kind {
	case cue.LevelPercent:
		return strconv.FormatFloat(100*value, 'f', decimals, 64) + " %"
	case cue.LevelStops:
		return strconv.FormatFloat(value, 'f', decimals, 64) + " stops"
	case cue.LevelKey:
		return fmt.Sprintf("key %+.*f stops", decimals, value)
	case cue.LevelLux:
		return strconv.FormatFloat(value, 'f', decimals, 64) + " lx"
	}
	return "off"
}

// drift tells what of the light of cues differs, to the slot, from what it is to be
// after a plan: that of the kept ones as it plays with its trims, that of all others as it
// was, under the looks that are laid on too.
func (m *moment) drift(kept map[int]trims, p *files.Plan) []string {
	looks := m.layers().Looks
	is, then := indices(m.shoot), indices(p.Shoot())
	changed := map[int]bool{}
	for _, name := range p.Cues() {
		changed[is[name]] = true
	}
	var out []string
	say := func(text string) {
		if text != "" {
			out = append(out, text)
		}
	}
	for i := range m.shoot.Cues {
		to := then[m.cueName(i)]
		if changed[i] && kept[i] == nil {
			say(m.differ(i, &m.shoot.Resolved[i], &p.Shoot().Resolved[to], ""))
		}
		if kept[i] == nil && (len(looks) == 0 || !m.comesFrom(i, kept, is)) {
			continue
		}
		want, _ := m.compose(i, &cue.Over{Looks: looks, Trims: kept[i]})
		m.calc.Lock()
		got, _ := p.Shoot().Compose(m.renderer, to, &cue.Over{Looks: looks})
		m.calc.Unlock()
		under := ""
		if len(looks) > 0 && kept[i] == nil {
			under = " under " + m.shoot.Looks[looks[len(looks)-1]].Name
		}
		say(m.differ(i, want, got, under))
	}
	return out
}

// comesFrom says whether a cue comes from one that is kept, over however many others.
func (m *moment) comesFrom(i int, kept map[int]trims, index map[string]int) bool {
	for range m.shoot.Cues {
		from, comes := index[m.shoot.Cues[i].From]
		if !comes || kept[from] != nil {
			return comes
		}
		i = from
	}
	return false
}

// differ tells the lights of a cue that settle on other slots; "" where none does.
func (m *moment) differ(i int, want, got *cue.Resolved, under string) string {
	var lights []string
	for source := range want.Light {
		was, is := &want.Light[source], &got.Light[source]
		switch {
		case m.sameSlots(source, was, is):
		case was.Level != is.Level:
			lights = append(lights, fmt.Sprintf("%s (from %s to %s)", m.name(source), was.Level, is.Level))
		default:
			lights = append(lights, m.name(source))
		}
	}
	if len(lights) == 0 {
		return ""
	}
	return fmt.Sprintf("in %s%s: %s", m.cueName(i), under, cue.ShortList(lights))
}

// sameLight says whether two lights are asked for alike.
func sameLight(a, b *cue.Light) bool { return a.Asked == b.Asked && slices.Equal(a.Cells, b.Cells) }

// sameCue says whether two lights of a cue settle on the same slots.
func (m *moment) sameCue(a, b *cue.Resolved) bool {
	for source := range a.Light {
		if !m.sameSlots(source, &a.Light[source], &b.Light[source]) {
			return false
		}
	}
	return true
}

// sameSlots says whether two lights of a source settle on the same slots.
func (m *moment) sameSlots(source int, a, b *cue.Light) bool {
	if sameLight(a, b) {
		return true
	}
	m.calc.Lock()
	defer m.calc.Unlock()
	return slices.Equal(m.stillSlots(source, a), m.stillSlots(source, b))
}

// stillSlots are the slots that one source settles on, all others dark. calc is held.
func (m *moment) stillSlots(source int, l *cue.Light) [][fixtures.UniverseSize]byte {
	s, r := m.player.NewState(), m.renderer
	s.Light[source] = l.Asked
	if l.Cells == nil {
		s.Cells[source], s.Offset[source] = nil, make([]int, r.Controls(source))
		r.Land(source, l.Asked, s.Offset[source])
	} else {
		s.Cells[source], s.Offset[source] = l.Cells, make([]int, r.Layout(source).Codes())
		r.LandCells(source, l.Cells, s.Offset[source])
	}
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(s, frames)
	return frames
}
