package measure_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles"
	"limn/profiles/measure"
	"limn/profiles/measure/measuretest"
	"limn/profiles/tomlfile"
)

// A meter that repeats within 0.3 % finds a hidden panel out: gamma, cut-off, drift of
// colour and of light, room light.
func TestMeterFindsTheTruth(t *testing.T) {
	for _, c := range []struct {
		profile string
		light   *measuretest.Light
		stops   float64
	}{
		{"bicolour-panel-16bit", bicolour(), 9},
		{"bicolour-panel", bicolour(), 9},
		{"rgb-light", rgb(), 9},
	} {
		t.Run(c.profile, func(t *testing.T) {
			for seed := range uint64(5) {
				set := measuretest.New(seed, map[string]*measuretest.Light{"sky": c.light})
				set.Ambient = colour.White{Kelvin: 4500}.XY().XYZ(3)
				s := metered(t, set, "sky", generic(t, c.profile), 17, 0.003, 60)
				r, err := s.Solve()
				if err != nil {
					t.Fatal(err)
				}
				noFaults(t, r.Findings)
				checkTruth(t, r, c.light, 0.02, 0.002, c.stops)
				if math.Abs(r.Ambient/3-1) > 0.02 {
					t.Errorf("the room gives 3 lx, found %.3f", r.Ambient)
				}
				if sum := c.light.Emitters[0].Lux; math.Abs(r.Calibration.Emitters[0].Lux/sum-1) > 0.015 {
					t.Errorf("%s gives %.1f lx, found %.1f", c.light.Emitters[0].Name, sum, r.Calibration.Emitters[0].Lux)
				}
			}
		})
	}
}

// Without noise the light that was lost while warming up comes out, and the readings
// are those of the warm light.
func TestWarmUp(t *testing.T) {
	light := bicolour()
	set := measuretest.New(1, map[string]*measuretest.Light{"sky": light})
	r, err := metered(t, set, "sky", generic(t, "bicolour-panel-16bit"), 11, 0, 30).Solve()
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Calibration.WarmUp) == 0 {
		t.Fatal("no warm-up told")
	}
	last := r.Calibration.WarmUp[len(r.Calibration.WarmUp)-1]
	// The first reference came at 30 s.
	at := func(s float64) float64 { return 1 + light.Drop/(1-light.Drop)*math.Exp(-s/light.Tau) }
	want := 1 - at(30+last.After)/at(30)
	if math.Abs(last.Loss-want) > 1e-6 {
		t.Errorf("it loses %.4f by %.0f s, truly %.4f", last.Loss, last.After, want)
	}
	// The last two references are 5 minutes apart and it is still warming up.
	if !slices.ContainsFunc(r.Findings, func(f measure.Finding) bool { return strings.Contains(f.What, "still changed") }) {
		t.Errorf("nothing said of a light that is still warming up: %v", r.Findings)
	}
}

// A panel that cuts off at a low code is not asked for codes below.
func TestCutOff(t *testing.T) {
	light := bicolour()
	light.Emitters[1].Cut = 10.0 / 255
	set := measuretest.New(1, map[string]*measuretest.Light{"sky": light})
	r, err := metered(t, set, "sky", generic(t, "bicolour-panel"), 11, 0.001, 0).Solve()
	if err != nil {
		t.Fatal(err)
	}
	if floor := r.Calibration.Emitters[1].Floor; floor != 16 {
		t.Errorf("the lowest code that was seen to give light is 16, found %d", floor)
	}
	if floor := r.Calibration.Emitters[0].Floor; floor != 0 {
		t.Errorf("the other emitter does not cut off, found %d", floor)
	}
}

// What comes out can be written, read back, and fits its profile.
func TestCalibrationIsAFile(t *testing.T) {
	for _, name := range []string{"bicolour-panel", "rgb-light"} {
		light := bicolour()
		if name == "rgb-light" {
			light = rgb()
		}
		set := measuretest.New(3, map[string]*measuretest.Light{"sky": light})
		r, err := metered(t, set, "sky", generic(t, name), 17, 0.01, 30).Solve()
		if err != nil {
			t.Fatal(err)
		}
		text := profiles.FormatCalibration(r.Calibration)
		var ps tomlfile.Problems
		c, ok := profiles.ParseCalibration("sky.toml", text, &ps)
		if !ok {
			t.Fatalf("%v\n%s", ps.Sorted(), text)
		}
		for _, f := range c.Check(r.Profile) {
			if !f.Warning {
				t.Errorf("%v", f)
			}
		}
		if again := profiles.FormatCalibration(c); string(again) != string(text) {
			t.Errorf("read back it prints otherwise:\n%s\n%s", text, again)
		}
	}
}

