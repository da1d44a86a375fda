package plan

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures/quantity"
	"limn/fixtures/space"
)

func metres(v float64) quantity.Length { return quantity.Length{Metres: v} }

// How far a form reaches is what its points do, turned one by one.
func TestExtent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, w, h := rapid.Float64Range(0.05, 1).Draw(t, "l"), rapid.Float64Range(0.05, 1).Draw(t, "w"), rapid.Float64Range(0.05, 1).Draw(t, "h")
		azimuth, elevation := rapid.Float64Range(-360, 360).Draw(t, "azimuth"), rapid.Float64Range(-89, 89).Draw(t, "elevation")
		way := space.At(0, elevation, 1)
		s := cue.Subject{Length: metres(l), Width: metres(w), Height: metres(h)}
		points := map[string][]space.Vec{}
		for _, x := range []float64{-w / 2, w / 2} {
			for _, y := range []float64{-l / 2, l / 2} {
				for _, z := range []float64{-h / 2, h / 2} {
					points[cue.FormBox] = append(points[cue.FormBox], space.Vec{X: x, Y: y, Z: z})
				}
			}
		}
		r := max(l, w) / 2
		for i := range 3600 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 1800)
			for _, z := range []float64{-h / 2, h / 2} {
				points[cue.FormCylinder] = append(points[cue.FormCylinder], space.Vec{X: r * cos, Y: r * sin, Z: z})
			}
		}
		for kind, ps := range points {
			s.Form.Kind = kind
			e, missing := extentOf(&s, nil, azimuth, way)
			if missing != "" {
				t.Fatal(missing)
			}
			toward, away := math.Inf(-1), math.Inf(-1)
			for _, p := range ps {
				d := p.Turn(azimuth).Dot(way)
				toward, away = max(toward, d), max(away, -d)
			}
			if math.Abs(toward-e.toward) > 1e-6 || math.Abs(away-e.away) > 1e-6 {
				t.Fatalf("%s reaches %v, its points %g and %g", kind, e, toward, away)
			}
		}
		// A hull stays within its box, a ball does not turn.
		s.Form = cue.Form{Kind: cue.FormHull, Sections: []cue.Section{{At: 0, Points: [][2]float64{{0, 0}, {0.2, 1}}}, {At: 1, Points: [][2]float64{{0, 0.1}, {1, 0.9}}}}}
		hull, _ := extentOf(&s, nil, azimuth, way)
		s.Form = cue.Form{Kind: cue.FormBox}
		box, _ := extentOf(&s, nil, azimuth, way)
		if hull.toward > box.toward+1e-12 || hull.away > box.away+1e-12 {
			t.Fatalf("hull %v is larger than its box %v", hull, box)
		}
		s.Form = cue.Form{Kind: cue.FormSphere}
		ball, _ := extentOf(&s, nil, azimuth, way)
		if ball != (extent{max(l, w, h) / 2, max(l, w, h) / 2}) {
			t.Fatalf("a ball reaches %v", ball)
		}
	})
}

