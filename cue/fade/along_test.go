package fade

import (
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures/colour"
)

// With the curve's own progress, Along is At; its ends are exact whatever the share of the light.
func TestAlong(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		light := func(name string) colour.XYZ {
			return colour.White{Kelvin: rapid.Float64Range(2000, 10000).Draw(t, name)}.XY().XYZ(rapid.Float64Range(0, 1).Draw(t, name+" Y"))
		}
		path := rapid.SampledFrom([]Path{Auto, White, Straight, Around, Glow}).Draw(t, "path")
		f := New(Linear, path, light("from"), light("to"), colour.White{Kelvin: 5600}.XY().UV())
		u := rapid.Float64Range(0, 1).Draw(t, "u")
		if got, want := f.Along(u, u), f.At(u); got != want {
			t.Fatalf("along %g it is %v, at it %v", u, got, want)
		}
		s := rapid.Float64Range(-1, 2).Draw(t, "s")
		if f.Along(0, s) != f.From() || f.Along(1, s) != f.To() {
			t.Fatalf("its ends are %v and %v", f.Along(0, s), f.Along(1, s))
		}
		if y := f.Along(u, s).Y; y < min(f.From().Y, f.To().Y) || y > max(f.From().Y, f.To().Y) {
			t.Fatalf("it leaves the range of its ends: %g", y)
		}
	})
}