// Each slip is found and told with what to do.
func TestSlips(t *testing.T) {
	read := func(t *testing.T) *measure.Series {
		set := measuretest.New(1, map[string]*measuretest.Light{"sky": bicolour()})
		return metered(t, set, "sky", generic(t, "bicolour-panel"), 11, 0.002, 0)
	}
	at := func(s *measure.Series, control string, code int) *measure.Reading {
		for i := range s.Readings {
			if q := &s.Readings[i]; q.Control == control && int(q.Level*255+0.5) == code {
				return q
			}
		}
		t.Fatalf("no reading of %s at %d", control, code)
		return nil
	}
	for _, c := range []struct {
		name  string
		slip  func(*measure.Series)
		fault bool
		says  string
	}{
		{"none", func(*measure.Series) {}, false, ""},
		{"exchanged", func(s *measure.Series) {
			a, b := at(s, "warm", 32), at(s, "warm", 64)
			a.Lux, b.Lux = b.Lux, a.Lux
		}, true, "look exchanged"},
		{"kelvin in the lux column", func(s *measure.Series) {
			for i := range s.Readings {
				if q := &s.Readings[i]; q.Control == "warm" {
					q.Lux = 2800 + float64(i%3)
				}
			}
		}, true, "may be kelvin"},
		{"a digit too few", func(s *measure.Series) { at(s, "warm", 128).Lux /= 10 }, true, "read both levels again"},
		{"no reading at full", func(s *measure.Series) {
			s.Readings = slices.DeleteFunc(s.Readings, func(q measure.Reading) bool { return q.Control == "cool" && q.Level == 1 })
		}, true, "read it at full too"},
		{"an unknown emitter", func(s *measure.Series) { at(s, "warm", 64).Control = "hot" }, true, `nothing called "hot"`},
		{"no lux", func(s *measure.Series) { at(s, "warm", 64).Lux = math.NaN() }, true, "has no lux"},
		{"x and y exchanged", func(s *measure.Series) {
			q := at(s, "cool", 255)
			q.XY = colour.XY{X: 0.71, Y: 0.45}
		}, true, "colour no light can have"},
		{"the meter was moved", func(s *measure.Series) { s.Readings[len(s.Readings)-1].Lux *= 0.5 }, true, "back on its mark"},
		{"no dark", func(s *measure.Series) {
			s.Readings = slices.DeleteFunc(s.Readings, func(q measure.Reading) bool { return q.IsDark() })
		}, false, "nothing was read in the dark"},
		{"half of it", func(s *measure.Series) {
			s.Readings = slices.DeleteFunc(s.Readings, func(q measure.Reading) bool { return q.Control == "cool" })
		}, false, "cool was not read"},
		{"another white balance", func(s *measure.Series) {
			for i := range s.Readings {
				if q := &s.Readings[i]; q.Control == measure.Whole && q.Level == 1 {
					q.XY = colour.White{Kelvin: 5600}.XY()
				}
			}
		}, false, "fixed white balance"},
		{"the whole light gives less", func(s *measure.Series) {
			for i := range s.Readings {
				if s.Readings[i].Control == measure.Whole {
					s.Readings[i].Lux *= 0.8
				}
			}
		}, false, "of the whole light"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := read(t)
			c.slip(s)
			r, err := s.Solve()
			if err != nil {
				t.Fatal(err)
			}
			var said []string
			found := c.says == ""
			for _, f := range r.Findings {
				said = append(said, f.String())
				found = found || strings.Contains(f.String(), c.says)
				if f.What == "" || f.Cure == "" {
					t.Errorf("a finding without cure: %+v", f)
				}
			}
			if measure.Failed(r.Findings) != c.fault || !found {
				t.Errorf("fault %v, said:\n%s", measure.Failed(r.Findings), strings.Join(said, "\n"))
			}
		})
	}
}

