package fade

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestProgress(t *testing.T) {
	const near = 1e-12
	for _, c := range []struct {
		curve Curve
		u     float64
		a, b  float64
		want  float64
	}{
		{Linear, 0.25, 0, 1, 0.25},
		{Ease, 0.25, 0, 1, 0.15625}, // 1/16 · 2.5
		{Ease, 0.5, 1, 0, 0.5},
		// From 1/16 to 1 in equal stops: half way in time is 1/4.
		{Stops, 0.5, 1.0 / 16, 1, (1.0/4 - 1.0/16) / (1 - 1.0/16)},
		{Stops, 0.5, 1, 1.0 / 16, (1 - 1.0/4) / (1 - 1.0/16)},
		{Stops, 0.3, 0.5, 0.5, 0.3},
		// From black r is 2^8: half way in time is (2^4-1)/(2^8-1) of the light.
		{Stops, 0.5, 0, 1, 15.0 / 255},
		{Stops, 0.5, 1, 0, 1 - 15.0/255},
		{Stops, 0.5, 1e-6, 1, 15.0 / 255},
		{Stops, 0.5, 0, 0, 0.5},
	} {
		if got := progress(c.curve, c.u, c.a, c.b); math.Abs(got-c.want) > near {
			t.Errorf("%v at %g from %g to %g: %g, want %g", c.curve, c.u, c.a, c.b, got, c.want)
		}
	}
}

// Every curve runs from exactly 0 to exactly 1 and never turns back.
func TestProgressRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		curve := rapid.SampledFrom([]Curve{Linear, Ease, Stops}).Draw(t, "curve")
		a, b := drawLevel(t, "from"), drawLevel(t, "to")
		if s := progress(curve, 0, a, b); s != 0 {
			t.Fatalf("begins at %g", s)
		}
		if s := progress(curve, 1, a, b); s != 1 {
			t.Fatalf("ends at %g", s)
		}
		last := 0.0
		for i := range 50 {
			s := progress(curve, float64(i)/50, a, b)
			if s < last || s > 1 {
				t.Fatalf("at %d/50 %g after %g", i, s, last)
			}
			last = s
		}
	})
}

// Equal stops up to the smallest difference: no digits are lost where the two
// levels are nearly the same.
func TestStopsNearUnity(t *testing.T) {
	for _, d := range []float64{1e-3, 1e-6, 1e-9, 1e-12} {
		if got := progress(Stops, 0.5, 1, 1+d); math.Abs(got-0.5) > d {
			t.Errorf("a ratio of 1+%g: half way is %g", d, got)
		}
	}
}

func TestBetweenIsExactAtItsEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-10, 10).Draw(t, "a")
		b := rapid.Float64Range(-10, 10).Draw(t, "b")
		s := rapid.Float64Range(0, 1).Draw(t, "s")
		if between(a, b, 0) != a || between(a, b, 1) != b {
			t.Fatal("the ends are not exact")
		}
		if v := between(a, b, s); v < min(a, b) || v > max(a, b) {
			t.Fatalf("%g is not between %g and %g", v, a, b)
		}
		if v := between(a, a, s); v != a {
			t.Fatalf("between %g and itself is %g", a, v)
		}
	})
}

// drawLevel is a level as shoots have them: black, full, or anything between
// down to a thousandth.
func drawLevel(t *rapid.T, label string) float64 {
	switch rapid.IntRange(0, 3).Draw(t, label+" kind") {
	case 0:
		return 0
	case 1:
		return 1
	}
	return math.Exp2(-rapid.Float64Range(0, 10).Draw(t, label+" stops below"))
}
