package cue

import (
	"strconv"
	"strings"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

// CameraChange is what a cue's camera settings are where they differ from the
// rig's. What is nil stays as the rig has it.
type CameraChange struct {
	fixtures.Origin
	Shutter  *quantity.Shutter
	Aperture *quantity.Aperture
	ISO      *int
	FPS      *float64
	Focal    *quantity.Length
	Distance *quantity.Length
}

// IsZero says that nothing differs.
func (c CameraChange) IsZero() bool { return c == CameraChange{Origin: c.Origin} }

// String lists the settings in words: "shutter 1 s, aperture f/22".
func (c CameraChange) String() string {
	var parts []string
	for _, s := range c.settings() {
		if s.value != "" {
			parts = append(parts, s.name+" "+s.value)
		}
	}
	return strings.Join(parts, ", ")
}

// over lays the settings of c that were written over those of below.
func (c CameraChange) over(below CameraChange) CameraChange {
	below.Origin = c.Origin
	if c.Shutter != nil {
		below.Shutter = c.Shutter
	}
	if c.Aperture != nil {
		below.Aperture = c.Aperture
	}
	if c.ISO != nil {
		below.ISO = c.ISO
	}
	if c.FPS != nil {
		below.FPS = c.FPS
	}
	if c.Focal != nil {
		below.Focal = c.Focal
	}
	if c.Distance != nil {
		below.Distance = c.Distance
	}
	return below
}

// setting is one camera setting in words; value "" = not written.
type setting struct{ name, value string }

// settings lists them all, always in the same order: what is set on the camera
// first, what means moving it last.
func (c CameraChange) settings() []setting {
	return []setting{
		{"shutter", text(c.Shutter)},
		{"aperture", text(c.Aperture)},
		{"ISO", count(c.ISO)},
		{"frame rate", rate(c.FPS)},
		{"focal length", text(c.Focal)},
		{"distance", text(c.Distance)},
	}
}

func text[T interface{ String() string }](v *T) string {
	if v == nil {
		return ""
	}
	return (*v).String()
}

func count(v *int) string {
	if v == nil {
		return ""
	}
	return strconv.Itoa(*v)
}

func rate(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64) + " fps"
}

// settings lists the rig's camera settings, parallel to a change's.
func (c *Camera) settings() []setting {
	var all CameraChange
	if !c.Shutter.IsZero() {
		all.Shutter = &c.Shutter
	}
	if !c.Aperture.IsZero() {
		all.Aperture = &c.Aperture
	}
	if c.ISO != 0 {
		all.ISO = &c.ISO
	}
	if c.FPS != 0 {
		all.FPS = &c.FPS
	}
	if !c.Focal.IsZero() {
		all.Focal = &c.Focal
	}
	if !c.Distance.IsZero() {
		all.Distance = &c.Distance
	}
	return all.settings()
}
