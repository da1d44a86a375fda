package motion_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/motion"
)

func limits(t *rapid.T) motion.Limits {
	return motion.Limits{
		Speed:    rapid.Float64Range(0.1, 60).Draw(t, "speed"),
		Accel:    rapid.Float64Range(0.1, 100).Draw(t, "accel"),
		Backlash: rapid.SampledFrom([]float64{0, 0.05, 0.4, 3}).Draw(t, "backlash"),
		Sense:    rapid.SampledFrom([]float64{-1, 0, 1}).Draw(t, "sense"),
		Settle:   rapid.Float64Range(0, 3).Draw(t, "settle"),
	}
}

// crawl is the most speed from which a table rests within the last digit of its azimuth:
// v²/2a below the ulp of 720 degrees.
const crawl = 5e-6

// moves checks what holds for every movement, and returns the sense in which it came to its end.
func moves(t *rapid.T, m *motion.Move, l motion.Limits, begun float64) {
	t.Helper()
	const steps = 600
	lasts := m.Lasts()
	at, speed := m.At(0)
	if at != m.From() || math.Abs(speed-begun) > crawl {
		t.Fatalf("it begins at %g with %g deg/s, want %g with %g", at, speed, m.From(), begun)
	}
	h := lasts / steps
	for k := 1; k <= steps; k++ {
		a, v := m.At(h * float64(k))
		most := max(l.Speed, math.Abs(begun))
		if math.Abs(v) > most*(1+1e-12) {
			t.Fatalf("%g deg/s, more than %g", v, most)
		}
		if math.Abs(v-speed) > l.Accel*h*(1+1e-6)+1e-9 {
			t.Fatalf("speed goes from %g to %g in %g s, more than %g deg/s²", speed, v, h, l.Accel)
		}
		// What it moves lies between what the two speeds and the limits allow.
		if math.Abs(a-at) > (max(math.Abs(v), math.Abs(speed))+l.Accel*h)*h*(1+1e-6)+1e-9 {
			t.Fatalf("it moves %g° in %g s at %g deg/s", a-at, h, v)
		}
		at, speed = a, v
	}
	for _, at := range []float64{lasts, lasts + 1, 1e9} {
		if a, v := m.At(at); a != m.End() || v != 0 {
			t.Fatalf("after %g s it is at %g with %g deg/s, want %g and rest", at, a, v, m.End())
		}
	}
	if lasts > 0 && m.Quiet() != lasts+l.Settle {
		t.Fatalf("quiet after %g s, want %g", m.Quiet(), lasts+l.Settle)
	}
}

// cameFrom is the sense of the last part of a movement; 0 = it did not move.
func cameFrom(m *motion.Move) float64 {
	if m.Lasts() == 0 {
		return 0
	}
	_, v := m.At(m.Lasts() * (1 - 1e-9))
	return v
}

func TestTo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := limits(t)
		from := rapid.Float64Range(-720, 720).Draw(t, "from")
		to := rapid.Float64Range(0, 360).Draw(t, "to")
		slack := rapid.Bool().Draw(t, "slack")
		m := motion.To(from, to, l, slack)
		moves(t, m, l, 0)
		if d := math.Abs(math.Remainder(m.End()-to, 360)); d > 1e-9 {
			t.Fatalf("it ends at %g, want %g", m.End(), to)
		}
		if way := math.Abs(m.End() - from); way > 180+1e-9 {
			t.Fatalf("it goes the longer way, %g°", way)
		}
		sense := 1.0
		if l.Sense < 0 {
			sense = -1
		}
		if v := cameFrom(m); l.Backlash > 0 && v*sense < 0 {
			t.Fatalf("it ends moving at %g deg/s, against the sense in which its play is taken up", v)
		}
		if slack && l.Backlash > 0 {
			// Pushed the right way by at least twice the play.
			pushed := 0.0
			window := 4 * (2*math.Sqrt(2*l.Backlash/l.Accel) + 2*l.Backlash/l.Speed)
			for k := range 4000 {
				a, v := m.At(max(m.Lasts()-window*float64(k)/4000, 0))
				if v*sense < 0 {
					break
				}
				pushed = math.Abs(m.End() - a)
			}
			if pushed < 2*l.Backlash*(1-0.02) {
				t.Fatalf("the last push is %g°, less than twice the play of %g", pushed, l.Backlash)
			}
		}
	})
}

