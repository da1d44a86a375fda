package cue

import (
	"limn/fixtures"
	"limn/fixtures/colour"
)

// share is what the layers of a cue come to for one source, before it becomes
// light. What is nil nobody has written.
type share struct {
	source  int
	named   bool
	unclear bool
	level   *Level
	change  float64      // stops on top of level
	colour  *colour.Spec // nil = the camera's white
	anchor  *colour.Spec // the colour that a level in percent or stops counts at
	held    bool         // a look changed the colour and holds the light
	timing  Timing

	levelAt, colourAt fixtures.Origin
}

// state is a cue with everything inherited, from which others may come.
type state struct {
	shares []share // named ones only, ascending
	cards  []CardPlace
	camera CameraChange
	timing Timing

	angle   string
	azimuth float64
	turned  bool
	broken  bool // could not be resolved; what comes from it neither
}

// lay puts an entry over a share. A look that changes only the colour holds the
// light: the level goes on to count at the colour it was written for.
func (h *share) lay(e *Entry, look bool) {
	h.named = true
	h.unclear = e.Unclear || h.unclear && e.Level == nil
	if e.Level != nil {
		h.level, h.change, h.levelAt = e.Level, 0, e.LevelAt
	}
	if e.Change != nil {
		h.change += e.Change.Stops
		h.levelAt = e.LevelAt
	}
	if e.Colour != nil {
		h.colour, h.colourAt = e.Colour, e.ColourAt
	}
	switch {
	case e.Level != nil || e.Colour != nil && !look:
		h.anchor, h.held = h.colour, false
	case e.Colour != nil:
		h.held = true
	}
	h.timing = e.Timing.over(h.timing)
}

// off says whether the source gives no light, whatever its level counts by.
func (h *share) off() bool { return h.level == nil || h.level.Kind() == LevelOff }
