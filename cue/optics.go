package cue

import "limn/fixtures/quantity"

// Optics is what reports need to know of a camera beyond its settings. What is
// zero was not written, and has the default named beside it.
type Optics struct {
	PupilRatio   float64          // exit pupil over entrance pupil; 1
	Effective    bool             // the camera shows f-numbers with the loss of close focus in them
	ND           float64          // density of the neutral filters; 0
	Transmission quantity.Percent // share of the light the lens lets through; 100 %
	Readout      quantity.Duration
	Rows         int                // of the picture, for bands
	Mains        quantity.Frequency // of the place where the lights hang
	Headroom     quantity.Stops     // from mid-tone to clipping; by the saturation speed
	HasHeadroom  bool
	Blur         quantity.Length  // allowed on the sensor; the diagonal over 1500
	Height       quantity.Length  // of the lens above the table's top
	Elevation    quantity.Degrees // of the lens above the horizontal, seen from the aim point
	HasElevation bool
	MeterC       float64 // of incident light; 250
	MeterK       float64 // of reflected light; 12.5
}

// The ranges of a camera's optics that are plain numbers.
const (
	MinPupilRatio, MaxPupilRatio = 0.1, 10.0
	MaxND                        = 6.0 // density: 20 stops
	MinMeterC, MaxMeterC         = 200.0, 600.0
	MinMeterK, MaxMeterK         = 10.0, 20.0
	MaxRows                      = 100_000
)

// Room is the space around the set.
type Room struct {
	// Ambient is what a meter finds at the aim point, facing the camera, with every light of the rig
	// off: what a black card takes away. Zero = a black room, or not written.
	Ambient quantity.Illuminance
}
