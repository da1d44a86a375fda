package fade

import (
	"math"
	"testing"

	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

var studioWhite = colour.White{Kelvin: 5600}

func kelvin(k, y float64) colour.XYZ { return colour.White{Kelvin: k}.XY().XYZ(y) }

func route(way Path, from, to colour.XYZ) *Fade {
	f := New(Linear, way, from, to, studioWhite.XY().UV())
	return &f
}

func mustXY(t *testing.T, c colour.XYZ) colour.XY {
	t.Helper()
	xy, ok := c.XY()
	if !ok {
		t.Fatalf("%v is no light", c)
	}
	return xy
}

func TestWhitePathRunsInMired(t *testing.T) {
	p := route(Auto, kelvin(2700, 0.2), kelvin(6500, 0.8))
	for _, u := range []float64{0.1, 0.25, 0.5, 0.9} {
		c := p.At(u)
		w, ok := mustXY(t, c).White()
		want := (1-u)*1e6/2700 + u*1e6/6500
		if !ok || math.Abs(w.Mired()-want) > 1e-6 || math.Abs(w.Duv) > 1e-9 {
			t.Errorf("at %g: %.6f mired, Duv %g; want %.6f on the locus", u, w.Mired(), w.Duv, want)
		}
		if want := 0.2*(1-u) + 0.8*u; math.Abs(c.Y-want) > 1e-15 {
			t.Errorf("at %g: Y %g, want %g", u, c.Y, want)
		}
	}
}

// The white path is for whites by their value: a hex colour that is one counts,
// a colour that is none goes straight.
func TestAutoTakesTheWhitePathByValue(t *testing.T) {
	d65 := colour.XY{X: 0.3127, Y: 0.3290}.XYZ(1) // sRGB's white, IEC 61966-2-1
	red := colour.XY{X: 0.64, Y: 0.33}.XYZ(0.2)   // sRGB's red, the same
	if p := route(Auto, kelvin(3200, 1), d65); p.tone == nil {
		t.Error("3200 K to #ffffff goes straight")
	}
	for _, way := range []Path{Auto, White, Straight} {
		if p := route(way, kelvin(3200, 1), red); p.tone != nil {
			t.Errorf("path %v to red does not go straight", way)
		}
	}
	greenish := colour.White{Kelvin: 5600, Duv: 0.021}.XY().XYZ(1)
	if p := route(Auto, kelvin(3200, 1), greenish); p.tone != nil {
		t.Error("Duv 0.021 counts as a white")
	}
}

func TestStraightIsMixingLight(t *testing.T) {
	a, b := kelvin(3200, 1), colour.XY{X: 0.15, Y: 0.06}.XYZ(0.1)
	got := route(Straight, a, b).At(0.25)
	want := a.Scale(0.75).Add(b.Scale(0.25))
	if d := got.Add(want.Scale(-1)); math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z) > 1e-15 {
		t.Errorf("a quarter of the way is %v, want %v", got, want)
	}
}

// From and to black the colour is the other end's.
func TestBlackHasTheOtherEndsColour(t *testing.T) {
	lit := colour.XY{X: 0.45, Y: 0.41}.XYZ(0.6)
	for _, way := range []Path{Auto, White, Straight, Around} {
		for _, p := range []*Fade{route(way, colour.XYZ{}, lit), route(way, lit, colour.XYZ{})} {
			for _, u := range []float64{0.01, 0.5, 0.99} {
				if d := mustXY(t, p.At(u)).UV().Distance(mustXY(t, lit).UV()); d > 1e-15 {
					t.Errorf("path %v at %g is Δu'v' %g away", way, u, d)
				}
			}
		}
	}
}

func TestAroundKeepsItsChroma(t *testing.T) {
	centre := studioWhite.XY().UV()
	at := func(hue, chroma float64) colour.XYZ {
		sin, cos := math.Sincos(hue)
		return colour.UV{U: centre.U + chroma*cos, V: centre.V + chroma*sin}.XY().XYZ(0.5)
	}
	// 170° to -170°: by way of 180°, not of 0.
	p := route(Around, at(170*math.Pi/180, 0.05), at(-170*math.Pi/180, 0.05))
	for i := range 21 {
		uv := mustXY(t, p.At(float64(i)/20)).UV()
		if d := math.Abs(uv.Distance(centre) - 0.05); d > 1e-12 {
			t.Errorf("at %d/20 the distance from white is off by %g", i, d)
		}
		if uv.U > centre.U {
			t.Errorf("at %d/20 it goes the long way round", i)
		}
	}
}

// A white has no hue: the path from or to it is radial, not round.
func TestAroundFromWhiteIsRadial(t *testing.T) {
	centre := studioWhite.XY().UV()
	red := colour.XY{X: 0.64, Y: 0.33}
	for _, p := range []*Fade{
		route(Around, kelvin(5600, 1), red.XYZ(0.2)),
		route(Around, red.XYZ(0.2), kelvin(5600, 1)),
	} {
		uv := mustXY(t, p.At(0.5)).UV()
		r := red.UV()
		want := colour.UV{U: (centre.U + r.U) / 2, V: (centre.V + r.V) / 2}
		if d := uv.Distance(want); d > 1e-12 {
			t.Errorf("half way is Δu'v' %g off the line", d)
		}
	}
}

