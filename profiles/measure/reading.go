package measure

import (
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// Whole is the control of a reading of the whole light at the most it gives: the
// reference that is read again and again, and what the emitters must add up to.
const Whole = "all"

// Dark is how tables and answers name a reading with every light off: Whole at 0.
const Dark = "dark"

// Names of the controls of a light that mixes for itself.
const (
	Dimmer = "dimmer"
	CCT    = "cct"
)

// Limits of readings. They are wide of any instrument; beyond them lies a slip.
const (
	MaxReadings = 20_000
	MaxLux      = 1_000_000 // ten times the sun
)

// Reading is what an instrument said of one light.
type Reading struct {
	fixtures.Origin
	Source  string
	Control string    // an emitter's name, Dimmer, CCT, or Whole
	Level   float64   // share of the highest code, 0..1; 0 = everything is dark
	Lux     float64   // as shown, ambient light and all; NaN = not told
	XY      colour.XY // as shown; zero = not told
	After   float64   // seconds since the light was switched on; NaN = not told

	// Error is how well one reading repeats, as a share of Lux, and ColourError in
	// u'v'; 0 = not known. Photographs tell it by their noise.
	Error, ColourError float64
}

// IsDark says whether the light was off: what was read is the room.
func (r *Reading) IsDark() bool { return isDark(r.Control, r.Level) }

// isDark says whether nothing shines: a colour temperature at 0 is a white.
func isDark(control string, level float64) bool { return level == 0 && control != CCT }

// light is the reading as XYZ; without a colour X and Z are NaN.
func (r *Reading) light() colour.XYZ {
	if r.XY.Y > 0 {
		return r.XY.XYZ(r.Lux)
	}
	return colour.XYZ{X: math.NaN(), Y: r.Lux, Z: math.NaN()}
}

// Series is what was read of one light, in the order it was read.
type Series struct {
	Source     string
	Profile    *fixtures.Profile
	Before     *fixtures.Profile // what the light was taken to be until now; nil = Profile
	Instrument string
	Date       string // year-month-day
	Note       string
	Distance   quantity.Length // light's face to meter; nothing = at the aim point

	// Relative says that lux are lumens against another light, taken to be as it is
	// known: there is no reading of the aim point in them.
	Relative bool
	// OwnDark says that the instrument takes the room's light out itself, as a
	// spectrometer with a shutter and a dark scan does.
	OwnDark bool
	Terms   Terms // what the instrument adds to the error

	Readings []Reading
}

// Controls are what has to be read of a light, each alone: its emitters where they
// have slots of their own, else the dimmer; and then the colour temperature.
func Controls(p *fixtures.Profile) []string {
	var own, others []string
	for i := range p.Slots {
		switch s := &p.Slots[i]; s.Kind {
		case fixtures.SlotEmitter:
			own = append(own, p.Emitters[s.Emitter].Name)
		case fixtures.SlotDimmer:
			others = append(others, Dimmer)
		case fixtures.SlotCCT:
			others = append(others, CCT)
		}
	}
	return append(own, others...)
}

// highest is the highest code of a control, 0 if the light has none of that name.
func highest(p *fixtures.Profile, control string) int {
	for i := range p.Slots {
		s := &p.Slots[i]
		named := s.Kind == fixtures.SlotEmitter && p.Emitters[s.Emitter].Name == control ||
			s.Kind == fixtures.SlotDimmer && control == Dimmer ||
			s.Kind == fixtures.SlotCCT && control == CCT
		if named {
			return s.Max()
		}
	}
	return 0
}

// emitter is the emitter of that name, nil if there is none.
func emitter(p *fixtures.Profile, name string) *fixtures.Emitter {
	for i := range p.Emitters {
		if p.Emitters[i].Name == name {
			return &p.Emitters[i]
		}
	}
	return nil
}
