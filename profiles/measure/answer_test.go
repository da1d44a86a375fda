package measure_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"limn/fixtures/colour"
	"limn/profiles/measure"
)

func TestParseAnswer(t *testing.T) {
	for _, c := range []struct {
		text string
		lux  float64
		xy   colour.XY
		bare bool
	}{
		{"1850 lx", 1850, colour.XY{}, false},
		{"1850", 1850, colour.XY{}, true},
		{" 1850 lux ", 1850, colour.XY{}, false},
		{"1850 lx 5480 K tint +0.002", 1850, colour.White{Kelvin: 5480, Duv: 0.002}.XY(), false},
		{"1850 5480 K", 1850, colour.White{Kelvin: 5480}.XY(), true},
		{"0.5 lx xy 0.332 0.341", 0.5, colour.XY{X: 0.332, Y: 0.341}, false},
		{"1850 lx, 5480 K", 1850, colour.White{Kelvin: 5480}.XY(), false},
	} {
		a, err := measure.ParseAnswer(c.text)
		if err != nil || a.Lux != c.lux || a.Bare != c.bare || math.Abs(a.XY.X-c.xy.X) > 1e-12 || math.Abs(a.XY.Y-c.xy.Y) > 1e-12 {
			t.Errorf("%q: %+v, %v", c.text, a, err)
		}
	}
	for _, text := range []string{"", "5600 K", "xy 0.33 0.34", "bright", "1850 lx white", "1850 lx 5600", "-3 lx", "NaN", "5600 lx 1400 K", "1e9", ",", strings.Repeat("1", 300)} {
		a, err := measure.ParseAnswer(text)
		var wrong *measure.AnswerError
		if !errors.As(err, &wrong) || wrong.Cure == "" || a != (measure.Answer{}) {
			t.Errorf("%.20q: %+v, %v", text, a, err)
		}
	}
}

func TestSuspect(t *testing.T) {
	for _, c := range []struct {
		name   string
		lights []measure.Expected
		says   string
		fault  bool
	}{
		{"as they were", []measure.Expected{{Source: "sky", Lux: 1850, Known: 1800}, {Source: "fill", Lux: 420, Known: 400}}, "", false},
		{"exchanged", []measure.Expected{{Source: "sky", Lux: 410, Known: 1800}, {Source: "fill", Lux: 1850, Known: 400}}, "sky reads 410 lx and fill 1850 lx", true},
		{"kelvin", []measure.Expected{{Source: "sky", Lux: 5600, Known: 1800}}, "may be kelvin", true},
		{"kelvin, nothing known", []measure.Expected{{Source: "sky", Lux: 5600, Bare: true}}, "without a unit", false},
		{"lux, nothing known", []measure.Expected{{Source: "sky", Lux: 5600}}, "", false},
		{"much less", []measure.Expected{{Source: "sky", Lux: 333, Known: 1800}}, "was 1800 lx", false},
	} {
		fs := measure.Suspect(c.lights)
		if (len(fs) == 0) != (c.says == "") || len(fs) > 1 {
			t.Errorf("%s: %v", c.name, fs)
			continue
		}
		if len(fs) == 1 && (!strings.Contains(fs[0].String(), c.says) || fs[0].Fault != c.fault) {
			t.Errorf("%s: %v", c.name, fs)
		}
	}
}

func FuzzParseAnswer(f *testing.F) {
	for _, s := range []string{"1850 lx 5480 K tint +0.002", "1850", "5600 K", "1 lx xy 0.3 0.3", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := measure.ParseAnswer(text)
		if err == nil && !(a.Lux >= 0 && a.Lux <= measure.MaxLux) {
			t.Errorf("%q reads %v", text, a.Lux)
		}
	})
}
