package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"limn/cue/camera"
)

// Tables that stand in handbooks, asked through the reports.

// Illuminance for an aperture at 1/50 s, ISO 800, C 250: the incident equation.
func TestLuxNeeded(t *testing.T) {
	for aperture, want := range map[string]float64{"f/5.6569": 500, "f/8": 1000, "f/11.3137": 2000, "f/16": 4000, "f/22.6274": 8000} {
		s := edited(t, `aperture = "f/16"`, fmt.Sprintf("effective = true\naperture = %q", aperture), `shutter  = "1/10 s"`, `shutter = "1/50 s"`, `iso      = 400`, `iso = 800`)
		c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
		near(t, aperture, c.Figure("lux-wanted").Value, want, 1e-4) // apertures as printed, to four decimals
	}
}

// Exposure values at ISO 100 against lux with C 250: 2.5 lx at EV 0, doubling.
func TestEVTable(t *testing.T) {
	for ev, lux := range map[int]float64{0: 2.5, 6: 160, 10: 2560, 15: 81920} {
		s := shootOf(t, fmt.Sprintf(`
[subject]
name = "Tern"
[camera]
elevation = 0
[[source]]
name = "sky"
role = "key"
drive = "hand"
full = "%g lx"
place = { azimuth = 0, distance = "1 m" }
`, lux), "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"100 %\"\n")
		f := expose(t, s, Options{}).Cues[0].Figure("ev-incident")
		if math.Abs(f.Value-float64(ev)) > 1e-9 {
			t.Errorf("%g lx is EV %g, want %d", lux, f.Value, ev)
		}
	}
}

// The deepest full-size look in one frame by scale, blur 0.03 mm at 550 nm:
// c/(2.44·λ·s), to the digits of the table.
func TestDeepestLookByScale(t *testing.T) {
	for scale, want := range map[int]float64{6: 3.726, 8: 2.794, 10: 2.235, 12: 1.863, 18: 1.242, 24: 0.9314, 43: 0.5199, 64: 0.3493} {
		s := edited(t, "scale  = 12 ", fmt.Sprintf("scale = %d ", scale), `rows     = 4000`, `blur = "0.03 mm"`)
		c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
		near(t, fmt.Sprintf("1:%d", scale), c.Look.Deepest.Value, want, 3e-4)
	}
}

// Mains-safe shutter angles, by frame rate and mains.
func TestMainsTable(t *testing.T) {
	for _, test := range []struct {
		fps   float64
		mains int
		want  []float64
	}{
		{24, 50, []float64{86.4, 172.8, 259.2, 345.6}},
		{25, 50, []float64{90, 180, 270, 360}},
		{30, 50, []float64{108, 216, 324}},
		{23.976, 60, []float64{71.93, 143.9, 215.8, 287.7}},
		{24, 60, []float64{72, 144, 216, 288, 360}},
		{29.97, 60, []float64{89.91, 179.8, 269.7}},
		{60, 60, []float64{180, 360}},
	} {
		s := edited(t, `mains    = "50 Hz"`, fmt.Sprintf(`mains = "%d Hz"`, test.mains), `shutter  = "1/10 s"`, fmt.Sprintf("shutter = \"90 deg\"\nfps = %g", test.fps))
		r, err := NewFlicker(s, Options{Cues: []string{"bow"}})
		if err != nil {
			t.Fatal(err)
		}
		got := r.Cues[0].Safe
		if len(got) < len(test.want) {
			t.Errorf("%g fps, %d Hz: %v", test.fps, test.mains, got)
			continue
		}
		for i, want := range test.want {
			if math.Abs(got[i]-want) > 0.06 { // printed to a tenth
				t.Errorf("%g fps, %d Hz: %v, want %v", test.fps, test.mains, got, test.want)
			}
		}
	}
}

// Cycles of switching in an exposure against what is left: 20 % of 5, 2 % of 50.
func TestCyclesTable(t *testing.T) {
	for cycles, want := range map[float64]string{5: "20 %", 10: "10 %", 20: "5 %", 50: "2 %", 100: "1 %", 500: "0.2 %"} {
		f := SourceFlicker{Hertz: cycles * 50, Depth: 1, Duty: 0.3}
		f.ripple(&lens{seconds: is(0.02)})
		if f.Worst.Text != want {
			t.Errorf("%g cycles leave %s, want %s", cycles, f.Worst.Text, want)
		}
	}
}

// A stack through a model seen three-quarter on, 373.5 to 626.5 mm with a lens of
// 45.68 mm and a blur of 0.03 mm: 7, 5, 4 and 3 frames, where diffraction is left
// out (the exact march). With diffraction in it there are more.
func TestStackTable(t *testing.T) {
	for n, want := range map[float64]int{8: 7, 11: 5, 16: 4, 22: 3} {
		if got := len(camera.FocusStack(45.68, n, 0.03, 373.5, 626.5, Overlap)); got != want {
			t.Errorf("f/%g: %d frames, want %d", n, got, want)
		}
		l := lens{focal: is(45.68), focus: is(500), marked: is(n), pupil: 1, blur: is(0.03), width: is(36), height: is(24)}
		l.magnification = is(camera.Magnification(45.68, 500))
		l.open(false)
		o := Focus{near: is(373.5), far: is(626.5)}
		o.reckon(&l)
		if o.StackN == n && len(o.Stack) < want || len(o.Stack) == 0 || o.Holds || o.Stopped > 0 || !strings.Contains(strings.Join(o.Say, " "), "no single frame holds it") {
			t.Errorf("f/%g: %d frames, want %d or more: %v", n, len(o.Stack), want, o.Say)
		}
	}
}
