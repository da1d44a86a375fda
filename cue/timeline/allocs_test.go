//go:build !race

package timeline

import (
	"testing"

	"limn/cue"
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

// Nor does light that swells, that follows the table, or that is as it was sent.
func TestLiveLightAllocatesNothing(t *testing.T) {
	s := written[0]()
	for name, give := range map[string]func(p *Player, k int64){
		"swelling":  func(p *Player, k int64) { p.Set(k, with(p, func(l *Layers) { l.Identify = strip }), Timing{Fade: 1}) },
		"following": func(p *Player, k int64) { p.Drive(k, swaying, evenly{0, 10, 1000}, Timing{Fade: 1}) },
		"led":       func(p *Player, k int64) { p.Drive(k, swaying, nil, Timing{Fade: 1}); p.Azimuth(k+1, 40) },
		"composed": func(p *Player, k int64) {
			p.Set(k, p.Layers().WithTrims(map[int]cue.Entry{sky: lit("20 %", "3200 K")}).WithLook(0, true), Timing{Fade: 1})
		},
	} {
		p, k := called(t, s, 1)
		give(p, k)
		state := p.NewState()
		if n := testing.AllocsPerRun(300, func() {
			p.At(k, state)
			k++
		}); n > 0 {
			t.Errorf("%s, At allocates %g times a frame", name, n)
		}
	}
}
