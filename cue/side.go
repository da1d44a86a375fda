package cue

import (
	"math"

	"limn/fixtures"
)

// Elevations from which a light counts as one from above or from below, in
// degrees: past the steeper half of the quarter, the deck gets more of it than
// the sides do.
const (
	fromAbove = 55.0
	fromBelow = -35.0
)

// sides are the parts of a hull by eighths of a turn from the bow, counter-clockwise
// seen from above.
var sides = [8]string{
	"bow", "port bow", "port side", "port quarter",
	"stern", "starboard quarter", "starboard side", "starboard bow",
}

// Side says which part of the model faces a place, with the table at an azimuth:
// "port bow", "starboard side", "deck" for what stands steeply above it and
// "keel" for what stands steeply below. It is "" for a place that nobody told.
func Side(place fixtures.Place, table float64) string {
	if !place.Known {
		return ""
	}
	switch e := place.Elevation.Degrees; {
	case e >= fromAbove:
		return "deck"
	case e <= fromBelow:
		return "keel"
	}
	from := place.Azimuth.Degrees
	if !place.Rides {
		from -= table
	}
	if math.IsNaN(from) || math.IsInf(from, 0) {
		return ""
	}
	return sides[eighth(from)]
}

// Lights says what a source lights as the model stands: the [Side] that faces it,
// or "backdrop" for a background light. r is the cue with its places, nil where
// there is none.
func (s *Shoot) Lights(i int, r *Resolved, table float64) string {
	if s.Rig.Sources[i].Role == fixtures.Background {
		return "backdrop"
	}
	place, _ := s.PlaceOf(i, r)
	return Side(place, table)
}

// PlaceOf is where source i stands in a cue, and the mark there in the user's own
// words: as the cue has it, else as the rig has. r may be nil.
func (s *Shoot) PlaceOf(i int, r *Resolved) (place fixtures.Place, mark string) {
	if p, ok := r.moved(i); ok {
		return p.Place, p.Mark
	}
	return s.Rig.Sources[i].Place, ""
}
