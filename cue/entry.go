package cue

import (
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// Entry is what a cue or look says of one source. What is nil was not written.
type Entry struct {
	fixtures.Origin // of the source's (or its group's) name
	Level           *Level
	Change          *quantity.Stops // a change of the level below
	Colour          *colour.Spec
	Ramp            *Ramp // along a pixel strip, over Level and Colour
	Timing

	// Unclear says that a part could not be read, which has been reported:
	// Resolve draws no conclusions from what is missing.
	Unclear bool

	LevelAt, ColourAt fixtures.Origin // of Level or Change, and of Colour
}

// Timing is how a change takes place. What is nil is inherited.
type Timing struct {
	Fade, Delay *quantity.Duration
	Curve       *fade.Curve
	Path        *fade.Path
}

// DefaultFade is a cue's fade in seconds when nobody wrote one.
const DefaultFade = 2.0

// over lays the parts of t that were written over those of below.
func (t Timing) over(below Timing) Timing {
	if t.Fade != nil {
		below.Fade = t.Fade
	}
	if t.Delay != nil {
		below.Delay = t.Delay
	}
	if t.Curve != nil {
		below.Curve = t.Curve
	}
	if t.Path != nil {
		below.Path = t.Path
	}
	return below
}

// settled gives every part its value, the default where nobody wrote one.
func (t Timing) settled() (seconds, delay float64, curve fade.Curve, path fade.Path) {
	seconds, curve, path = DefaultFade, fade.Linear, fade.Auto
	if t.Fade != nil {
		seconds = t.Fade.Seconds
	}
	if t.Delay != nil {
		delay = t.Delay.Seconds
	}
	if t.Curve != nil {
		curve = *t.Curve
	}
	if t.Path != nil {
		path = *t.Path
	}
	return seconds, delay, curve, path
}
