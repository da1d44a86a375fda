package cue

import (
	"slices"

	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

const (
	// MaxRampPoints is the most points of one ramp.
	MaxRampPoints = 100
	// MaxRampCells is the most cells that the different ramps of a shoot come to:
	// fifty thousand ramps along forty cells.
	MaxRampCells = 2_000_000
)

// Ramp is light that changes along a pixel strip: points, and between two of
// them what lies between two lights in a fade. Before the first point and after
// the last the light is theirs.
type Ramp struct {
	fixtures.Origin // of the key
	Points          []RampPoint
}

// RampPoint is the light at one place of a strip. What is nil is that of the
// entry the ramp stands in: its level and colour, inherited ones included.
type RampPoint struct {
	fixtures.Origin         // of the point
	At              float64 // share of the strip's length: 0 = its first cell, 1 = its last
	Level           *Level
	Colour          *colour.Spec

	// Of the stretch that leads here from the point before; nil = linear and
	// auto. A fade's own curve and path do not count: the light of a cue does not
	// depend on how it was reached.
	Curve *fade.Curve
	Path  *fade.Path

	AtAt, LevelAt, ColourAt fixtures.Origin // of At, Level and Colour
}

// Under is the ramp where an entry without one comes to stand over it, key by
// key: what the entry says of level or colour goes for every point. It is nil if
// the entry says both.
func (r *Ramp) Under(e *Entry) *Ramp {
	level, colour := e.Level != nil || e.Change != nil, e.Colour != nil
	switch {
	case level && colour:
		return nil
	case !level && !colour:
		return r
	}
	out := &Ramp{Origin: r.Origin, Points: slices.Clone(r.Points)}
	for i := range out.Points {
		if level {
			out.Points[i].Level = nil
		} else {
			out.Points[i].Colour = nil
		}
	}
	return out
}
