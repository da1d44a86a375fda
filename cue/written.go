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

	Exceptions []Exception
	Places     []SourcePlace // of sources that are moved for this cue

	FromAt, AngleAt fixtures.Origin
	LooksAt         []fixtures.Origin // parallel to Looks
}

// Exception is what one cue changes of a look. It goes over the look wherever
// that lies on the cue or on a cue that comes from it: written in looks, or laid
// on by hand.
type Exception struct {
	fixtures.Origin
	Look  string
	Light map[int]Entry // by source index, groups already spread
}

// Work is the light to work by: on while hands are on the set, outside of cues
// and trims.
type Work struct {
	fixtures.Origin
	Light    map[int]Entry // by source index; nobody named: see [Shoot.WorkLight]
	WithNext bool          // a cue that needs hands waits for them in work light
}

// SourcePlace is what a cue says of where a source stands. In a Cue, a mark may
// be written alone; in a Resolved, it is complete.
type SourcePlace struct {
	fixtures.Origin
	Source int // index in Rig.Sources
	Place  fixtures.Place
	Mark   string // where it stands in the user's own words
}
