package cue

import "limn/fixtures"

// Look is a named part-state of sources. It crosses with angles: the same dusk
// over any cue.
type Look struct {
	fixtures.Origin
	Name  string
	Light map[int]Entry // by source index, groups already spread
}

// Cue is a cue as written.
type Cue struct {
	fixtures.Origin
	Name    string
	From    string   // name of the cue it comes from; "" = none
	Angle   string   // name; "" = inherited, or Azimuth
	Azimuth *float64 // when the angle is written as a number
	Looks   []string
	Light   map[int]Entry // by source index, groups already spread
	Cards   []CardPlace
	Camera  *CameraChange
	Timing
	Note string

	FromAt, AngleAt fixtures.Origin
	LooksAt         []fixtures.Origin // parallel to Looks
}
