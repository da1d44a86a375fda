package cue

import "math"

// Gauge is where a source stands on the exposure ruler, in stops against the
// key. NaN = cannot be told, -Inf = no light.
type Gauge struct {
	Now  float64
	Kept float64 // where it goes, or would be, without trims
	Most float64 // the most it gives at its present colour
}

// Gauge reads one source of a snapshot. Without a meter reading there is no way
// to tell stops against the key, and nothing is guessed.
func (s *Shoot) Gauge(snap *Snapshot, i int) Gauge {
	src := &snap.Sources[i]
	g := Gauge{Now: src.KeyStops, Kept: s.kept(snap, i), Most: src.KeyStops + src.Headroom}
	if math.IsInf(g.Now, -1) {
		g.Most = math.NaN()
	}
	return g
}

// kept is where the light without trims stands: what the cue resolved to where
// nothing is laid over it, else by its own words where they are counted against
// the key, else by what the present level, in the same unit, was trimmed by.
func (s *Shoot) kept(snap *Snapshot, i int) float64 {
	src := &snap.Sources[i]
	if !src.Trimmed && len(snap.Looks) == 0 && snap.Cue >= 0 && snap.Cue < len(s.Resolved) && i < len(s.Resolved[snap.Cue].Light) {
		return s.Resolved[snap.Cue].Light[i].KeyStops
	}
	was, err := ParseLevel(src.KeptLevel)
	if err != nil {
		return math.NaN() // nothing plays yet, or it is a ramp
	}
	switch was.Kind() {
	case LevelOff:
		return math.Inf(-1)
	case LevelKey:
		return was.Value()
	}
	is, err := ParseLevel(src.Level)
	if err != nil || is.Kind() != was.Kind() || src.Colour != src.KeptColour || snap.Motion != Settled {
		return math.NaN()
	}
	if was.Kind() == LevelStops {
		return src.KeyStops + was.Value() - is.Value()
	}
	if !(is.Value() > 0) || !(was.Value() > 0) {
		return math.NaN()
	}
	return src.KeyStops + math.Log2(was.Value()/is.Value())
}
