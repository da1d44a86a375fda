package timeline

import (
	"math"
	"testing"

	"limn/cue"
	"limn/fixtures"

	"pgregory.net/rapid"
)

func TestTurnGoesTheShortWay(t *testing.T) {
	d := drive{motor: true, speed: 10}
	for _, c := range []struct {
		from, to float64
		speed    float64
		frames   int64
	}{
		{0, 90, 10, 9 * Rate},
		{0, 270, -10, 9 * Rate},
		{350, 10, 10, 2 * Rate},
		{10, 350, -10, 2 * Rate},
		{0, 180, 10, 18 * Rate},
		{90, -90, 10, 18 * Rate}, // half a turn is counter-clockwise
		{35, 35, 0, 0},
		{35, 395, 0, 0},
		{-10, 350, 0, 0},
	} {
		turn := newTurn(c.from, c.to, 100, d)
		if turn.speed != c.speed || turn.there != 100+c.frames {
			t.Errorf("%g to %g: at %g°/s for %d frames, want %g for %d", c.from, c.to, turn.speed, turn.there-100, c.speed, c.frames)
		}
		if got := turn.azimuth(turn.there); got != around360(c.to) {
			t.Errorf("%g to %g ends at %g", c.from, c.to, got)
		}
	}
}

// The speed is kept up while the table settles, then it is told to stop.
func TestTurnSettles(t *testing.T) {
	turn := newTurn(0, 10, 0, drive{motor: true, speed: 10, settle: seconds(0.5)})
	if turn.there != 44 || turn.quiet != 66 {
		t.Fatalf("there at %d, quiet at %d; want 44, 66", turn.there, turn.quiet)
	}
	for f, want := range map[int64]float64{0: 10, 44: 10, 65: 10, 66: 0, 1000: 0} {
		if got := turn.speedAt(f); got != want {
			t.Errorf("frame %d: %g°/s, want %g", f, got, want)
		}
	}
}

func TestTurnNeverOutrunsItsSpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-720, 720).Draw(t, "from")
		to := rapid.Float64Range(-720, 720).Draw(t, "to")
		d := drive{motor: true, speed: rapid.Float64Range(0.5, 60).Draw(t, "speed")}
		turn := newTurn(from, to, 0, d)
		last := turn.azimuth(0)
		for f := int64(1); f <= turn.there+1; f++ {
			a := turn.azimuth(f)
			if a < 0 || a >= 360 {
				t.Fatalf("azimuth %g", a)
			}
			if step := math.Abs(cue.Turn(last, a)); step > d.speed/Rate+1e-9 {
				t.Fatalf("frame %d turns %g°", f, step)
			}
			last = a
		}
		if last != around360(to) {
			t.Fatalf("ends at %g, want %g", last, around360(to))
		}
	})
}

func TestAround360(t *testing.T) {
	for in, want := range map[float64]float64{0: 0, 360: 0, -90: 270, 725: 5, -1e-20: 0} {
		if got := around360(in); got != want {
			t.Errorf("around360(%g) = %g, want %g", in, got, want)
		}
	}
}

func TestSpeedOfATable(t *testing.T) {
	slow := &fixtures.Profile{Slots: []fixtures.Slot{{Kind: fixtures.SlotSpeed, From: -6, To: 6}}}
	quick := &fixtures.Profile{Slots: []fixtures.Slot{{Kind: fixtures.SlotSpeed, From: -60, To: 60}}}
	for p, want := range map[*fixtures.Profile]float64{nil: motorSpeed, slow: 6, quick: motorSpeed, {}: motorSpeed} {
		if got := speedOf(p); got != want {
			t.Errorf("%v: %g°/s, want %g", p, got, want)
		}
	}
}
