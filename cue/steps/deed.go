package steps

import "limn/cue"

// Action is what a sequence asks for next. The player's commands that follow from it are the
// engine's to give.
type Action uint8

// The actions of a [Stepper].
const (
	// Rest: nothing, until something is reported.
	Rest Action = iota
	// CallCue: the light of Deed.Shot, its source alone if it has one.
	CallCue
	// TakePicture: the picture of Deed.Shot; report it with Captured.
	TakePicture
	// Ready: the light and the table to where a moving shot begins.
	Ready
	// Roll: the table turns from the first mark to the last, the light following it.
	Roll
	// HoldEnd: the table has come to rest, light and table stay.
	HoldEnd
	// StopTable: the table comes to rest where it can, the light staying with it.
	StopTable
	// GoBack: the table back to the first mark.
	GoBack
	// Over: the sequence has ended; the light stays.
	Over
)

var actions = [...]string{"rest", "call cue", "take picture", "ready", "roll", "hold the end", "stop the table", "go back", "over"}

// String is the action in words.
func (a Action) String() string {
	if int(a) < len(actions) {
		return actions[a]
	}
	return "?"
}

// Word is what the operator says to a sequence.
type Word uint8

// The words a [Stepper] understands.
const (
	Confirm  Word = iota // what was asked may be done
	Rolling              // the camera runs
	Cut                  // the moving shot is over
	Pause                // stay where it is
	Continue             // go on: after a pause, or after a failure with the same picture
	Onward               // go on with the next entry: by step; or leave out what failed
	Again                // another take of a moving shot, once it is over
)

// Deed is an action with what belongs to it.
type Deed struct {
	Action Action
	Entry  int       // index of Shot among all; -1 of what is about none
	Shot   *cue.Shot // read-only; nil of what is about none
	Take   int       // 1..
	Image  int       // number of the camera's picture; 0 = not told
	Name   string    // for the picture's files, the take in it
	Dry    bool      // no picture is taken, the table turns slowly
	Ask    string    // what the operator is asked before it; "" = nothing
	Text   string    // what it is, in words
}

// Facts is what a stepper is told of the light at a frame.
type Facts struct {
	K int64 // the present frame

	// SettledAt is the first frame at which light and table are or will be settled, as commanded
	// so far; -1 where it takes hands first.
	SettledAt int64
}

// Options is how a sequence is run.
type Options struct {
	Frames func(seconds float64) int64 // a time in frames, rounded up; nil = 44 a second
	Dry    bool                        // tried out: no picture is taken, the table turns slowly
	Take   int                         // number of the first take; 0 counts as 1
	Image  int                         // number of the camera's first picture; 0 = not told
	Entry  int                         // where to begin
}
