package cue

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Subject is the model on the table.
type Subject struct {
	fixtures.Origin
	Name                  string
	Scale                 float64 // 12 = 1:12; 1 = the thing itself
	Length, Width, Height quantity.Length
	Form                  Form
	Surface               Surface
}

// MaxScale is the smallest model: 1:1000.
const MaxScale = 1000.0

// Turntable is what turns the subject.
type Turntable struct {
	fixtures.Origin
	Hand  bool
	Drive string // name of the source whose profile has an azimuth slot, when not by hand

	// Of a motor table, what it can do and what is good for what stands on it; zero = not written.
	Speed    float64           // the most, degrees a second
	Ramp     quantity.Duration // from standing to that speed
	Backlash quantity.Degrees  // play of its gears
}
