package cue

import (
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// DefaultWhite is the camera's white when none is written.
const DefaultWhite = "5600 K"

// Camera is the camera's settings for the whole shoot. What is zero was not written.
type Camera struct {
	fixtures.Origin
	Sensor    quantity.Sensor
	Focal     quantity.Length
	Distance  quantity.Length // sensor mark to table axis
	Aperture  quantity.Aperture
	Shutter   quantity.Shutter // an angle needs FPS
	FPS       float64          // frames a second; 0 = stills
	ISO       int
	WhiteSpec colour.Spec // as written
	White     colour.White
	Optics
}

// The ranges of camera settings that are plain numbers.
const (
	MinISO, MaxISO = 1, 10_000_000
	MinFPS, MaxFPS = 0.01, 100_000.0
)
