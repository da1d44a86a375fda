package files

import (
	"errors"

	"limn/fixtures"
)

// Part is what a source's light is made of.
type Part uint8

// The parts.
const (
	PartLevel Part = iota
	PartColour
)

// Origin is where a part of a source's light in a cue is written.
type Origin struct {
	fixtures.Origin          // of the value
	Own             bool     // the cue itself says it
	Cue             string   // the cue whose entry or exception it is; "" = a look's own
	Look            string   // the look; "" = a cue's own entry
	Group           string   // the group it is written for; "" = for the source itself
	Cues            []string // the cues that a change there would change, that of the question first
}

// Origin finds where a part of the light of a source in a cue is written. Line
// is 0 where nobody says it: an off source, or a colour that is the camera's white.
func (f *Folder) Origin(cueName, source string, part Part) (Origin, error) {
	return Origin{}, errors.New("not yet")
}
