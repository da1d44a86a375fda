package files

import (
	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// Edit is one change to what is written in a shoot's files: one of the types
// below. Names are those of the files; a plan of several edits is all or nothing.
type Edit interface {
	// edit says in a few words what is changed, for messages and the history.
	edit() string
}

// Where is which of the places a light may come from is edited.
type Where uint8

const (
	// Here writes the cue's own entry, whatever the light came from: no other cue
	// changes, but those that come from this one.
	Here Where = iota
	// AtOrigin edits the entry the light comes from: the cue itself, a look, or a
	// cue it comes from. Every cue that takes its light from there changes too.
	AtOrigin
)

// SetLight gives a source another level or colour, or both. What is nil stays.
//
// Without a Look it is the light of Cue. With one it is that of the look, for
// all cues if Cue is "", else as the exception that Cue makes of it.
//
// A colour alone does not hold the light where a cue's own entry counts in
// percent or stops: give the level it comes to as well. Over a ramp, Change
// moves every point in the unit of each, a Level or a Colour goes for all of them.
type SetLight struct {
	Cue    string
	Look   string
	Source string
	Level  *cue.Level
	Colour *colour.Spec
	Change *quantity.Stops // in place of Level: a change of the level that is there
	Where  Where
}

// SetRamp gives a strip a ramp as the cue's own entry, over whatever the cue said of
// its light. Every point has a level; the timing stays.
type SetRamp struct {
	Cue, Source string
	Ramp        *cue.Ramp
}

// CopyLight gives cue To the light that cue From resolves to, written as entries
// of its own in the user's words: a level against the key stays one. Sources lit in
// To alone are switched off. No sources named means all. From may be To where sources
// are named: what they inherit is then written as the cue's own, to hold it.
type CopyLight struct {
	From, To string
	Sources  []string
}

// NewCue writes a cue that comes from another one. Edits of it may follow in the
// same plan.
type NewCue struct {
	Name    string
	From    string   // "" = it comes from none
	After   string   // the cue it is placed behind; "" = From, or the end
	Angle   string   // name of an angle; "" = see Azimuth
	Azimuth *float64 // degrees, where the angle has no name; nil = that of From
	Looks   []string
}

// NewAngle writes a named azimuth of the table, degrees.
type NewAngle struct {
	Name    string
	Azimuth float64
}

// SetCard says where a card stands in a cue. What is nil stays as it is. With
// Out it is taken away and its place in this cue with it.
type SetCard struct {
	Cue, Card string
	Place     *fixtures.Place
	Mark      *string
	Out       *bool
}

// SetPlace says where a source stands in a cue, where it is moved for it. What
// is nil stays as it is.
type SetPlace struct {
	Cue, Source string
	Place       *fixtures.Place
	Mark        *string
}

// SetCueKey writes one key of a cue: "angle", "from", "fade", "delay", "curve",
// "path", "note" or "camera.shutter" and the other settings of the camera. Value
// is a string, a float64, an int or a []string.
type SetCueKey struct {
	Cue, Key string
	Value    any
}

func (e SetLight) edit() string {
	said := e.Source
	if e.Level != nil {
		said += " to " + e.Level.String()
	}
	if e.Change != nil {
		said += " by " + e.Change.String()
	}
	if e.Colour != nil {
		said += " " + e.Colour.String()
	}
	switch {
	case e.Look != "" && e.Cue != "":
		return said + " in look " + e.Look + " of " + e.Cue
	case e.Look != "":
		return said + " in look " + e.Look
	}
	return said + " in " + e.Cue
}

func (e SetRamp) edit() string   { return "ramp of " + e.Source + " in " + e.Cue }
func (e CopyLight) edit() string { return "light of " + e.From + " to " + e.To }
func (e NewCue) edit() string    { return "new cue " + e.Name }
func (e NewAngle) edit() string  { return "new angle " + e.Name }
func (e SetCard) edit() string   { return "card " + e.Card + " in " + e.Cue }
func (e SetPlace) edit() string  { return "place of " + e.Source + " in " + e.Cue }
func (e SetCueKey) edit() string { return e.Key + " of " + e.Cue }