func TestGlowReddensAsItFalls(t *testing.T) {
	p := route(Glow, kelvin(3200, 1), colour.XYZ{})
	last := 0.0
	for i := 1; i < 1000; i++ {
		c := p.At(float64(i) / 1000)
		w, ok := mustXY(t, c).White()
		if !ok || w.Mired() < last {
			t.Fatalf("at Y %g: %.3f mired after %.3f", c.Y, w.Mired(), last)
		}
		last = w.Mired()
	}
	// One stop below 3200 K, an eighth of the way to 1800 K.
	half := p.At(0.5)
	w, _ := mustXY(t, half).White()
	want := 1e6/3200 + (1e6/1800-1e6/3200)/8
	if math.Abs(w.Mired()-want) > 1e-6 {
		t.Errorf("one stop down: %.3f mired, want %.3f", w.Mired(), want)
	}
	// A filament one stop below 3200 K: 3200·2^(-0.42/3.4), common practice, no source.
	filament := 1e6 / (3200 * math.Exp2(-0.42/3.4))
	if math.Abs(w.Mired()-filament) > 3 {
		t.Errorf("one stop down: %.1f mired, a filament has %.1f", w.Mired(), filament)
	}
	dying := p.At(1 - 1e-6)
	if w, _ := mustXY(t, dying).White(); math.Abs(w.Kelvin-ember.Kelvin) > 0.01 {
		t.Errorf("it goes out at %.1f K, want %.0f K", w.Kelvin, ember.Kelvin)
	}
}

// Rising, a glow is the falling one backwards.
func TestGlowRisesAsItFell(t *testing.T) {
	lit := kelvin(5600, 0.8)
	up, down := route(Glow, colour.XYZ{}, lit), route(Glow, lit, colour.XYZ{})
	for _, u := range []float64{0.001, 0.1, 0.5, 0.9} {
		a, b := mustXY(t, up.At(u)), mustXY(t, down.At(1-u))
		if d := a.UV().Distance(b.UV()); d > 1e-9 {
			t.Errorf("at %g they differ by Δu'v' %g", u, d)
		}
	}
}

// A light warmer than the ember does not turn cooler as it falls, and one that
// is no white reddens too.
func TestGlowOfOtherColours(t *testing.T) {
	p := route(Glow, kelvin(1600, 1), colour.XYZ{})
	if w, _ := mustXY(t, p.At(0.9)).White(); math.Abs(w.Kelvin-1600) > 0.01 {
		t.Errorf("1600 K falls to %.1f K", w.Kelvin)
	}
	blue := colour.XY{X: 0.15, Y: 0.06}
	p = route(Glow, blue.XYZ(0.1), colour.XYZ{})
	was := blue.UV().Distance(ember.XY().UV())
	if is := mustXY(t, p.At(0.9)).UV().Distance(ember.XY().UV()); is >= was {
		t.Error("a falling blue does not redden")
	}
}

// Whatever the ends and the path: exact at both ends, luminance between them,
// no negative tristimulus value, and nowhere a jump.
func TestPathsAreContinuous(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := rapid.SampledFrom([]Path{Auto, White, Straight, Around, Glow}).Draw(t, "path")
		from, to := drawLight(t, "from"), drawLight(t, "to")
		p := route(way, from, to)
		if p.At(0) != from || p.At(1) != to || p.From() != from || p.To() != to {
			t.Fatal("the ends are not exact")
		}
		// A step of n parts moves no part of the light by more than this share of
		// the larger end: the steepest is a glow's, in its first step from black.
		const n, most = 2000, 0.02
		scale := max(from.X, from.Y, from.Z, to.X, to.Y, to.Z)
		last := from
		for i := 1; i <= n; i++ {
			c := p.At(float64(i) / n)
			if c.X < 0 || c.Y < min(from.Y, to.Y) || c.Y > max(from.Y, to.Y) || c.Z < 0 {
				t.Fatalf("at %d/%d: %v", i, n, c)
			}
			if d := max(math.Abs(c.X-last.X), math.Abs(c.Y-last.Y), math.Abs(c.Z-last.Z)); d > most*scale {
				t.Fatalf("at %d/%d: a step of %g from %v to %v", i, n, d, last, c)
			}
			last = c
		}
	})
}

// drawLight is a light as shoots ask for them: a white, or any colour a
// screen can show, at any level.
func drawLight(t *rapid.T, label string) colour.XYZ {
	y := drawLevel(t, label)
	if rapid.Bool().Draw(t, label+" is white") {
		w := colour.White{
			Kelvin: 1e6 / rapid.Float64Range(50, 660).Draw(t, label+" mired"),
			Duv:    rapid.Float64Range(-0.02, 0.02).Draw(t, label+" Duv"),
		}
		if w.XY().XYZ(1).Z < 0 {
			w.Duv = 0 // a warm white far above the locus is no real colour
		}
		return w.XY().XYZ(y)
	}
	// The triangle of Rec. ITU-R BT.2020's primaries: deeper than any panel.
	a := rapid.Float64Range(0, 1).Draw(t, label+" red")
	b := rapid.Float64Range(0, 1).Draw(t, label+" green")
	if a+b > 1 {
		a, b = 1-a, 1-b
	}
	c := 1 - a - b
	l := colour.XY{
		X: 0.708*a + 0.170*b + 0.131*c,
		Y: 0.292*a + 0.797*b + 0.046*c,
	}.XYZ(y)
	l.Z = max(l.Z, 0) // red has none, give or take a rounding
	return l
}