// What is said to be sharp is: where one frame holds the subject, its ends blur no
// more than is allowed; a stack covers it from end to end, each frame blurring no
// more than is allowed at its own ends, diffraction included.
func TestSharpnessHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(2.8, 32).Draw(t, "N")
		f := rapid.Float64Range(24, 100).Draw(t, "f")
		d := rapid.Float64Range(5*f, 40*f).Draw(t, "d")
		l := lens{focal: is(f), distance: is(d), marked: is(n), pupil: 1, blur: is(0.0288), width: is(36), height: is(24)}
		l.reach()
		l.open(false)
		half := rapid.Float64Range(1, 0.6*(l.focus.value-f)).Draw(t, "half")
		var o Focus
		o.near, o.far = is(l.focus.value-half), is(l.focus.value+half)
		o.reckon(&l)
		allowed := 28.8
		worst := func(n, u, at float64) float64 { // µm on the sensor, by the image distances of either
			v, w := sensorSide(f, u), sensorSide(f, at)
			defocus := f / n * math.Abs(w-v) / w
			return 1000 * camera.TotalBlur(defocus, camera.Airy(camera.Wavelength, n*(1+l.magnification.value)))
		}
		switch {
		case o.Holds:
			for _, at := range []float64{o.near.value, o.far.value} {
				if got := worst(n, o.Focus.Value, at); got > allowed*1.15 { // N_eff at the ends differs from that at the aim point
					t.Fatalf("one frame: %g µm at %g mm", got, at)
				}
			}
		case o.Stopped > 0:
			if got := endBlur(o.Figures[3].Value, o.Stopped*(1+l.magnification.value)); got > allowed {
				t.Fatalf("stopped down to %g its ends blur to %g µm", o.Stopped, got)
			}
			if worst(o.Stopped, o.Focus.Value, o.near.value) > allowed*1.15 {
				t.Fatalf("its near end is not sharp at %g", o.Stopped)
			}
		case len(o.Stack) > 0:
			left := math.Sqrt(0.0288*0.0288 - math.Pow(camera.Airy(camera.Wavelength, o.StackN*(1+l.magnification.value)), 2))
			reach := o.near.value
			for _, m := range o.Stack {
				u := focusOf(f, 1000*m)
				depth := camera.DepthOfField(f, o.StackN, left, u)
				if depth.Near > reach*(1+1e-9) {
					t.Fatalf("a gap from %g to %g mm", reach, depth.Near)
				}
				reach = depth.Far
			}
			if reach < o.far.value*(1-1e-9) {
				t.Fatalf("the stack ends at %g, the subject at %g mm", reach, o.far.value)
			}
		}
	})
}

// focusOf is the focus distance whose subject lies so far from the sensor, mm.
func focusOf(f, fromSensor float64) float64 {
	sum := fromSensor/f - 2
	m := (sum - math.Sqrt(sum*sum-4)) / 2
	return f * (1 + 1/m)
}

// The looks, by their check values: a model car at 1:18 must be shot at f/101 to
// look like f/5.6, and a frame at the limit of diffraction looks like f/1.24.
func TestFullSizeLook(t *testing.T) {
	v := checkOf(t, "min-equiv-1")
	l := lens{pupil: 1, blur: is(v.Inputs["c_full_mm"]), width: is(v.Inputs["w_mini"]), height: is(24), marked: is(16)}
	u, s := v.Inputs["u_full_mm"], v.Inputs["s"]
	l.focal, l.focus = is(v.Expected["f_mini_mm"]), is(u/s)
	l.magnification = is(camera.Magnification(l.focal.value, l.focus.value))
	l.open(false)
	var o Look
	o.want(&l, &Focus{near: lacks("x"), far: lacks("x")}, v.Inputs["N_full"], s, is(v.Inputs["w_full"]))
	v.holds(t, "N_eff_mini", o.Wanted[0].Value)
	v.holds(t, "N_marked_mini", o.Wanted[1].Value)
	v.holds(t, "extra_stops", o.Wanted[2].Value)
	v.holds(t, "airy_over_coc", o.Wanted[4].Value)
	if say := strings.Join(o.Say, " "); !strings.Contains(say, "f/100 here, 8.3 stops more light than at full size") || !strings.Contains(say, "diffraction forbids it") {
		t.Errorf("%q", say)
	}
}

// Kittiwake at 1:12 and f/5.6: what the trade's own arithmetic says, f/5.6 times
// twelve with the loss of close focus, and log2(12²) stops.
func TestKittiwakeLook(t *testing.T) {
	c := expose(t, kittiwake(t), Options{Cues: []string{"bow"}, FullLook: 5.6}).Cues[0]
	say := strings.Join(c.Say, "\n")
	for _, want := range []string{"f/68 here", "7.2 stops more light than at full size", "diffraction forbids it", "instead: one frame at f/20", "a stack of"} {
		if !strings.Contains(say, want) {
			t.Errorf("%q is not in %s", want, say)
		}
	}
	near(t, "the look of f/16", c.Look.Now.Value, c.lens.effective.value/12, 1e-12)
}
