package plan

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// What the camera is set to against the light, by the incident equation, with the
// losses of close focus, of glass and of filters each counted once.
func TestExposureCountsEveryLoss(t *testing.T) {
	s := edited(t, `white    = "5600 K"`, "nd = 0.9\ntransmission = \"85 %\"\npupil-ratio = 0.7\nwhite = \"5600 K\"")
	c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
	// Thin lens: sensor and subject are f·(m + 1/m + 2) apart.
	m := c.lens.magnification.value
	near(t, "distance", 50*(m+1/m+2), 900, 1e-12)
	n := 16 * (1 + m/0.7)
	near(t, "effective aperture", c.Figure("n-effective").Value, n, 1e-12)
	wanted := 250 * n * n / (0.1 * 400) / 0.85 / math.Pow(10, -0.9)
	near(t, "wanted", c.Figure("lux-wanted").Value, wanted, 1e-12)
	near(t, "over", c.Figure("over").Value, math.Log2(c.Light.Camera.Value/wanted), 1e-12)
	// Setting the camera as it is told exposes rightly.
	near(t, "EV", c.Figure("ev-incident").Value, camera.EV100OfLux(c.Light.Camera.Value, 250), 1e-12)
}

// A camera that shows effective f-numbers loses nothing twice.
func TestEffectiveIsNotAppliedTwice(t *testing.T) {
	s := edited(t, `white    = "5600 K"`, "effective = true\nwhite = \"5600 K\"")
	c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
	near(t, "effective", c.Figure("n-effective").Value, 16, 1e-12)
}

// A shoot without any geometry still reports what it can, and names for each
// figure what it lacks. Whatever is taken out of Kittiwake's rig, every figure has
// either a value or what is missing, and no verdict is empty.
func TestMissingGeometryNamesItself(t *testing.T) {
	lines := []string{
		`length = "0.62 m"          # bow to stern`, `width  = "0.21 m"`, `height = "0.18 m"          # the aim point is half of it above the table`,
		`sensor   = "36x24 mm"`, `focal    = "50 mm"`, `distance = "0.9 m"         # from the sensor mark to the table's axis`, `aperture = "f/16"`,
		`shutter  = "1/10 s"`, `iso      = 400`, `height   = "0.24 m"`, `headroom = "3.5 stops"`, `index       = 1.52`, `reflectance = "#5a2c16"`, `gloss       = "gloss"`,
		`place     = { azimuth = 0, elevation = 80, distance = "0.55 m" }`, `width     = "0.60 m"`, `mains    = "50 Hz"`, `readout  = "4 ms"`,
		`volts        = "230 V"`, `breaker      = "16 A"`, `power-factor = 0.9`, `battery      = "12 Wh"`, `width  = "0.20 m"`,
	}
	rapid.Check(t, func(t *rapid.T) {
		var changes []string
		for i, line := range lines {
			if rapid.Bool().Draw(t, line) {
				changes = append(changes, line, fmt.Sprintf("# %d", i))
			}
		}
		s := edited(t, changes...)
		r := expose(t, s, Options{FullLook: 5.6})
		for i := range r.Cues {
			c := &r.Cues[i]
			if len(c.Say) == 0 {
				t.Fatalf("%s has no verdict", c.Name)
			}
			everyFigure(t, c)
		}
		f, err := NewFlicker(s, Options{})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, f)
		full, err := NewFullSize(s, FullOptions{Aperture: 5.6, Shutter: 0.02, ISO: 800})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, full)
		p, err := NewPower(s, Options{})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, p)
	})
}

// everyFigure checks each figure of a report: a value with its text and why, or
// what is missing.
func everyFigure(t tb, report any) {
	t.Helper()
	count := 0
	defer func() {
		if count == 0 {
			t.Fatalf("%T has no figures", report)
		}
	}()
	walk(reflect.ValueOf(report), func(f *Figure) {
		count++
		switch {
		case f.Key == "" && f.Title == "": // none of its kind, as of an unlit source
		case f.Missing == "" && math.IsNaN(f.Value):
			t.Fatalf("%s: neither a value nor what is missing", f.Title)
		case f.Missing != "" && f.Text != "":
			t.Fatalf("%s: needs %s, yet reads %s", f.Title, f.Missing, f.Text)
		case f.Missing == "" && f.Why.Law == "":
			t.Fatalf("%s: no law", f.Title)
		case f.Missing == "" && f.Why.Formula == "" && f.Why.Source == "":
			t.Fatalf("%s: no source", f.Title)
		case strings.Contains(f.Missing, "NaN") || strings.Contains(f.Text, "NaN"):
			t.Fatalf("%s: %s %s", f.Title, f.Text, f.Missing)
		}
	})
}

// walk calls for every figure within a value.
func walk(v reflect.Value, each func(*Figure)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			walk(v.Elem(), each)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), each)
		}
	case reflect.Struct:
		if f, ok := v.Interface().(Figure); ok {
			each(&f)
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				walk(v.Field(i), each)
			}
		}
	}
}

