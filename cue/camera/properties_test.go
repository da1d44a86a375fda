package camera_test

import (
	"math"
	"testing"

	"limn/cue/camera"

	"pgregory.net/rapid"
)

// The frames of a stack meet, each overlapping the one before by the share asked,
// and none of them is left out.
func TestFocusStackCoversTheSubject(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(20, 120).Draw(t, "f")
		n := rapid.Float64Range(2.8, 22).Draw(t, "N")
		c := rapid.Float64Range(0.005, 0.05).Draw(t, "c")
		near := f * rapid.Float64Range(3, 20).Draw(t, "near")
		far := near * rapid.Float64Range(1, 3).Draw(t, "far")
		overlap := rapid.Float64Range(0, 0.5).Draw(t, "overlap")
		at := camera.FocusStack(f, n, c, near, far, overlap)
		if len(at) == 0 {
			t.Fatal("no stack")
		}
		reached := 0.0
		for i, u := range at {
			d := camera.DepthOfField(f, n, c, u)
			want := near
			if i > 0 {
				before := camera.DepthOfField(f, n, c, at[i-1])
				want = before.Far - overlap*before.Total()
			}
			if math.Abs(d.Near-want) > 1e-6*want && !math.IsInf(d.Far, 1) {
				t.Fatalf("frame %d is sharp from %.4f, want %.4f", i+1, d.Near, want)
			}
			reached = d.Far
			if i < len(at)-1 && d.Far >= far {
				t.Fatalf("frame %d reaches %.1f of %.1f already", i+1, d.Far, far)
			}
		}
		if reached < far {
			t.Fatalf("the stack reaches %.1f of %.1f", reached, far)
		}
	})
}

// Switched light, counted by brute force over all phases.
func TestPWMRippleAgainstCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		duty := rapid.Float64Range(0.02, 0.98).Draw(t, "duty")
		cycles := rapid.Float64Range(0.3, 12).Draw(t, "cycles")
		most, least := 0.0, math.Inf(1)
		on := func(x float64) float64 { return math.Floor(x)*duty + math.Min(x-math.Floor(x), duty) }
		const phases = 4000
		for i := range phases {
			start := float64(i) / phases
			lit := on(start+cycles) - on(start)
			most, least = math.Max(most, lit), math.Min(least, lit)
		}
		r := camera.PWMRipple(duty, 100, cycles/100)
		mean := duty * cycles
		if math.Abs(r.Most*mean-most) > 1.0/phases || math.Abs(r.Least*mean-least) > 1.0/phases {
			t.Fatalf("%v, counted %v to %v", r, least/mean, most/mean)
		}
		if worst := camera.WorstPWM(duty, 100, cycles/100); r.Most-r.Least > worst+1e-9 {
			t.Fatalf("%v is worse than the worst, %v", r, worst)
		}
	})
}

// At a shutter angle that is safe, lamps fed by the mains leave nothing.
func TestMainsSafeAnglesAreSafe(t *testing.T) {
	for _, fps := range []float64{24000.0 / 1001, 24, 25, 30000.0 / 1001, 30, 48, 50, 60} {
		for _, mains := range []float64{50, 60} {
			angles, _ := camera.MainsSafe(fps, mains)
			if len(angles) == 0 && fps < 2*mains {
				t.Errorf("%g at %g Hz: none", fps, mains)
			}
			for _, a := range angles {
				if amplitude, _ := camera.SineRipple(1, 2*mains, camera.ShutterTime(a, fps)); amplitude > 1e-9 {
					t.Errorf("%g at %g Hz, %g°: %g is left", fps, mains, a, amplitude)
				}
			}
		}
	}
}

// A miniature at the equivalent settings blurs every point by the same share of
// the picture as the full size does.
func TestMiniatureBlursAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		full := camera.View{
			Focal:    rapid.Float64Range(18, 135).Draw(t, "f"),
			N:        rapid.Float64Range(1.4, 16).Draw(t, "N"),
			Distance: rapid.Float64Range(3000, 20000).Draw(t, "u"),
			Width:    rapid.Float64Range(12, 54).Draw(t, "w"),
		}
		scale := rapid.Float64Range(4, 64).Draw(t, "scale")
		width := rapid.Float64Range(12, 54).Draw(t, "w'")
		z := rapid.Float64Range(-0.4, 3).Draw(t, "z") * full.Distance
		e := camera.Miniature(full, scale, width, 0.03, camera.Wavelength)
		_, a := camera.Blur(full.Focal, full.N, full.Distance, z, camera.Magnification(full.Focal, full.Distance))
		// Its pupil is what counts: a lens of that pupil, whatever its focal length.
		_, b := camera.Blur(e.Pupil, 1, full.Distance/scale, z/scale, e.Magnification)
		if x, y := a/full.Width, b/width; math.Abs(x-y) > 1e-9*x {
			t.Fatalf("%v of the width at full size, %v of the model's", x, y)
		}
		want, _ := camera.Effective(full.N, camera.Magnification(full.Focal, full.Distance), 1)
		if back := camera.FullSizeLook(e.Effective, scale, full.Width, width); math.Abs(back-want) > 1e-9*want {
			t.Fatalf("looks like f/%v, want f/%v", back, want)
		}
	})
}
