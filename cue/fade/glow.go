package fade

import (
	"math"

	"limn/fixtures/colour"
)

// glow ties the colour to the level, as a filament does: it reddens as the
// light falls. The colour goes from the brighter end's to the dimmer end's in
// proportion to the stops below the brighter end. At black the dimmer end is
// the ember, and it is reached maxStops below: about 45 mired a stop from
// 5600 K, 30 from 3200 K, close to what a filament does (light as the 3.4th
// power of the voltage, temperature as the 0.42th: 28 mired for the first stop
// below 3200 K; common practice, no source).
type glow struct {
	bright float64 // luminance of the brighter end
	depth  float64 // stops from it to the dimmer end, at most maxStops
	rising bool    // the dimmer end is the first
	shade  tone    // from the brighter end's colour (u = 0) to the dimmer's (u = 1)
}

// level is the least difference of two ends in stops that colour can be tied
// to. Nobody sees one so small: the ends are level, and colour goes by u.
const level = 1e-3

// ember is the colour at black: a glow about to go out.
var ember = colour.White{Kelvin: 1800}

func newGlow(from, to colour.XYZ) *glow {
	g := &glow{rising: from.Y < to.Y}
	bright, dim := from, to
	if g.rising {
		bright, dim = to, from
	}
	g.bright = bright.Y
	g.depth = stopsBelow(dim.Y, bright.Y)
	a, _ := bright.XY()
	b, lit := dim.XY()
	if !lit {
		b = emberOf(a)
	}
	if t, ok := newMiredTone(a, b); ok {
		g.shade = t
	} else {
		g.shade = &lineTone{a.UV(), b.UV()}
	}
	return g
}

// emberOf is the colour a light glows out in: the ember, or its own if that
// is a white yet warmer, for falling light never turns cooler.
func emberOf(xy colour.XY) colour.XY {
	if w, ok := colour.IsWhite(xy); ok && w.Kelvin < ember.Kelvin {
		return xy
	}
	return ember.XY()
}

func (g *glow) at(u, lum float64) colour.XY {
	down := u
	if g.rising {
		down = 1 - u
	}
	if g.depth > level {
		down = min(stopsBelow(lum, g.bright)/g.depth, 1)
	}
	return g.shade.at(down, lum)
}

// stopsBelow is how many stops y lies below the brighter y0, 0..maxStops.
func stopsBelow(y, y0 float64) float64 {
	if !(y > 0) {
		return maxStops
	}
	return min(max(math.Log2(y0)-math.Log2(y), 0), maxStops)
}

// lineTone is a straight line in u'v', evenly with u: for a glow between
// colours that are not both whites.
type lineTone struct{ a, b colour.UV }

func (t *lineTone) at(u, _ float64) colour.XY {
	return colour.UV{U: between(t.a.U, t.b.U, u), V: between(t.a.V, t.b.V, u)}.XY()
}
