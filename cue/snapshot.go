package cue

import "limn/fixtures/colour"

// Motion is what the light is doing.
type Motion string

// What the light may be doing.
const (
	Waiting Motion = "waiting" // for hands: turn, card, camera, lamp
	Fading  Motion = "fading"
	Settled Motion = "settled"
	Held    Motion = "held" // a fade stopped on its way
	Dark    Motion = "dark"
)

// Snapshot is everything a screen shows of one instant: pure data.
type Snapshot struct {
	K        int64 // frame
	Cue      int   // index in Shoot.Cues; -1 = none yet, or gone from the files
	CueName  string
	Next     int // index; -1 = none
	Motion   Motion
	Progress float64 // 0..1 of the running fade
	Azimuth  float64 // of the table, degrees
	Speed    float64 // of the table, degrees a second, positive counter-clockwise; 0 = it stands
	Sources  []SourceSnapshot
	Prompts  []string // what hands must do, in order
	Notices  []string // latest messages
	Warnings []string // that stay up

	// What is laid over the cue.
	Looks                []string // by hand, in order
	Trimmed              bool     // trims play
	Offered              bool     // trims are there that do not play: the kept light is shown
	Here                 bool     // an angle that no cue has, lit from this one:
	HereAt               float64  // degrees
	Without              []int    // sources taken out
	Alone, Aim, Identify int      // source; -1 = none
	Whole                float64  // stops on the whole set
	Dark, Work           bool
	Exposure             bool    // trims hold the total
	Pace                 float64 // of fades, 1 = as written

	Sequence       string // that runs; "" = none
	Entry, Entries int    // which of how many, from 1

	Question string // that stands, its details in lines of their own; "" = none
	Choices  []Choice
}

// Choice is one answer to a question of a Snapshot.
type Choice struct {
	Text    string // in words
	Command string // that says so; one that the user must add to ends in a space
}

// SourceSnapshot is one source of a Snapshot.
type SourceSnapshot struct {
	Asked    colour.XYZ // before the solver
	Reached  colour.XYZ // as the solver and rounding give it
	KeyStops float64    // of Asked, against the key; NaN = unknown
	Lux      float64    // of Asked, at the aim point; NaN = unknown
	Headroom float64    // stops from Asked to the most the source gives at that colour; NaN = off

	// Of the cue and what lies over it for good, in the user's own words.
	Level, Colour         string // as they play
	KeptLevel, KeptColour string // without trims
	Trimmed               bool
}
