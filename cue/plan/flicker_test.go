package plan

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/camera"
)

// The picture of bands is the exposure of each row: as counted in small steps.
func TestPatternIsCounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := SourceFlicker{
			Hertz: rapid.Float64Range(50, 2000).Draw(t, "f"), Depth: rapid.Float64Range(0.1, 1).Draw(t, "depth"),
			Duty: rapid.Float64Range(0.05, 1).Draw(t, "duty"), Sine: rapid.Bool().Draw(t, "sine"),
		}
		readout, exposure := rapid.Float64Range(0.002, 0.03).Draw(t, "readout"), rapid.Float64Range(0.001, 0.05).Draw(t, "t")
		p := f.Pattern(readout, 0, exposure, 8)
		if !p.Rows || len(p.Values) != 8 {
			t.Fatalf("%+v", p)
		}
		const steps = 20_000
		for row, got := range p.Values {
			sum := 0.0
			for i := range steps {
				x := (readout*float64(row)/8 + exposure*(float64(i)+0.5)/steps) * f.Hertz
				x -= math.Floor(x)
				if f.Sine {
					sum += 1 + f.Depth*math.Sin(2*math.Pi*x)
				} else {
					// From 1-depth to 1+depth, on for the duty.
					mean := 1 - f.Depth + 2*f.Depth*f.Duty
					level := 1 - f.Depth
					if x < f.Duty {
						level = 1 + f.Depth
					}
					sum += level / mean
				}
			}
			// A step may lie on either side of each of some hundred edges.
			if want := sum / steps; math.Abs(got-want) > 4*(exposure*f.Hertz+2)/steps/f.Duty {
				t.Fatalf("row %d: %g, counted %g", row, got, want)
			}
		}
	})
}

// No row is brighter or darker than the formulas of the report allow.
func TestPatternWithinTheRipple(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		duty, hertz, exposure := rapid.Float64Range(0.02, 0.98).Draw(t, "duty"), rapid.Float64Range(100, 5000).Draw(t, "f"), rapid.Float64Range(0.001, 0.05).Draw(t, "t")
		f := SourceFlicker{Hertz: hertz, Depth: 1, Duty: duty}
		ripple := camera.PWMRipple(duty, hertz, exposure)
		for _, v := range f.Pattern(0.02, 0, exposure, 300).Values {
			if v > ripple.Most+1e-9 || v < ripple.Least-1e-9 {
				t.Fatalf("%g lies outside of %g to %g", v, ripple.Least, ripple.Most)
			}
		}
	})
}

