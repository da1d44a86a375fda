//go:build !race

package fade

import (
	"testing"

	"limn/fixtures/colour"
)

// The frame path allocates nothing, whatever the path. (The race detector
// allocates on its own, so this is for ordinary runs.)
func TestAtAllocatesNothing(t *testing.T) {
	for _, way := range []Path{Auto, White, Straight, Around, Glow} {
		for _, to := range []colour.XYZ{kelvin(3200, 0.1), colour.XY{X: 0.2, Y: 0.15}.XYZ(0.03)} {
			f := route(way, kelvin(5600, 0.4), to)
			u := 0.0
			if n := testing.AllocsPerRun(100, func() {
				f.At(u)
				u += 0.01
			}); n > 0 {
				t.Errorf("path %v allocates %g times", way, n)
			}
		}
	}
}
