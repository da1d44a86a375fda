package cue

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestTurn(t *testing.T) {
	for _, c := range []struct{ from, to, want float64 }{
		{35, 80, 45},
		{80, 35, -45},
		{350, 10, 20},
		{10, 350, -20},
		{0, 180, 180},
		{180, 0, 180},
		{-30, 30, 60},
		{330, -30, 0},
		{0, 360, 0},
		{90, 271, -179},
		{-360, 360, 0},
	} {
		if got := Turn(c.from, c.to); got != c.want {
			t.Errorf("%v to %v: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

// The way is the shortest, and it leads there.
func TestTurnLeadsThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-MaxAzimuth, MaxAzimuth).Draw(t, "from")
		to := rapid.Float64Range(-MaxAzimuth, MaxAzimuth).Draw(t, "to")
		d := Turn(from, to)
		if d <= -180 || d > 180 {
			t.Fatalf("%v to %v: %v is not the shortest way", from, to, d)
		}
		if off := math.Remainder(from+d-to, 360); math.Abs(off) > 1e-9 {
			t.Fatalf("%v to %v: %v leads %v past", from, to, d, off)
		}
	})
}

func TestTurnPrompt(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     string
	}{
		{35, 80, "turn the model from 35° to 80°, counter-clockwise 45: bow goes camera right"},
		{80, 35, "turn the model from 80° to 35°, clockwise 45: bow goes camera left"},
		{0, 30, "turn the model from 0° to 30°, counter-clockwise 30: bow goes camera right"},
		{80, 100, "turn the model from 80° to 100°, counter-clockwise 20: bow goes away from the camera"},
		{100, 80, "turn the model from 100° to 80°, clockwise 20: bow goes toward the camera"},
		{150, 180, "turn the model from 150° to 180°, counter-clockwise 30: bow goes camera left"},
		{0, 180, "turn the model from 0° to 180°, counter-clockwise 180: bow goes round by camera right"},
		{0, 225, "turn the model from 0° to 225°, clockwise 135: bow goes round by camera left"},
		{300, 60, "turn the model from 300° to 60°, counter-clockwise 120: bow goes round past the camera"},
		{120, 240, "turn the model from 120° to 240°, counter-clockwise 120: bow goes round the far side"},
		{12.34, 12.5, "turn the model from 12.3° to 12.5°, counter-clockwise 0.2: bow goes camera right"},
		{35, 395, ""},
		{35, 35.04, ""},
	} {
		if got := TurnPrompt(c.from, c.to); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

// Where the bow goes, by a second road: put the camera on the axis of y, look
// from there at the bow before and after, and compare.
func TestBowGoesWhereTheCameraSeesIt(t *testing.T) {
	type point struct{ right, near float64 }
	bow := func(azimuth float64) point {
		// Seen from above with the camera below: counter-clockwise from the camera
		// leads to its right.
		rad := (azimuth - 90) * math.Pi / 180
		return point{math.Cos(rad), -math.Sin(rad)}
	}
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-180, 360).Draw(t, "from")
		d := rapid.Float64Range(-90, 90).Draw(t, "turn")
		if math.Abs(d) <= DeadBand {
			return
		}
		a, b := bow(from), bow(from+d)
		right, near := b.right-a.right, b.near-a.near
		const edge = 1e-9 // either word does on the edge between two
		ok := false
		switch words := bowGoes(from, d); words {
		case "camera right":
			ok = right > 0 && right/math.Hypot(right, near) >= sideways-edge
		case "camera left":
			ok = right < 0 && -right/math.Hypot(right, near) >= sideways-edge
		case "toward the camera":
			ok = near > 0 && math.Abs(right)/math.Hypot(right, near) <= sideways+edge
		case "away from the camera":
			ok = near < 0 && math.Abs(right)/math.Hypot(right, near) <= sideways+edge
		}
		if !ok {
			t.Fatalf("from %v by %v the bow moves (%v, %v), not %s", from, d, right, near, bowGoes(from, d))
		}
	})
}

func ExampleTurnPrompt() {
	fmt.Println(TurnPrompt(35, 80))
	// Output: turn the model from 35° to 80°, counter-clockwise 45: bow goes camera right
}
