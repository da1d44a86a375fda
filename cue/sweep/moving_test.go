package sweep_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/motion"
	"limn/cue/sweep"
	"limn/fixtures/colour"
)

// The light of a moving shot, frame by frame: it begins and ends exactly where the table stands, and from one frame to the
// next changes by no more than the table has turned allows.
func TestLightFollowsAMovingShot(t *testing.T) {
	const rate = 44
	rapid.Check(t, func(t *rapid.T) {
		cues := cuesOf(t)
		s, err := sweep.New(cues, centre)
		if err != nil {
			t.Fatal(err)
		}
		narrowest := 360.0
		knots := s.Knots()
		for i := range knots {
			if w := math.Mod(knots[(i+1)%len(knots)]-knots[i]+360, 360); w > 0 {
				narrowest = min(narrowest, w)
			}
		}
		speed := rapid.Float64Range(1, 30).Draw(t, "speed")
		travel := rapid.Float64Range(10, 400).Draw(t, "travel") * rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sense")
		shot := motion.NewShot(cues[0].Azimuth, travel, speed, 0.5, motion.Limits{Speed: 30, Accel: 15})
		n := len(cues[0].Light)
		got, was := make([]colour.XYZ, n), make([]colour.XYZ, n)
		s.Light(shot.Start, was)
		azimuth := shot.Start
		for k := range int(shot.Run.Lasts()*rate) + 2 {
			now, _ := shot.Run.At(float64(k) / rate)
			s.Light(now, got)
			// At most 3 times as steep as the secant, in ln of the larger end: see TestSweep.
			most := 3 * max(math.Log(1e6), 1) / narrowest * (math.Abs(now-azimuth) + ulp)
			for j := range got {
				if step := math.Abs(got[j].Y - was[j].Y); step > most+rounding {
					t.Fatalf("frame %d: source %d jumps by %g, the table by %g°", k, j, step, now-azimuth)
				}
			}
			azimuth = now
			copy(was, got)
		}
		s.Light(shot.Run.End(), got)
		for j := range got {
			if got[j] != was[j] {
				t.Fatalf("at the end source %d gives %v, want %v", j, was[j], got[j])
			}
		}
		s.Light(cues[0].Azimuth, got) // at the first mark, the light of its cue
		for j := range got {
			if got[j] != cues[0].Light[j].Asked {
				t.Fatalf("at the first mark source %d gives %v, want %v", j, got[j], cues[0].Light[j].Asked)
			}
		}
	})
}
