package measure_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures/colour"
	"limn/profiles"
	"limn/profiles/measure"
	"limn/profiles/tomlfile"
)

// Whatever is read, there are findings or a calibration that can be written, read back
// and laid over its profile.
func TestAnyReadings(t *testing.T) {
	p := generic(t, "bicolour-panel-16bit")
	cct := generic(t, "bicolour-panel-cct")
	rapid.Check(t, func(t *rapid.T) {
		p := p
		if rapid.Bool().Draw(t, "cct") {
			p = cct
		}
		controls := append(measure.Controls(p), measure.Whole, "other")
		s := &measure.Series{Source: "sky", Profile: p, Terms: measure.MeterTerms(), Date: "2026-11-25"}
		for range rapid.IntRange(1, 30).Draw(t, "readings") {
			q := measure.Reading{
				Source: "sky", Control: rapid.SampledFrom(controls).Draw(t, "control"),
				Level: rapid.SampledFrom([]float64{0, 1e-5, 0.01, 0.25, 0.5, 1, 1, 1, 2, math.NaN()}).Draw(t, "level"),
				Lux:   rapid.SampledFrom([]float64{0, 1e-9, 1, 10, 100, 1000, 1e9, -1, math.NaN()}).Draw(t, "lux"),
				XY:    colour.XY{X: rapid.Float64Range(-0.1, 1).Draw(t, "x"), Y: rapid.Float64Range(-0.1, 1).Draw(t, "y")},
				After: rapid.SampledFrom([]float64{0, 60, 600, math.NaN()}).Draw(t, "after"),
			}
			if rapid.Bool().Draw(t, "white") {
				q.XY = colour.White{Kelvin: rapid.Float64Range(2000, 8000).Draw(t, "kelvin")}.XY()
			}
			s.Readings = append(s.Readings, q)
		}
		r, err := s.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if measure.Failed(r.Findings) {
			return
		}
		text := profiles.FormatCalibration(r.Calibration)
		var ps tomlfile.Problems
		c, ok := profiles.ParseCalibration("sky.toml", text, &ps)
		if !ok {
			t.Fatalf("%v\n%s", ps.Sorted(), text)
		}
		if _, err := c.Apply(p); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	})
}