// By distance and limits alone: a short way is v²/a twice over, a long one has a stretch at full speed.
func TestTrapezoid(t *testing.T) {
	l := motion.Limits{Speed: 10, Accel: 5}
	// 2 s to speed over 10°, 2 s at speed over 20°, 2 s to rest.
	m := motion.To(0, 40, l, false)
	for _, c := range []struct{ t, azimuth, speed float64 }{{0, 0, 0}, {1, 2.5, 5}, {2, 10, 10}, {3, 20, 10}, {4, 30, 10}, {5, 37.5, 5}, {6, 40, 0}} {
		if a, v := m.At(c.t); math.Abs(a-c.azimuth) > 1e-12 || math.Abs(v-c.speed) > 1e-12 {
			t.Errorf("after %g s: %g° at %g deg/s, want %g° at %g", c.t, a, v, c.azimuth, c.speed)
		}
	}
	m = motion.To(0, -5, l, false) // a triangle: 1 s each way, 5 deg/s at its tip
	if a, v := m.At(1); m.Lasts() != 2 || a != -2.5 || v != -5 {
		t.Errorf("the short way lasts %g s, halfway at %g° with %g deg/s", m.Lasts(), a, v)
	}
}

func TestStopAndRedirect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := limits(t)
		from := rapid.Float64Range(0, 360).Draw(t, "from")
		m := motion.To(from, rapid.Float64Range(0, 360).Draw(t, "to"), l, false)
		at := rapid.Float64Range(0, 1).Draw(t, "share") * m.Lasts()
		azimuth, speed := m.At(at)
		stop := m.Stop(at, l)
		if stop.From() != azimuth {
			t.Fatalf("stopping it jumps from %g to %g", azimuth, stop.From())
		}
		moves(t, stop, l, speed)
		if d := math.Abs(stop.End() - azimuth); math.Abs(d-speed*speed/2/l.Accel) > 1e-9 {
			t.Fatalf("from %g deg/s it needs %g°", speed, d)
		}
		to := rapid.Float64Range(-400, 400).Draw(t, "elsewhere")
		other := m.Redirect(at, to, l)
		if other.From() != azimuth || other.End() != to {
			t.Fatalf("redirected it goes from %g to %g, want %g to %g", other.From(), other.End(), azimuth, to)
		}
		moves(t, other, l, speed)
	})
}

func TestShot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := limits(t)
		first := rapid.Float64Range(0, 360).Draw(t, "first")
		travel := rapid.Float64Range(0.5, 720).Draw(t, "travel") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sense")
		speed := rapid.Float64Range(0.05, 80).Draw(t, "asked")
		preRoll := rapid.Float64Range(0, 3).Draw(t, "pre-roll")
		s := motion.NewShot(first, travel, speed, preRoll, l)
		moves(t, s.Run, l, 0)
		want := math.Copysign(min(speed, l.Speed), travel)
		for _, share := range []float64{0, 0.3, 1} { // at constant speed from mark to mark
			at := s.AtFirst + share*(s.AtLast-s.AtFirst)
			a, v := s.Run.At(at)
			if math.Abs(a-(first+share*travel)) > 1e-6 || math.Abs(v-want) > 1e-6*math.Abs(want) {
				t.Fatalf("%g of the way it is at %g with %g deg/s, want %g with %g", share, a, v, first+share*travel, want)
			}
		}
		if _, v := s.Run.At(s.AtFirst - 0.999*preRoll); preRoll > 0 && math.Abs(v-want) > 1e-6*math.Abs(want) {
			t.Fatalf("in the pre-roll it turns at %g deg/s, want %g", v, want)
		}
		approach := s.Approach(rapid.Float64Range(0, 360).Draw(t, "stands"), true)
		moves(t, approach, l, 0)
		if v := cameFrom(approach); l.Backlash > 0 && v*travel < 0 {
			t.Fatalf("it comes to its start at %g deg/s, against the run", v)
		}
		back := s.Back(s.Run.End())
		moves(t, back, l, 0)
		if math.Abs(back.End()-s.Start) > 1e-9 {
			t.Fatalf("back at %g, begun at %g", back.End(), s.Start)
		}
		dry := s.Dry()
		if math.Abs(dry.Speed-want*motion.DryRunSpeed) > 1e-9 || dry.First != s.First || math.Abs(dry.Last-s.Last) > 1e-9 {
			t.Fatalf("the dry run goes from %g to %g at %g", dry.First, dry.Last, dry.Speed)
		}
	})
}

