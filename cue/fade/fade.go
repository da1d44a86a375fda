package fade

import "limn/fixtures/colour"

// Fade is the way from one light to another. Luminance runs by the curve on
// every path; the paths differ in chromaticity. Ends are exact: at u = 0 it is
// at From, at u = 1 at To, to the last bit. It is read-only.
type Fade struct {
	from, to colour.XYZ
	curve    Curve
	tone     tone // nil: straight
}

// A tone is how chromaticity runs along a fade: when the share u of the way is
// over and the luminance is lum. Implementations allocate nothing.
type tone interface {
	at(u, lum float64) colour.XY
}

// New compiles a fade. centre is the white that hue goes around. From or to
// black, the colour is the other end's (except along glow). Where a path has no
// meaning for its two ends it is straight.
func New(curve Curve, way Path, from, to colour.XYZ, centre colour.UV) Fade {
	f := Fade{from: from, to: to, curve: curve}
	a, lit := from.XY()
	b, litToo := to.XY()
	switch {
	case !lit && !litToo, from == to:
		return f
	case way == Glow:
		f.tone = newGlow(from, to)
	case !lit || !litToo:
		return f // a straight line from or to black keeps the colour
	case way == Around:
		f.tone = newAround(a.UV(), b.UV(), centre)
	case way == Auto || way == White:
		if t, ok := newMiredTone(a, b); ok {
			f.tone = t
		}
	}
	return f
}

// From is the light it starts from.
func (f *Fade) From() colour.XYZ { return f.from }

// To is the light it ends at.
func (f *Fade) To() colour.XYZ { return f.to }

// At is the light when the share u of the way is over.
func (f *Fade) At(u float64) colour.XYZ {
	return f.at(u, progress(f.curve, u, f.from.Y, f.to.Y))
}

// at is the light when the share u of the way is over and s of the light has
// changed.
func (f *Fade) at(u, s float64) colour.XYZ {
	switch {
	case u <= 0:
		return f.from
	case u >= 1:
		return f.to
	case f.tone == nil:
		return colour.XYZ{
			X: between(f.from.X, f.to.X, s),
			Y: between(f.from.Y, f.to.Y, s),
			Z: between(f.from.Z, f.to.Z, s),
		}
	}
	lum := between(f.from.Y, f.to.Y, s)
	c := f.tone.at(u, lum).XYZ(lum)
	// Where a colour has none of X or Z, rounding may leave less than none.
	c.X, c.Z = max(c.X, 0), max(c.Z, 0)
	return c
}

// miredTone runs in mired and Duv, evenly with u: equal mired steps are nearly
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
