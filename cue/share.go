package cue

import (
	"slices"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// share is what the layers of a cue come to for one source, before it becomes
// light. What is nil nobody has written.
type share struct {
	want
	named   bool
	unclear bool
	ramp    []wantAt // nil = all cells alike; read-only
	timing  Timing
}

// want is the level and colour asked of a source.
type want struct {
	source int
	level  *Level
	change float64      // stops on top of level
	colour *colour.Spec // nil = the camera's white
	anchor *colour.Spec // the colour that a level in percent or stops counts at
	held   bool         // a look changed the colour and holds the light

	levelAt, colourAt fixtures.Origin
}

// state is a cue with everything inherited, from which others may come.
type state struct {
	shares []share // named ones only, ascending
	cards  []CardPlace
	places []SourcePlace
	camera CameraChange
	timing Timing

	looks      []string     // that lie on the cue, those of the cues it comes from included
	exceptions []*Exception // that hold for it, from the first ancestor on

	angle   string
	azimuth float64
	turned  bool
	broken  bool // could not be resolved; what comes from it neither
}

// lay puts an entry over a share: what it says of level or colour goes for
// every point of a ramp below, its own ramp takes the place of that.
func (h *share) lay(e *Entry, look bool) {
	h.named = true
	h.unclear = e.Unclear || h.unclear && e.Level == nil
	h.want.lay(e, look)
	switch {
	case e.Ramp != nil:
		h.ramp = h.want.along(e.Ramp, look)
	case h.ramp != nil:
		h.ramp = slices.Clone(h.ramp)
		for i := range h.ramp {
			h.ramp[i].lay(e, look)
		}
	}
	h.timing = e.Timing.over(h.timing)
}

// lay puts an entry over what is wanted. A look that changes only the colour
// holds the light: the level goes on to count at the colour it was written for.
func (w *want) lay(e *Entry, look bool) {
	if e.Level != nil {
		w.level, w.change, w.levelAt = e.Level, 0, e.LevelAt
	}
	if e.Change != nil {
		w.change += e.Change.Stops
		w.levelAt = e.LevelAt
	}
	if e.Colour != nil {
		w.colour, w.colourAt = e.Colour, e.ColourAt
	}
	switch {
	case e.Level != nil || e.Colour != nil && !look:
		w.anchor, w.held = w.colour, false
	case e.Colour != nil:
		w.held = true
	}
}

// off says whether no light is wanted, whatever its level counts by.
func (w *want) off() bool { return w.level == nil || w.level.Kind() == LevelOff }

// off says whether the source gives no light anywhere.
func (h *share) off() bool {
	if h.ramp == nil {
		return h.want.off()
	}
	return !slices.ContainsFunc(h.ramp, func(p wantAt) bool { return !p.off() })
}

// levelled says whether anybody has written a level.
func (h *share) levelled() bool {
	if h.ramp == nil {
		return h.level != nil
	}
	return slices.ContainsFunc(h.ramp, func(p wantAt) bool { return p.level != nil })
}
