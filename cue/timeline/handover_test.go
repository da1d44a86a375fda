package timeline

import (
	"math"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// far is a light whose still codes the set's RGBW finds far from where a fade
// ends: there are few codes at its level, and none near comes close in colour.
var far = kelvin(6500, 0.20)

// A hand-over is not seen: all the way from the one rule's codes to the other's,
// as far apart as they may lie, the colour is off by no more than half a code of
// each emitter makes, and the level by no more than the still rule's 5 % and that.
func TestHandOverKeepsTheColour(t *testing.T) {
	const arrives = 22
	s := sets[0]()
	profile := s.shoot.Rig.Sources[sky].Profile
	head, err := fixtures.NewHead(profile, s.shoot.Rig.Sources[sky].Prefer)
	if err != nil {
		t.Fatal(err)
	}
	longest := int64(0)
	for _, asked := range append([]colour.XYZ{far}, lights[:6]...) {
		p := s.with(s.plain(asked, 0.5)).player()
		p.Next(0)
		want, _ := asked.XY()
		colourOff, levelOff := 0.0, 0.0
		for i := range profile.Emitters {
			half := profile.Emitters[i].Light().Scale(0.5 / 255 / head.Lumens())
			xy, _ := asked.Add(half).XY()
			colourOff += xy.UV().Distance(want.UV())
			levelOff += half.Y / asked.Y
		}
		settled := p.At(arrives, p.NewState()).SettledAt
		longest = max(longest, settled-arrives)
		for k := int64(arrives); k <= settled; k++ {
			frames, _ := s.render(p, k)
			l := head.Light(codesOf(s, sky, head, frames))
			xy, _ := l.XY()
			if d := xy.UV().Distance(want.UV()); d > colourOff {
				t.Errorf("Y %.2f: frame %d is Δu'v' %.5f off, half a code an emitter is %.5f", asked.Y, k, d, colourOff)
			}
			if d := math.Abs(l.Y/asked.Y - 1); d > 0.05+levelOff {
				t.Errorf("Y %.2f: frame %d is %.1f %% off in level", asked.Y, k, 100*d)
			}
		}
	}
	if longest < 40 {
		t.Errorf("no light lands far away (%d frames): choose others", longest)
	}
}

// Leaving a landing far from the moving rule never holds up a fade: a short one
// is black when it is over.
func TestDarkIsDarkInItsTime(t *testing.T) {
	s := sets[0]()
	p := s.with(s.plain(far, 0)).player()
	p.Next(0)
	p.Dark(500)
	state := p.NewState()
	p.At(500, state)
	if walk(state.Offset[sky], nil) <= Rate {
		t.Fatal("this light lands near the moving rule: choose another")
	}
	p.At(500+Rate, state)
	for i := range state.Light {
		if state.Light[i] != (colour.XYZ{}) || nilIfZero(state.Offset[i]) != nil {
			t.Errorf("after a second of dark source %d is at %v, offset %v", i, state.Light[i], state.Offset[i])
		}
	}
}
