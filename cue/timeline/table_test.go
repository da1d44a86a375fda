package timeline

import (
	"math"
	"testing"

	"limn/cue"
	"limn/cue/motion"

	"pgregory.net/rapid"
)

// brisk is a table that comes to 10 degrees a second in two.
func brisk() *drive {
	return &drive{motor: true, limits: motion.Limits{Speed: 10, Accel: 5}}
}

// The time a turn takes: two seconds and ten degrees each to get to speed and from it.
func TestTurnGoesTheShortWay(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		sense    float64
		frames   int64
	}{
		{0, 90, 1, 11 * Rate},
		{0, 270, -1, 11 * Rate},
		{350, 10, 1, 4 * Rate},
		{10, 350, -1, 4 * Rate},
		{0, 180, 1, 20 * Rate},
		{90, -90, 1, 20 * Rate}, // half a turn is counter-clockwise
		{0, 5, 1, 2 * Rate},     // never at full speed
		{35, 35, 0, 0},
		{35, 395, 0, 0},
		{-10, 350, 0, 0},
	} {
		stood := standingAt(c.from, 0)
		turn := stood.turned(c.to, 100, brisk())
		if turn.there != 100+c.frames || turn.quiet != turn.there {
			t.Errorf("%g to %g: %d frames, want %d", c.from, c.to, turn.there-100, c.frames)
		}
		if speed := turn.speedAt(100 + c.frames/2); c.sense == 0 && speed != 0 || speed*c.sense < 0 || c.sense != 0 && speed == 0 {
			t.Errorf("%g to %g: half way at %g°/s", c.from, c.to, speed)
		}
		if got := turn.azimuth(turn.there); got != around360(c.to) {
			t.Errorf("%g to %g ends at %g", c.from, c.to, got)
		}
	}
}

// A creep is kept up while the table settles, then it is told to stop.
func TestTurnSettles(t *testing.T) {
	d := brisk()
	d.limits.Settle = 0.5
	stood := standingAt(0, 0)
	turn := stood.turned(-20, 0, d)
	if turn.there != 176 || turn.quiet != 198 {
		t.Fatalf("there at %d, quiet at %d; want 176, 198", turn.there, turn.quiet)
	}
	for f, want := range map[int64]float64{0: -1, 87: -435.0 / 44, 88: -435.0 / 44, 175: -1, 176: -1, 197: -1, 198: 0, 1000: 0} {
		if f == 87 || f == 88 { // in the middle of the frames beside the top
			want = -(10 - 5*0.5/Rate)
		}
		if got := turn.speedAt(f); math.Abs(got-want) > 1e-9 {
			t.Errorf("frame %d: %g°/s, want %g", f, got, want)
		}
	}
}

// However it is sent about, the table keeps within its limits, is where its speed
// says, and comes to the mark from the side it is always pushed from.
func TestTurnKeepsItsLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := &drive{motor: true, limits: motion.Limits{
			Speed: rapid.Float64Range(0.5, 60).Draw(t, "speed"), Accel: rapid.Float64Range(0.5, 60).Draw(t, "accel"),
			Backlash: rapid.SampledFrom([]float64{0, 0, 0.5, 2}).Draw(t, "backlash"),
		}}
		turn := standingAt(rapid.Float64Range(-720, 720).Draw(t, "from"), 0)
		last, lastStep := turn.azimuth(0), 0.0
		var f int64
		for range rapid.IntRange(1, 4).Draw(t, "orders") {
			to := rapid.Float64Range(-720, 720).Draw(t, "to")
			turn = turn.turned(to, f, d)
			end := turn.there + 2
			if rapid.Bool().Draw(t, "cut short") {
				end = f + rapid.Int64Range(0, turn.there-f).Draw(t, "after")
			}
			for ; f < end; f++ {
				a := turn.azimuth(f)
				if a < 0 || a >= 360 {
					t.Fatalf("azimuth %g", a)
				}
				step := cue.Turn(last, a)
				if math.Abs(step) > d.limits.Speed/Rate+1e-9 {
					t.Fatalf("frame %d turns %g°", f, step)
				}
				if f > 0 && math.Abs(step-lastStep) > d.limits.Accel/Rate/Rate+1e-6 { // lasts are cut to a microsecond
					t.Fatalf("frame %d turns %g° after %g°, more than it may gain", f, step, lastStep)
				}
				if step != 0 && turn.speedAt(f-1) == 0 && f > turn.begun {
					t.Fatalf("frame %d turns while it is told to stop", f)
				}
				last, lastStep = a, step
			}
			if end == turn.there+2 {
				if last != around360(to) {
					t.Fatalf("ends at %g, want %g", last, around360(to))
				}
				if turn.move != nil && d.limits.Backlash > 0 && turn.creep < 0 {
					t.Fatal("its play is taken up from the other side")
				}
			}
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

func TestLimitsOfATable(t *testing.T) {
	for _, c := range []struct {
		most, written float64
		want          motion.Limits
	}{
		{0, 0, motion.Limits{Speed: 10, Accel: 5, Settle: 0.5}},
		{6, 0, motion.Limits{Speed: 6, Accel: 3, Settle: 0.5}},
		{60, 0, motion.Limits{Speed: 10, Accel: 5, Settle: 0.5}},
		{60, 30, motion.Limits{Speed: 30, Accel: 15, Settle: 0.5}},
	} {
		r := rig(true)
		r.Sources[table].Profile.Slots[1].From, r.Sources[table].Profile.Slots[1].To = -c.most, c.most
		d := newDrive(&cue.Shoot{Rig: r, Turntable: cue.Turntable{Drive: "table", Speed: c.written}})
		if d.limits != c.want {
			t.Errorf("at most %g, written %g: %+v, want %+v", c.most, c.written, d.limits, c.want)
		}
	}
}
