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
	Cue      int   // index in Shoot.Cues; -1 = none yet
	CueName  string
	Next     int // index; -1 = none
	Motion   Motion
	Progress float64 // 0..1 of the running fade
	Azimuth  float64 // of the table, degrees
	Sources  []SourceSnapshot
	Prompts  []string // what hands must do, in order
	Notices  []string // latest messages
}

// SourceSnapshot is one source of a Snapshot.
type SourceSnapshot struct {
	Asked    colour.XYZ // before the solver
	Reached  colour.XYZ // as the solver and rounding give it
	KeyStops float64    // of Asked, against the key; NaN = unknown
	Lux      float64    // of Asked, at the aim point; NaN = unknown
}