// filmed is Kittiwake before a film camera, with panels that switch slowly.
func filmed(t tb, pwm string) *Flicker {
	s := edited(t, `shutter  = "1/10 s"`, "shutter = \"172.8 deg\"\nfps = 24", `readout  = "4 ms"`, `readout = "16 ms"`, `rows     = 4000`, `rows = 2160`, `pwm      = { frequency = "2 kHz" }`, pwm)
	r, err := NewFlicker(s, Options{Cues: []string{"bow"}})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

func TestFlickerVerdicts(t *testing.T) {
	bands := checkOf(t, "flk-bands-1") // 16 ms, 500 Hz, 2160 rows: 8 bands of 270
	for _, test := range []struct {
		pwm     string
		verdict Verdict
		say     string
	}{
		{`pwm = { frequency = "500 Hz" }`, Banding, "8 bands across the picture, up to 10 % deep"},
		{`pwm = { frequency = "4 kHz" }`, Edge, "at the edge, 80 cycles"},
		{`pwm = { frequency = "25 kHz" }`, Steady, "steady, 500 cycles"},
		{`pwm = { frequency = "500 Hz", depth = "5 %" }`, Steady, "steady"},
		{`pwm = { frequency = "120 Hz", depth = "30 %", shape = "sine" }`, Banding, "bands across the picture"},
	} {
		r := filmed(t, test.pwm)
		var f *SourceFlicker
		for i := range r.Cues[0].Sources {
			if r.Cues[0].Sources[i].Name == "left stroke" {
				f = &r.Cues[0].Sources[i]
			}
		}
		if f.Verdict != test.verdict || !strings.Contains(f.Say, test.say) {
			t.Errorf("%s: %s, %q", test.pwm, f.Verdict, f.Say)
		}
		if strings.Contains(test.pwm, `"500 Hz" }`) {
			bands.holds(t, "bands", f.Bands.Value)
			bands.holds(t, "rows_per_band", f.Rows.Value)
			if !strings.Contains(f.Say, "they crawl round") || f.Deepest.Value <= 50 {
				t.Errorf("%q, deepest %v", f.Say, f.Deepest)
			}
		}
	}
}

// The cure cures: with a shutter as long as told, the light is steady; so is it at
// the deepest level that is told to be safe, and no deeper.
func TestFlickerCures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hertz, exposure := rapid.Float64Range(100, 3000).Draw(t, "f"), rapid.Float64Range(0.0005, 0.05).Draw(t, "t")
		if hertz*exposure >= 1/SafeRipple {
			return
		}
		f := SourceFlicker{Hertz: hertz, Depth: 1, Duty: 0.3, Cycles: hertz * exposure}
		f.Worst = Figure{Value: camera.WorstPWM(0.3, hertz, exposure), Why: Why{Law: "x"}}
		f.deepest(&lens{seconds: is(exposure)})
		level := f.Deepest.Value / 100
		if got := camera.WorstPWM(level, hertz, exposure); math.Abs(got-SafeRipple) > 1e-12 {
			t.Fatalf("at %g of its level it ripples by %g", level, got)
		}
		if camera.WorstPWM(level*0.99, hertz, exposure) <= SafeRipple {
			t.Fatal("deeper is safe as well")
		}
		need := f.Worst.Value * f.Cycles / SafeRipple / hertz
		if got := camera.WorstPWM(0.3, hertz, need); math.Abs(got-SafeRipple) > 1e-12 {
			t.Fatalf("open for %g s it ripples by %g", need, got)
		}
	})
}

// At a frame rate the cure stays within a frame, and an angle that is told takes in
// whole cycles, so that nothing is left of the ripple.
func TestFlickerCureAtAFrameRate(t *testing.T) {
	r := filmed(t, `pwm = { frequency = "510 Hz" }`)
	var say string
	for _, f := range r.Cues[0].Sources {
		if f.Name == "left stroke" {
			say = f.Say
		}
	}
	if strings.Contains(say, "open for") || !strings.Contains(say, "set 169.4°, which takes in 10 whole cycles") {
		t.Errorf("%q", say)
	}
	if got := camera.PWMRipple(0.34, 510, camera.ShutterTime(360*24*10/510.0, 24)); got.Stops > 1e-9 {
		t.Errorf("%g stops are left", got.Stops)
	}
}

// The angles that are safe are those of the handbooks: 172.8° at 24 frames and 50
// Hz, 144° at 60 Hz.
func TestMainsSafe(t *testing.T) {
	r := filmed(t, `pwm = { frequency = "2 kHz" }`)
	if got := r.Cues[0].Angles.Text; !strings.Contains(got, "172.8°") {
		t.Errorf("%q", got)
	}
	s := edited(t, `mains    = "50 Hz"`, `mains = "60 Hz"`, `shutter  = "1/10 s"`, "shutter = \"180 deg\"\nfps = 24")
	if r, err := NewFlicker(s, Options{}); err != nil || !strings.Contains(r.Cues[0].Angles.Text, "144°") || !r.Cues[0].AnySafe {
		t.Errorf("%v, %v", r.Cues[0].Angles, err)
	}
}

// check warns of the worst cue of each light that bands, and of no other.
func TestFlickerFaults(t *testing.T) {
	if got := FlickerFaults(kittiwake(t)); len(got) > 0 {
		t.Errorf("Kittiwake: %v", got)
	}
	s := edited(t, `shutter  = "1/10 s"`, `shutter = "1/250 s"`)
	got := FlickerFaults(s)
	names := ""
	for _, f := range got {
		if !f.Warning || f.Line == 0 || f.Cure == "" {
			t.Errorf("%+v", f)
		}
		names += f.What
	}
	if !strings.Contains(names, `"fill" flickers`) || strings.Contains(names, `"sky" flickers`) {
		t.Errorf("%s", names)
	}
}