func TestFollow(t *testing.T) {
	const rate = 44
	rapid.Check(t, func(t *rapid.T) {
		f := motion.NewFollow(rate)
		k := int64(0)
		azimuth := rapid.Float64Range(0, 360).Draw(t, "first")
		f.Hear(0, azimuth)
		for range rapid.IntRange(1, 30).Draw(t, "samples") {
			gap := int64(rapid.IntRange(1, 20).Draw(t, "gap"))
			step := rapid.Float64Range(-5, 5).Draw(t, "step")
			before, _ := f.At(k + gap)
			azimuth += step
			k += gap
			f.Hear(k, math.Mod(azimuth+3600, 360)) // told wrapped
			if now, stale := f.At(k); now != before || stale {
				t.Fatalf("a sample moves it from %g to %g at once, stale %t", before, now, stale)
			}
			// Soon it is where it was told, but for what trembles.
			if then, _ := f.At(k + 22); math.Abs(math.Remainder(then-azimuth, 360)) > motion.DeadBand+1e-9 {
				t.Fatalf("half a second later it is at %g, told %g", then, azimuth)
			}
		}
		if _, stale := f.At(k + 22); stale {
			t.Fatal("stale after half a second")
		}
		at, _ := f.At(k + 22)
		if held, stale := f.At(k + 23); !stale || held != at {
			t.Fatalf("silent for longer it is at %g, was at %g, stale %t", held, at, stale)
		}
	})
}

func TestFollowPassesOverWhatIsNoNumber(t *testing.T) {
	f := motion.NewFollow(44)
	if _, stale := f.At(0); !stale || f.Heard() {
		t.Error("it knows an azimuth before it has heard one")
	}
	f.Hear(0, math.NaN())
	f.Hear(0, math.Inf(1))
	if f.Heard() {
		t.Error("it takes what is no number")
	}
	f.Hear(1, 359.98)
	f.Hear(2, 0.02) // within the dead band, across 360
	if a, _ := f.At(10); a != 359.98 {
		t.Errorf("a tremble moves it to %g", a)
	}
}

func TestBadLimits(t *testing.T) {
	for _, l := range []motion.Limits{{}, {Speed: math.NaN(), Accel: math.Inf(1), Backlash: math.NaN(), Settle: -1}, {Speed: -3, Accel: -1, Backlash: -2}} {
		m := motion.To(0, 90, l, true)
		if a, v := m.At(1e6); a != 90 || v != 0 || math.IsNaN(m.Lasts()) || m.Lasts() <= 0 {
			t.Errorf("%+v: it ends at %g with %g after %g s", l, a, v, m.Lasts())
		}
	}
}

func TestAllocs(t *testing.T) {
	m := motion.To(0, 90, motion.Limits{Speed: 10, Accel: 5, Backlash: 1, Sense: -1}, true)
	f := motion.NewFollow(44)
	at := 0.0
	k := int64(0)
	if n := testing.AllocsPerRun(1000, func() { at += 0.01; m.At(at); k++; f.Hear(k, at); f.At(k) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func ExampleTo() {
	// From 35° to 80°, pushed to its mark counter-clockwise; then back to 35°, which goes beyond by twice the play.
	l := motion.Limits{Speed: 10, Accel: 5, Backlash: 0.5}
	m := motion.To(35, 80, l, false)
	fmt.Printf("%.1f s\n", m.Lasts())
	back := motion.To(m.End(), 35, l, false)
	lowest := back.End()
	for t := 0.0; t < back.Lasts(); t += 0.1 {
		a, _ := back.At(t)
		lowest = min(lowest, a)
	}
	fmt.Printf("%.1f s by way of %.0f°\n", back.Lasts(), lowest)
	// Output:
	// 6.5 s
	// 7.5 s by way of 34°
}
