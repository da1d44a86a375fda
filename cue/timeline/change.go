package timeline

import (
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// A change is how one source gets from the light it had to the light it is
// asked to have. Its frames are those of the player's own count, which stands
// still while the light is held. Read-only once made.
type change struct {
	begun  int64 // frame of the command
	parted int64 // last frame of the old light: the delay ends in or after it
	there  int64 // first frame of the new light
	landed int64 // first frame of the still rule's codes
	quiet  int64 // first frame at which the source's own smoothing is over

	timing
	swell float64   // stops that the light swells by once it is there, growing until then
	gain  float64   // above 0: until it is there the light follows the table, by this factor
	way   fade.Fade // of a strip whose cells differ, its ends are the means
	cells *cells    // nil: all cells are alike all the way

	// shown is the chromaticity of the frame before the command: what is
	// reported as long as there is no light.
	shown colour.XY

	// Codes added to the moving rule's: when the command came, when the light
	// arrives, and for good. All of one length, or nil for zeros.
	left, reached, landing []int
	leaving                int64 // frames after parted in which left is gone
}

// A task is what a command asks of one source.
type task struct {
	timing
	to      colour.XYZ
	cells   []colour.XYZ // nil: all alike
	swell   float64      // stops
	gain    float64      // above 0: it follows the table until frame end, by this factor
	end     int64
	landing []int // where it lands
	settle  span  // the source's own smoothing

	// handOver is the most frames the landing may take; 0: as many as codes.
	handOver int64
}

// A timing is how a change runs.
type timing struct {
	delay, fade span
	curve       fade.Curve
	path        fade.Path
}

// standing is the change of a source that has never changed: dark, and of the
// colour it is reported to have.
func standing(shown colour.XY) change {
	return change{shown: shown}
}

// next is the change that starts at frame f from whatever c has come to there.
// held says that c stood still before f; w is what a sweep gives at f.
func (c *change) next(f int64, held bool, w swept, t *task, layout fixtures.Layout, centre colour.UV) change {
	n := change{begun: f, left: c.codes(f), landing: t.landing, swell: t.swell, gain: t.gain}
	n.shown = c.shownBefore(f, held, w)
	from := c.light(f, w)
	n.way = fade.New(t.curve, t.path, from, t.to, centre)
	same := from == t.to
	if t.cells != nil || c.differs(f) || t.gain > 0 && layout.Cells > 1 {
		n.cells, same = c.newCells(f, w, t, layout, centre)
		n.spread(c.differs(f), t.cells != nil, layout)
	}
	cut := t.fade == 0
	if same && !cut && t.swell == 0 && t.gain == 0 {
		n.stay(c, t)
		return n
	}
	n.timing = t.timing
	n.parted = f + n.delay.floor()
	n.there = f + (n.delay + n.fade).ceil()
	if t.gain > 0 {
		n.there = max(n.there, t.end)
	} else if cut {
		n.reached = n.landing // at once, as the light
	}
	n.leaving = min(walk(n.left, nil), n.there-n.parted)
	n.landed = n.there + t.steps(n.reached, n.landing)
	n.quiet = n.landed + t.settle.ceil()
	return n
}

// steps is the number of frames from one row of codes to the landing.
func (t *task) steps(from, to []int) int64 {
	steps := walk(from, to)
	if t.handOver > 0 {
		steps = min(steps, t.handOver)
	}
	return steps
}

// stay is a change of a source whose light is already the one asked: at most
// its landing is finished. Nothing is begun again, its own smoothing included.
func (n *change) stay(c *change, t *task) {
	n.parted, n.there = n.begun, n.begun
	n.reached = n.left
	if steps := t.steps(n.reached, n.landing); steps > 0 {
		n.landed = n.begun + steps
	} else {
		n.landed = min(c.landed, n.begun)
	}
	n.quiet = n.landed + t.settle.ceil()
}

// light is what is asked at frame f, at which a sweep that it follows gives w.
func (c *change) light(f int64, w swept) colour.XYZ {
	switch {
	case f >= c.there:
		return c.bent(c.way.To(), f, w.light)
	case c.cells != nil:
		return c.mean(f, w)
	}
	if c.gain > 0 {
		return c.bent(c.way.From(), f, w.light)
	}
	return c.bent(c.way.At(c.part(f)), f, w.light)
}

// bent is the light of a change, or of one cell of it, with all that is not the way from
// one light to another: swelling, and following a sweep.
func (c *change) bent(light colour.XYZ, f int64, swept colour.XYZ) colour.XYZ {
	switch {
	case c.swell != 0:
		return times(light, swelling(float64(c.swell*c.part(f)), f))
	case c.gain > 0 && f < c.there:
		return c.toward(light, swept, f)
	}
	return light
}

// part is the share of the way that is over at frame f.
func (c *change) part(f int64) float64 {
	switch {
	case f >= c.there:
		return 1
	case f <= c.begun && c.delay+c.fade > 0:
		return 0
	case c.fade == 0:
		if frames(f-c.begun) < c.delay {
			return 0
		}
		return 1
	}
	over := float64(frames(f-c.begun)-c.delay) / float64(c.fade)
	return min(max(over, 0), 1)
}

// chromaticity is that of light(f), and where there is none, the last there was.
func (c *change) chromaticity(f int64, w swept) colour.XY {
	if xy, ok := c.light(f, w).XY(); ok {
		return xy
	}
	if f >= c.there && c.there > c.begun {
		// The last frame of a fade to black.
		if xy, ok := c.light(c.there-1, w).XY(); ok {
			return xy
		}
	}
	return c.shown
}

// shownBefore is the chromaticity reported in the frame before the one in which
// a command ends this change.
func (c *change) shownBefore(f int64, held bool, w swept) colour.XY {
	switch {
	case held:
		return c.chromaticity(f, w)
	case f <= c.begun:
		return c.shown
	}
	return c.chromaticity(f-1, w)
}

// offset is what is added to the moving rule's code of control j at frame f.
func (c *change) offset(j int, f int64) int {
	if f >= c.there {
		return approach(code(c.reached, j), code(c.landing, j), f-c.there, c.landed-c.there)
	}
	return approach(code(c.left, j), 0, f-c.parted, c.leaving)
}

// codes is the offsets at frame f.
func (c *change) codes(f int64) []int {
	if c.cells != nil && !c.differs(f) {
		return c.cells.landing
	}
	codes := make([]int, max(len(c.left), len(c.reached), len(c.landing)))
	for j := range codes {
		codes[j] = c.offset(j, f)
	}
	return nilIfZero(codes)
}

// fill writes the offsets at frame f.
func (c *change) fill(f int64, row []int) {
	switch {
	case c.cells != nil && !c.differs(f):
		clear(row)
		copy(row, c.cells.landing)
	case c.left == nil && c.reached == nil && c.landing == nil:
		clear(row)
	default:
		for j := range row {
			row[j] = c.offset(j, f)
		}
	}
}
