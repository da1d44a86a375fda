package files

import (
	"slices"

	"limn/cue"
)

// layer is one table of light that a cue is made of.
type layer struct {
	cue   int // whose entries or exceptions; -1 = a look's own
	look  int // -1 = a cue's own entries
	light map[int]cue.Entry
}

// layers lists the tables of light that cue i is made of, lowest first, in the
// order in which they are laid when it resolves. The shoot is sound: it has no
// cycles and no unknown names.
func layers(s *cue.Shoot, i int) []layer {
	chain := []int{i}
	for from := s.Cues[i].From; from != ""; {
		at := s.CueIndex(from)
		chain = append(chain, at)
		from = s.Cues[at].From
	}
	type exception struct {
		of  int // cue
		get *cue.Exception
	}
	var out []layer
	var lying []string
	var exceptions []exception
	for _, at := range slices.Backward(chain) {
		c := &s.Cues[at]
		for k := range c.Exceptions {
			x := &c.Exceptions[k]
			exceptions = append(exceptions, exception{at, x})
			if slices.Contains(lying, x.Look) && !slices.Contains(c.Looks, x.Look) {
				out = append(out, layer{at, lookIndex(s, x.Look), x.Light})
			}
		}
		for _, name := range c.Looks {
			l := lookIndex(s, name)
			out = append(out, layer{-1, l, s.Looks[l].Light})
			for _, x := range exceptions {
				if x.get.Look == name {
					out = append(out, layer{x.of, l, x.get.Light})
				}
			}
			lying = append(lying, name)
		}
		out = append(out, layer{at, -1, c.Light})
	}
	return out
}

func lookIndex(s *cue.Shoot, name string) int {
	return slices.IndexFunc(s.Looks, func(l cue.Look) bool { return l.Name == name })
}

// says tells whether an entry says something of a part.
func says(e *cue.Entry, part Part) bool {
	if part == PartColour {
		return e.Colour != nil || e.Ramp != nil && slices.ContainsFunc(e.Ramp.Points, func(p cue.RampPoint) bool { return p.Colour != nil })
	}
	return e.Level != nil || e.Change != nil || e.Ramp != nil && slices.ContainsFunc(e.Ramp.Points, func(p cue.RampPoint) bool { return p.Level != nil })
}

// uppermost is the highest layer that says something of a part of a source, -1
// if none does.
func uppermost(ls []layer, source int, part Part) int {
	for i, l := range slices.Backward(ls) {
		if e, ok := l.light[source]; ok && says(&e, part) {
			return i
		}
	}
	return -1
}

// ramped says whether a ramp lies on a source: one that no entry above it made plain.
func ramped(ls []layer, source int) bool {
	for _, l := range slices.Backward(ls) {
		e, ok := l.light[source]
		switch {
		case !ok:
		case e.Ramp != nil:
			return true
		case e.Level != nil && e.Colour != nil:
			return false
		}
	}
	return false
}
