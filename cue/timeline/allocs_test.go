//go:build !race

package timeline

import (
	"testing"

	"limn/fixtures/colour"
)

// The frame path allocates nothing, in a fade, in a hand-over and settled. (The
// race detector allocates on its own, so this is for ordinary runs.)
func TestAtAllocatesNothing(t *testing.T) {
	s := three(1)
	s.shoot.Resolved[1] = s.along(0, lights[1], 2)
	for i := range s.shoot.Resolved {
		s.shoot.Resolved[i].HasAngle = true
	}
	p := s.player()
	p.Next(0)
	p.Confirm(0)
	p.Next(50)
	state := p.NewState()
	xy := make([]colour.XY, len(s.shoot.Rig.Sources))
	k := int64(50)
	if n := testing.AllocsPerRun(300, func() {
		p.At(k, state)
		p.Chromaticity(k, xy)
		k++
	}); n > 0 {
		t.Errorf("At allocates %g times a frame", n)
	}
}
