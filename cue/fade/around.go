package fade

import (
	"math"

	"limn/fixtures/colour"
)

// around turns the hue the short way about a centre, the camera's white, in
// CIE 1976 u'v'. The distance from the centre (CIELUV's saturation, but for
// the factor 13) runs evenly with u, so between two colours equally far from
// white it stays as it is and the fade never passes through white. u'v' rather
// than a space of lightness and chroma, because a source has no lightness: its
// chromaticity must not depend on its level.
type around struct {
	centre    colour.UV
	chroma    [2]float64
	hue, turn float64      // radians: of the first end, and from it to the second
	slip      [2]colour.UV // what the ends lie off the arc
	lowestV   float64      // nearest to v' = 0 that the arc may come
}

// hueless is the distance from the centre up to which a colour has no hue of
// its own and the arc begins at the other end's: nobody sees one (CIE TN
// 001:2014). What it lies off the arc goes evenly, as slip.
const hueless = colour.Step

// lowestV keeps the arc away from v' = 0, where a chromaticity has no luminance
// and X and Z run to infinity: less than any real colour (violet has 0.016).
const lowestV = 0.005

func newAround(a, b, centre colour.UV) *around {
	ra, rb := a.Distance(centre), b.Distance(centre)
	ha := math.Atan2(a.V-centre.V, a.U-centre.U)
	hb := math.Atan2(b.V-centre.V, b.U-centre.U)
	switch {
	case ra <= hueless && ra <= rb:
		ha = hb
	case rb <= hueless:
		hb = ha
	}
	t := &around{
		centre:  centre,
		chroma:  [2]float64{ra, rb},
		hue:     ha,
		turn:    math.Remainder(hb-ha, 2*math.Pi),
		lowestV: min(lowestV, a.V, b.V),
	}
	for i, end := range []colour.UV{a, b} {
		on := t.arc(float64(i))
		t.slip[i] = colour.UV{U: end.U - on.U, V: end.V - on.V}
	}
	return t
}

func (t *around) at(u, _ float64) colour.XY {
	uv := t.arc(u)
	return colour.UV{
		U: uv.U + float64(t.slip[0].U*(1-u)) + float64(t.slip[1].U*u),
		V: uv.V + float64(t.slip[0].V*(1-u)) + float64(t.slip[1].V*u),
	}.XY()
}

// arc is the way round the centre.
func (t *around) arc(u float64) colour.UV {
	sin, cos := math.Sincos(t.hue + float64(t.turn*u))
	r := between(t.chroma[0], t.chroma[1], u)
	d := colour.UV{U: float64(r * cos), V: float64(r * sin)}
	k := t.within(d)
	return colour.UV{U: t.centre.U + float64(k*d.U), V: t.centre.V + float64(k*d.V)}
}

// inside keeps the tone so far within the colours that rounding does not make a
// tristimulus value negative: a thousandth of a u'v' step.
const inside = colour.Step / 1000

// within is how much of the step d from the centre stays among the colours
// with no negative tristimulus value: a triangle in u'v' whose sides are
// X = 0 (u' = 0), Y = 0 (v' = 0, kept off) and Z = 0 (3u' + 20v' = 12).
func (t *around) within(d colour.UV) float64 {
	k := 1.0
	if d.U < 0 {
		k = min(k, (t.centre.U-inside)/-d.U)
	}
	if d.V < 0 {
		k = min(k, (t.centre.V-t.lowestV)/-d.V)
	}
	if z := float64(3*d.U) + float64(20*d.V); z > 0 {
		room := 12 - float64(3*t.centre.U) - float64(20*(t.centre.V+inside))
		k = min(k, room/z)
	}
	return max(k, 0)
}
