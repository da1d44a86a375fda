package cue

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// What a sequence is stepped by.
const (
	ByStep  = "step"  // the operator
	ByTime  = "time"  // a timer
	ByFrame = "frame" // the camera's frames
	ByAngle = "angle" // the table
)

// SequenceKinds lists what a sequence may be stepped by.
func SequenceKinds() []string { return []string{ByStep, ByTime, ByFrame, ByAngle} }

// Sequence is an order of cues.
type Sequence struct {
	fixtures.Origin
	Name  string
	By    string
	Steps []Step
}

// Step is one cue of a sequence and how long it rests there.
type Step struct {
	fixtures.Origin
	Cue  string
	Stay *quantity.Duration // nil = until told
}
