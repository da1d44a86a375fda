package operate

import "slices"

// Verb is what a command does.
type Verb string

// The verbs, as they are written. What a command takes besides is told with
// the fields of [Command].
const (
	// Stepping.
	Next    Verb = "next"
	Back    Verb = "back"
	Go      Verb = "go"    // Name: the cue
	GoTo    Verb = "go to" // Name: an angle, else Azimuth
	Confirm Verb = "confirm"
	Hold    Verb = "hold"
	Resume  Verb = "resume"
	Quicker Verb = "quicker"
	Slower  Verb = "slower"
	Azimuth Verb = "azimuth" // Azimuth: where the table stands

	// The whole set.
	Dark      Verb = "dark"
	DarkOff   Verb = "dark off"
	WholeBy   Verb = "whole" // Stops: up (+) or down (-)
	WholeTo   Verb = "whole to"
	Look      Verb = "look"       // Name: the look; On
	WorkLight Verb = "work light" // On

	// One source: Name, or "" for off.
	Identify Verb = "identify"
	Aim      Verb = "aim"
	Alone    Verb = "alone"
	Without  Verb = "without"
	With     Verb = "with" // "" for all that was taken out

	// Balance.
	TrimVerb      Verb = "trim" // Trim
	Undo          Verb = "undo"
	Redo          Verb = "redo"
	UndoTrims     Verb = "undo trims"
	Kept          Verb = "kept"
	Trimmed       Verb = "trimmed"
	HoldExposure  Verb = "hold exposure"     // On
	MatchExposure Verb = "match exposure to" // Name: the cue

	// Keeping.
	Keep           Verb = "keep"
	KeepHere       Verb = "keep here"
	KeepEverywhere Verb = "keep everywhere"
	KeepAll        Verb = "keep all"
	KeepAs         Verb = "keep as"   // Name: of the new cue
	CopyTo         Verb = "copy to"   // Names: cues
	Mirror         Verb = "mirror"    // Name: of the new cue, "" to put one
	NewAngle       Verb = "new angle" // Name: of the new cue; Azimuth
	Approve        Verb = "approve"
	Attach         Verb = "attach" // Name: the file
	AsSent         Verb = "as sent"
	SameLight      Verb = "same light"
	Reload         Verb = "reload"
	Note           Verb = "note" // Name: the text

	// Sequences and pictures.
	Play    Verb = "play" // Name: the sequence
	Stop    Verb = "stop"
	Rolling Verb = "rolling"
	Cut     Verb = "cut"
	Picture Verb = "picture" // Number: of the next picture
	Missed  Verb = "missed"  // Name: why the picture failed
	Again   Verb = "again"

	// Answers to questions.
	Take      Verb = "take"
	StartHere Verb = "start here"
	Apply     Verb = "apply"
	NeverMind Verb = "never mind"
	MyLight   Verb = "keep mine"
	TheFiles  Verb = "take theirs"
)

// plain are the verbs that take nothing, by their words.
var plain = []Verb{
	Next, Back, Confirm, Hold, Resume, Quicker, Slower, Dark, DarkOff, Undo, Redo, UndoTrims, Kept, Trimmed,
	Keep, KeepHere, KeepEverywhere, KeepAll, Mirror, Approve, AsSent, SameLight, Reload, Stop, Rolling, Cut, Again,
	Take, StartHere, Apply, NeverMind, MyLight, TheFiles,
}

// taking are the verbs that take something.
var taking = []Verb{
	Go, GoTo, Azimuth, WholeBy, WholeTo, Look, WorkLight, Identify, Aim, Alone, Without, With, TrimVerb, HoldExposure,
	MatchExposure, KeepAs, CopyTo, NewAngle, Attach, Note, Play, Picture, Missed,
}

// Verbs lists all there are.
func Verbs() []Verb { return slices.Concat(plain, taking) }
