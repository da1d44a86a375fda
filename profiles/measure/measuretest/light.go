package measuretest

import (
	"fmt"
	"math"
	"math/rand/v2"

	"limn/fixtures/colour"
	"limn/profiles/measure"
)

// Emitter is one colour of diode as it truly is.
type Emitter struct {
	Name  string
	XY    colour.XY // at full
	Lux   float64   // at full, warm
	Gamma float64   // light = code^Gamma; 0 counts as 1
	Cut   float64   // share of the highest code below which it is dark
	// Shift is how far in u' and v' its colour has gone at 1/1024, a straight line in
	// stops.
	Shift colour.UV
}

// Light is one light as it truly is.
type Light struct {
	Emitters []Emitter
	Sag      float64 // share of light lost when all emitters are at full
	Drop     float64 // share of light lost by warming up
	Tau      float64 // of it, seconds
}

// Truth is what an emitter truly gives at a level, warm and alone.
func (e *Emitter) Truth(level float64) colour.XYZ {
	share := e.Share(level)
	if share == 0 {
		return colour.XYZ{}
	}
	uv := e.XY.UV()
	part := math.Min(-math.Log2(share)/10, 1)
	return colour.UV{U: uv.U + part*e.Shift.U, V: uv.V + part*e.Shift.V}.XY().XYZ(e.Lux * share)
}

// Share is the share of full that an emitter truly gives at a level.
func (e *Emitter) Share(level float64) float64 {
	if level <= 0 || level < e.Cut {
		return 0
	}
	gamma := e.Gamma
	if gamma == 0 {
		gamma = 1
	}
	return math.Pow(level, gamma)
}

// Set is a set of lights, a room and a clock. Its zero room is black.
type Set struct {
	Lights  map[string]*Light
	Ambient colour.XYZ
	Seconds float64 // since every light was switched on

	shown colour.XYZ
	noise *rand.Rand
}

// New is a set of lights with the noise of a seed.
func New(seed uint64, lights map[string]*Light) *Set {
	return &Set{Lights: lights, noise: rand.New(rand.NewPCG(seed, 1))}
}

// Set shows one control alone: it makes the set a measure.Lamp. Only emitters and the
// whole light can be shown.
func (s *Set) Set(source, control string, level float64) error {
	l, ok := s.Lights[source]
	if !ok {
		return fmt.Errorf("no light %q", source)
	}
	warm := 1 + l.Drop/(1-l.Drop)*math.Exp(-s.Seconds/max(l.Tau, 1))
	s.shown = colour.XYZ{}
	found := control == measure.Whole
	for i := range l.Emitters {
		e := &l.Emitters[i]
		if control != measure.Whole && e.Name != control {
			continue
		}
		found = true
		k := warm
		if control == measure.Whole {
			k *= 1 - l.Sag
		}
		t := e.Truth(level)
		s.shown = colour.XYZ{X: s.shown.X + k*t.X, Y: s.shown.Y + k*t.Y, Z: s.shown.Z + k*t.Z}
	}
	if !found {
		return fmt.Errorf("%s has no emitter %q", source, control)
	}
	return nil
}

// Light is what now falls on the mark, the room's light too.
func (s *Set) Light() colour.XYZ {
	return colour.XYZ{X: s.shown.X + s.Ambient.X, Y: s.shown.Y + s.Ambient.Y, Z: s.shown.Z + s.Ambient.Z}
}

// Meter is what a meter of such a repeatability (a share; one sigma) shows now.
func (s *Set) Meter(repeat float64) (lux float64, xy colour.XY) {
	l := s.Light()
	xy, _ = l.XY()
	return l.Y * (1 + repeat*s.noise.NormFloat64()), xy
}