// Every figure of the whole shoot is known, as the rig is complete, but those that
// say that something is not there.
func TestKittiwakeIsComplete(t *testing.T) {
	s := kittiwake(t)
	for _, c := range expose(t, s, Options{}).Cues {
		everyFigure(t, c)
		for _, f := range c.Exposure {
			if !f.Known() {
				t.Errorf("%s: %s needs %s", c.Name, f.Title, f.Missing)
			}
		}
		for _, f := range c.Focus.Figures {
			if !f.Known() {
				t.Errorf("%s: %s needs %s", c.Name, f.Title, f.Missing)
			}
		}
		if len(c.Light.Unknown) > 0 {
			t.Errorf("%s: %v", c.Name, c.Light.Unknown)
		}
	}
}

// A trim that is told brings the cue's exposure to that of the first within a
// tenth of a stop, when it is really made: through the live shoot's own trims, in
// the words in which it is told.
func TestTrimMakesEven(t *testing.T) {
	s := edited(t, `full      = "1500 lx"`, `full      = "1500 lx"`)
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	report := expose(t, s, Options{})
	told := 0
	for _, b := range report.Balance {
		if b.Trim == nil {
			continue
		}
		told++
		tenth := math.Round(b.Trim.Stops*10) / 10
		change := quantity.Stops{Stops: tenth}
		res, _ := s.Compose(r, b.Cue, &cue.Over{Trims: map[int]cue.Entry{b.Trim.Source: {Change: &change}}})
		alone := *s
		alone.Resolved = append(alone.Resolved[:0:0], s.Resolved...)
		alone.Resolved[b.Cue] = *res
		off := expose(t, &alone, Options{Cues: []string{b.Name}, Like: report.Like}).Balance[0].Off
		if !(math.Abs(off.Value) <= Alike) {
			t.Errorf("%s: after %q it is off by %g stops, before by %g", b.Name, b.Say, off.Value, b.Off.Value)
		}
	}
	if told == 0 {
		t.Fatal("no trim was told")
	}
}

// The same, solved exactly, for lights of any strength and any number that count
// from the key; what is told never asks a light for more than it has left.
func TestTrimIsSolved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "sources")
		key := rapid.IntRange(-1, n-1).Draw(t, "key")
		l := Light{}
		total := 0.0
		for i := range n {
			src := SourceLight{Source: i, Name: fmt.Sprint(i), Lit: true, each: rapid.Float64Range(0, 2000).Draw(t, "lx"), follows: i != key && rapid.Bool().Draw(t, "follows")}
			src.Left.Value = rapid.Float64Range(0, 4).Draw(t, "left")
			if i == key {
				src.Role = fixtures.Key
			}
			total += src.each
			l.Sources = append(l.Sources, src)
		}
		rest := rapid.Float64Range(0, 500).Draw(t, "rest")
		l.Camera.Value = total + rest
		if l.Camera.Value == 0 {
			return
		}
		stops := rapid.Float64Range(-3, 3).Draw(t, "stops")
		trim := l.trim(stops)
		if trim == nil {
			return
		}
		after := rest
		for i := range l.Sources {
			src := &l.Sources[i]
			lux := src.each
			moved := i == trim.Source
			for _, f := range trim.Follows {
				moved = moved || i == f
			}
			if moved {
				if trim.Stops > src.Left.Value+1e-6 {
					t.Fatalf("%s is asked for %g stops, it has %g left", src.Name, trim.Stops, src.Left.Value)
				}
				lux *= math.Exp2(trim.Stops)
			}
			after += lux
		}
		if got := math.Log2(after / l.Camera.Value); !(math.Abs(got-stops) < 1e-9) {
			t.Fatalf("changes by %g stops, want %g", got, stops)
		}
	})
}

func TestUnknownCue(t *testing.T) {
	_, err := NewExpose(kittiwake(t), Options{Cues: []string{"bow", "stren"}})
	var unknown *UnknownCueError
	if !errors.As(err, &unknown) || unknown.Name != "stren" {
		t.Errorf("%v", err)
	}
	if _, err = NewExpose(kittiwake(t), Options{Like: "stren"}); !errors.As(err, &unknown) {
		t.Errorf("%v", err)
	}
}

// A camera that is nearer than its lens can focus, or within the subject, is told
// as such, and the light is reported all the same.
func TestImpossibleOptics(t *testing.T) {
	for _, test := range []struct{ distance, want string }{
		{"0.15 m", "a lens of 50 mm cannot focus at 150 mm"},
		{"0.35 m", "a camera outside of the subject"},
	} {
		s := edited(t, `distance = "0.9 m" `, fmt.Sprintf(`distance = "%s" `, test.distance), `height   = "0.24 m"`, "elevation = 10")
		c := expose(t, s, Options{Cues: []string{"head on"}}).Cues[0]
		if f := c.Focus.Near; !strings.Contains(f.Missing, test.want) {
			t.Errorf("%s: %q", test.distance, f.Missing)
		}
		if !c.Light.Camera.Known() {
			t.Errorf("%s: no light", test.distance)
		}
		if !strings.Contains(strings.Join(c.Say, "\n"), "needs") {
			t.Errorf("%s: %v", test.distance, c.Say)
		}
	}
}