// A light that mixes for itself: a dimmer, and a table of its whites.
func TestLightThatMixesForItself(t *testing.T) {
	p := generic(t, "bicolour-panel-cct")
	s := &measure.Series{Source: "fill", Profile: p, Date: "2026-11-25", Terms: measure.MeterTerms()}
	add := func(control string, level, lux float64, w colour.White) {
		s.Readings = append(s.Readings, measure.Reading{Source: "fill", Control: control, Level: level, Lux: lux, XY: w.XY(), After: math.NaN()})
	}
	for _, step := range measure.Plan("fill", p, 11) {
		switch step.Control {
		case measure.Whole:
			add(step.Control, step.Level, 1500*step.Level, colour.White{Kelvin: 5600})
		case measure.Dimmer:
			add(step.Control, step.Level, 1500*math.Pow(step.Level, 2), colour.White{Kelvin: 5600, Duv: -0.001 * -math.Log10(step.Level)})
		case measure.CCT:
			add(step.Control, step.Level, 1400+100*step.Level, colour.FromMired(370-220*step.Level, 0.002))
		}
	}
	r, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	noFaults(t, r.Findings)
	c := r.Calibration
	if len(c.CCT.Table) != 9 || math.Abs(c.CCT.Table[0].White.Mired()-370) > 0.01 || math.Abs(c.CCT.Table[0].Flux-1400.0/1500) > 1e-9 {
		t.Errorf("its whites: %+v", c.CCT.Table)
	}
	if got := c.Dimmer.Response.Light(100.0 / 255); math.Abs(got/math.Pow(100.0/255, 2)-1) > 0.002 {
		t.Errorf("its dimmer gives %.4f at 100", got)
	}
	if len(c.Drift) == 0 || math.Abs(c.Drift[len(c.Drift)-1].Duv) < 0.001 {
		t.Errorf("its drift: %+v", c.Drift)
	}
	if _, err := c.Apply(p); err != nil {
		t.Error(err)
	}
}

// One reading is enough to work with lux.
func TestQuick(t *testing.T) {
	s := &measure.Series{Source: "sky", Profile: generic(t, "bicolour-panel"), Readings: []measure.Reading{
		{Source: "sky", Control: measure.Whole, Level: 1, Lux: 1850, XY: colour.White{Kelvin: 4100}.XY(), After: math.NaN()},
	}}
	r, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	noFaults(t, r.Findings)
	if r.Calibration.MostLux(r.Profile) != 1850 || !strings.Contains(r.Calibration.Note, "4100 K") {
		t.Errorf("%+v", r.Calibration)
	}
}

func TestPlan(t *testing.T) {
	if got := measure.Levels(11); len(got) != 11 || got[0] != 0 || got[10] != 1 || got[1] != 1.0/255 || got[9] != 192.0/255 {
		t.Errorf("%v", got)
	}
	if len(measure.Levels(3)) != measure.MinLevels || len(measure.Levels(100)) != measure.MaxLevels {
		t.Error("levels are not held within their limits")
	}
	for _, name := range []string{"bicolour-panel", "rgb-light", "bicolour-panel-cct", "bicolour-panel-16bit", "tungsten-dimmer", "white-panel-tint"} {
		p := generic(t, name)
		steps := measure.Plan("x", p, 11)
		if s := steps[0]; s.Control != measure.Whole || s.Level != 0 {
			t.Errorf("%s begins with %v", name, s)
		}
		if s := steps[len(steps)-1]; s.Control != measure.Whole || s.Level != 1 {
			t.Errorf("%s ends with %v", name, s)
		}
		for _, control := range measure.Controls(p) {
			n := 0
			for _, s := range steps {
				if s.Control == control {
					n++
					if math.Abs(float64(s.Code)/float64(s.Max)-s.Level) > 1e-12 || s.Max != fixtures.Max8 && s.Max != fixtures.Max16 {
						t.Errorf("%s: %+v", name, s)
					}
				}
			}
			if n < 9 {
				t.Errorf("%s: %s is read at %d levels", name, control, n)
			}
		}
	}
}

// 255 of a light that counts to 65535 is a slip that shows.
func TestCodesOfEightBits(t *testing.T) {
	set := measuretest.New(1, map[string]*measuretest.Light{"sky": bicolour()})
	s := metered(t, set, "sky", generic(t, "bicolour-panel-16bit"), 11, 0.002, 0)
	for i := range s.Readings {
		if q := &s.Readings[i]; q.Control == "warm" && q.Level < 1 {
			q.Level /= 257
		}
	}
	r, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(r.Findings, func(f measure.Finding) bool { return f.Fault && strings.Contains(f.Cure, "codes of 8 bits") }) {
		t.Errorf("%v", r.Findings)
	}
}
