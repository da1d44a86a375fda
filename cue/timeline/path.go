package timeline

import (
	"limn/cue"
	"limn/fixtures/colour"
)

// A path is the way a change takes from one light to another. Luminance runs by
// the curve's s on every path; the paths differ in chromaticity. Ends are
// exact: at u = 0 a path is at from, at u = 1 at to, to the last bit.
type path struct {
	from, to colour.XYZ
	tone     tone // nil: straight
}

// A tone is how chromaticity runs along a path: when the share u of the time is
// over and the luminance is lum. Implementations allocate nothing.
type tone interface {
	at(u, lum float64) colour.XY
}

// newPath compiles the path of a change. centre is the white that hue goes
// around. From or to black, the colour is the other end's (except along glow).
// Where a path has no meaning for its two ends it is straight.
func newPath(way cue.Path, from, to colour.XYZ, centre colour.UV) path {
	p := path{from: from, to: to}
	a, lit := from.XY()
	b, litToo := to.XY()
	switch {
	case !lit && !litToo, from == to:
		return p
	case way == cue.Glow:
		p.tone = newGlow(from, to)
	case !lit || !litToo:
		return p // a straight line from or to black keeps the colour
	case way == cue.Around:
		p.tone = newAround(a.UV(), b.UV(), centre)
	case way == cue.Auto || way == cue.White:
		if t, ok := newMiredTone(a, b); ok {
			p.tone = t
		}
	}
	return p
}

// at is the light when the share u of the time is over and s of the light has
// changed.
func (p *path) at(u, s float64) colour.XYZ {
	switch {
	case u <= 0:
		return p.from
	case u >= 1:
		return p.to
	case p.tone == nil:
		return colour.XYZ{
			X: between(p.from.X, p.to.X, s),
			Y: between(p.from.Y, p.to.Y, s),
			Z: between(p.from.Z, p.to.Z, s),
		}
	}
	lum := between(p.from.Y, p.to.Y, s)
	c := p.tone.at(u, lum).XYZ(lum)
	// Where a colour has none of X or Z, rounding may leave less than none.
	c.X, c.Z = max(c.X, 0), max(c.Z, 0)
	return c
}

// miredTone runs in mired and Duv, evenly in time: equal mired steps are nearly
// equal steps to the eye, equal kelvin steps are not.
type miredTone struct{ mired, duv [2]float64 }

// newMiredTone is for two whites; not ok where either is none.
func newMiredTone(a, b colour.XY) (*miredTone, bool) {
	wa, ok := colour.IsWhite(a)
	wb, okToo := colour.IsWhite(b)
	if !ok || !okToo {
		return nil, false
	}
	return &miredTone{
		mired: [2]float64{wa.Mired(), wb.Mired()},
		duv:   [2]float64{wa.Duv, wb.Duv},
	}, true
}

func (t *miredTone) at(u, _ float64) colour.XY {
	return colour.White{
		Kelvin: 1e6 / between(t.mired[0], t.mired[1], u),
		Duv:    between(t.duv[0], t.duv[1], u),
	}.XY()
}
