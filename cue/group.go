package cue

import "limn/fixtures"

// Group is several sources under one name. Entries for a group are spread over
// its members when the files are read.
type Group struct {
	fixtures.Origin
	Name    string
	Members []int // source indices, each once
}

// Angle is a named azimuth of the table.
type Angle struct {
	fixtures.Origin
	Name    string
	Azimuth float64 // degrees, as written
}

// MaxAzimuth is the largest azimuth either way that may be written, degrees.
const MaxAzimuth = 360.0
