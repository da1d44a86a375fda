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

// Sequence is an order of cues as written. [Shoot.Expand] tells it out.
type Sequence struct {
	fixtures.Origin
	Name  string
	By    string
	Steps []Step

	Pictures Pictures // of a sequence by frame
	Turning  Turning  // of a sequence by angle
}

// Step is one cue of a sequence and how long it rests there.
type Step struct {
	fixtures.Origin
	Cue    string
	Stay   *quantity.Duration // nil = until told
	Frames int                // by frame: how many there are of this cue; 0 = as many as the sequence says
}

// Pictures is what a sequence by frame takes of each of its cues: the frames of a
// stop motion or time lapse, each at every focus, each in every light pass, each
// exposed so many times.
type Pictures struct {
	Frames    int               // 0 counts as 1
	Interval  quantity.Duration // from the start of one frame to the start of the next; zero = as soon as it can
	Exposures int               // pictures of the very same; 0 counts as 1
	Focus     []quantity.Length // from the sensor mark, in the order they are taken; none = as it is set
	Passes    []int             // sources, each alone in turn at its level in the cue, and then all together
	EachPass  bool              // instead of Passes: every controlled source that is lit, in the order of the rig
	Order     []string          // of OrderWords, outermost first; those left out follow in the order of DefaultOrder
	At        PicturesAt
}

// PicturesAt is where the parts of Pictures were written.
type PicturesAt struct{ Frames, Interval, Exposures, Focus, Passes, Order fixtures.Origin }

// What a sequence by frame goes through.
const (
	OrderAngle = "angle" // the cues, each at its angle of the table
	OrderFrame = "frame"
	OrderFocus = "focus"
	OrderPass  = "pass"
)

// DefaultOrder is the order in which a sequence by frame goes through its parts,
// outermost first, where nothing is written: what takes hands is moved least, and
// light, which comes back exactly, is changed most.
func DefaultOrder() []string { return []string{OrderAngle, OrderFrame, OrderFocus, OrderPass} }

// Turning is the movement of a sequence by angle.
type Turning struct {
	Drive   string            // of DriveWords
	Speed   float64           // degrees a second, positive counter-clockwise; 0 of a stream
	From    *float64          // azimuth of the first mark; nil = that of the first cue
	To      *float64          // azimuth of the last mark; nil = full turns from the first
	Turns   float64           // full turns; beside To: in addition. 0 without To counts as 1
	PreRoll quantity.Duration // at full speed before the first mark, of a motor
	Return  bool              // back to the first mark at the end
	At      TurningAt
}

// TurningAt is where the parts of Turning were written.
type TurningAt struct{ Drive, Speed, From, To, Turns, PreRoll fixtures.Origin }

// What tells the azimuth in a sequence by angle.
const (
	DriveMotor    = "motor"    // the table of the rig, driven by slots
	DriveConstant = "constant" // a table that turns by itself at a constant speed, from the word "rolling" on
	DriveStream   = "stream"   // a table that tells where it is
)

// DriveWords lists what may tell the azimuth.
func DriveWords() []string { return []string{DriveMotor, DriveConstant, DriveStream} }

// DefaultPreRoll is how long a motor table runs at full speed before the first
// mark, in seconds, where nothing is written.
const DefaultPreRoll = 1.0

// The limits of what a sequence may ask for.
const (
	// MaxShots is the most entries of a sequence told out: a day of pictures, one a second.
	MaxShots = 100_000
	// MaxFrames is the most frames of one cue, MaxExposures the most pictures of the very same.
	MaxFrames    = 100_000
	MaxExposures = 100
	// MaxFocus is the most focus settings of a stack.
	MaxFocus = 1_000
	// MaxTurns is the most full turns of a moving shot.
	MaxTurns = 100
	// MinTurnSpeed and MaxTurnSpeed bound the speed of a moving shot either way, degrees a second:
	// slower, one turn takes ten hours; faster, nothing stays on a table.
	MinTurnSpeed, MaxTurnSpeed = 0.01, 180.0
)

// Travel is how far the table turns from the first mark to the last, in degrees,
// with the sign of the speed. first is the azimuth of the first mark.
func (t *Turning) Travel(first float64) float64 {
	sense := 1.0
	if t.Speed < 0 {
		sense = -1
	}
	if t.To == nil {
		turns := t.Turns
		if turns == 0 {
			turns = 1
		}
		return sense * turns * 360
	}
	way := sense * Turn(first, *t.To)
	if way < 0 {
		way += 360
	}
	return sense * (way + float64(t.Turns*360))
}
