package journal

import (
	"math"
	"time"
)

// Version of the format that is written. Older ones are read.
const Version = 1

// Kind is what an entry tells.
type Kind string

// The kinds of entries. The first five make light, or say from what it is made; the others tell of it.
const (
	KindBegin   Kind = "begin"   // the run began: see Header; always the first line
	KindCommand Kind = "command" // a command with its text, acting in frame K
	KindReload  Kind = "reload"  // the files changed and faded in from frame K on: Files
	KindKept    Kind = "kept"    // a command wrote files: Files is what they are since, without a change of light
	KindAzimuth Kind = "azimuth" // the table stood at Degrees in frame K

	KindAt      Kind = "at"      // frame K has been reached
	KindSettle  Kind = "settle"  // the light settled: State
	KindCapture Kind = "capture" // an image was taken: Capture
	KindWarning Kind = "warning" // a warning came up, in Text
	KindResume  Kind = "resume"  // a run that ended uncleanly goes on after frame K: Header
	KindGap     Kind = "gap"     // entries are missing here: Lost
	KindEnd     Kind = "end"     // the run ended cleanly in frame K
)

// Entry is one line of a journal.
type Entry struct {
	N    uint64    `json:"n"`             // number of the line, from 1
	What Kind      `json:"what"`          //
	K    int64     `json:"k"`             // frame; -1 is before the first
	Time time.Time `json:"time,omitzero"` // local; zero where none was taken

	Text    string   `json:"text,omitempty"`    // a command or a warning
	Files   string   `json:"files,omitempty"`   // hash of a set of files, see Files.Hash
	Degrees float64  `json:"degrees,omitempty"` // of the table, counter-clockwise from above
	Header  *Header  `json:"run,omitempty"`     //
	State   *State   `json:"state,omitempty"`   //
	Capture *Capture `json:"capture,omitempty"` //
	Lost    *Lost    `json:"lost,omitempty"`    //
}

// Header is what a run began or went on with.
type Header struct {
	Version int    `json:"version"`        // of the format
	Program string `json:"program"`        // version of the program, as it tells it
	Arch    string `json:"arch,omitempty"` // architecture: frames are the same bytes on one
	PID     int    `json:"pid,omitempty"`  //
	Rate    int    `json:"rate,omitempty"` // frames a second

	// Epoch is the instant of frame 0; after a resume, the one that counts from there on.
	Epoch time.Time `json:"epoch,omitzero"`

	// Settings are all else that bears on frames, by name: whatever made the engine
	// and is neither a file nor a command.
	Settings map[string]string `json:"settings,omitempty"`
}

// Lost counts entries that the queue had no room for.
type Lost struct {
	Entries  int64 `json:"entries"`  // commands, reloads, settles, captures, warnings
	Azimuths int64 `json:"azimuths"` //
}

// Light is what one source gave, in the units that people read. A nil figure is
// not known.
type Light struct {
	Source  string      `json:"source"`
	Level   string      `json:"level,omitempty"`  // in the user's own unit: "key -2 stops"
	Colour  string      `json:"colour,omitempty"` // as the user writes it: "5600 K"
	Share   *float64    `json:"share,omitempty"`  // 1 is the most it gives at that colour
	Lux     *float64    `json:"lux,omitempty"`    // at the aim point, of this source alone
	Kelvin  *float64    `json:"kelvin,omitempty"` // correlated colour temperature
	Tint    *float64    `json:"tint,omitempty"`   // Duv, positive towards green
	XY      *[2]float64 `json:"xy,omitempty"`     // CIE 1931 chromaticity
	Trimmed bool        `json:"trimmed,omitempty"`
}

// Card is a card as it stood.
type Card struct {
	Name  string `json:"name"`
	Place string `json:"place,omitempty"` // as the operator is told it
	Mark  string `json:"mark,omitempty"`
}

// State is the set at an instant, for people and tools.
type State struct {
	Cue     string            `json:"cue,omitempty"`
	Angle   string            `json:"angle,omitempty"`   // name
	Azimuth *float64          `json:"azimuth,omitempty"` // of the table, degrees
	Looks   []string          `json:"looks,omitempty"`   // laid on, in their order
	Lux     *float64          `json:"lux,omitempty"`     // of all lit sources together at the aim point
	Lights  []Light           `json:"lights,omitempty"`
	Camera  map[string]string `json:"camera,omitempty"` // by setting, in the user's own unit: "aperture": "f/16"
	Cards   []Card            `json:"cards,omitempty"`

	// Slots is FrameSum of the frame that was settled, so that a replay can prove itself.
	Slots string `json:"slots,omitempty"`
}

// Capture is one image, or the attempt at one.
type Capture struct {
	State
	Image   string `json:"image,omitempty"`  // file name, as suggested or found
	Number  int64  `json:"number,omitempty"` // of the image, as the camera counts; 0 not known
	Take    int    `json:"take,omitempty"`   // from 1
	Frame   int    `json:"frame,omitempty"`  // of the sequence, from 1
	Of      int    `json:"of,omitempty"`     // frames in the sequence
	Pass    string `json:"pass,omitempty"`   // of a series of light passes
	Focus   string `json:"focus,omitempty"`  // "0.482 m"
	By      string `json:"by,omitempty"`     // who fired: "hand" or the command
	Failure string `json:"failure,omitempty"`
}

// finite drops figures that JSON has no word for, in a copy.
func (s State) finite() State {
	s.Azimuth, s.Lux = finite(s.Azimuth), finite(s.Lux)
	lights := make([]Light, len(s.Lights))
	for i, l := range s.Lights {
		l.Share, l.Lux, l.Kelvin, l.Tint = finite(l.Share), finite(l.Lux), finite(l.Kelvin), finite(l.Tint)
		if l.XY != nil && (!isFinite(l.XY[0]) || !isFinite(l.XY[1])) {
			l.XY = nil
		}
		lights[i] = l
	}
	s.Lights = lights
	return s
}

func finite(v *float64) *float64 {
	if v == nil || !isFinite(*v) {
		return nil
	}
	return v
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
