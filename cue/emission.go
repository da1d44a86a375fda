package cue

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Emission is how a source gives its light, and what it takes to feed it: all that
// reports know of it beyond what its slots need. What is zero was not written.
type Emission struct {
	fixtures.Origin
	Bounce int // index in Shoot.Cards of the card it is turned to; -1 = none

	Beam    quantity.Degrees // the full angle at which half of the peak is left
	Candela float64          // at its peak, every emitter full
	Lumens  float64          // every emitter full

	// Diodes show through thin diffusion: their pitch, and how far behind the
	// diffuser they stand.
	LEDPitch, LEDDepth quantity.Length

	// Flicker of its dimming or its supply.
	PWM      quantity.Frequency
	PWMDepth quantity.Percent // 100·(most-least)/(most+least); of PWM without one, all
	PWMSine  bool             // it swings instead of switching: a lamp on the mains

	Watts   quantity.Power // at full; where the profile does not know
	Circuit string         // name of the circuit that feeds it; "" = the first, CircuitBattery
	Cable   Cable
}

// CircuitBattery is the circuit of sources that no wall feeds.
const CircuitBattery = "battery"

// Cable is the low-voltage run to a source. Zero = none written.
type Cable struct {
	Length quantity.Length // one way
	Area   float64         // of the wire, mm²
	Volts  float64
	Spread bool // the load is spread along it, as a strip's is
}

// Supply is what feeds the lights. What is zero was not written.
type Supply struct {
	fixtures.Origin
	Volts       float64
	Breaker     float64 // amperes, of each circuit
	PowerFactor float64
	Battery     float64 // watt-hours
}

// The ranges of what feeds lights.
const (
	MaxVolts       = 1000.0
	MaxBreaker     = 1000.0 // amperes
	MaxBattery     = 1e6    // watt-hours
	MaxWireArea    = 500.0  // mm²
	MaxCandela     = 1e8
	MaxLumens      = 1e7
	MaxPWM         = 1e6 // hertz
	MinPowerFactor = 0.2
)

// Flicker is how source i flickers: as written of it, else as its profile has it.
func (s *Shoot) Flicker(i int) fixtures.Flicker {
	if e := s.Emission(i); e.PWM.Hertz > 0 {
		f := fixtures.Flicker{Hertz: e.PWM.Hertz, Depth: e.PWMDepth.Share, Sine: e.PWMSine}
		if f.Depth == 0 {
			f.Depth = 1
		}
		return f
	}
	if src := &s.Rig.Sources[i]; !src.Hand && src.Profile != nil {
		return src.Profile.Flicker
	}
	return fixtures.Flicker{}
}

// Emission is what was written of how source i gives its light.
func (s *Shoot) Emission(i int) Emission {
	if i < 0 || i >= len(s.Emissions) {
		return Emission{Bounce: -1}
	}
	return s.Emissions[i]
}
