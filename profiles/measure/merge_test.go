package measure_test

import (
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles/measure"
)

func TestMerge(t *testing.T) {
	curve := mix.Square()
	old := &fixtures.Calibration{
		Profile: "bicolour-panel", Date: "2026-11-20", WarmUp: []fixtures.WarmUp{{After: 60, Loss: 0.01}},
		Emitters: []fixtures.Measured{
			{Name: "warm", XY: colour.XY{X: 0.46, Y: 0.41}, Lux: 800, Response: &curve},
			{Name: "cool", XY: colour.XY{X: 0.31, Y: 0.33}, Lux: 1200},
		},
	}
	// One reading of the whole light: everything of old, its lux brought to the reading.
	quick := &fixtures.Calibration{Profile: "bicolour-panel", Date: "2026-11-25", Full: 1800}
	c := measure.Merge(old, quick)
	if c.Full != 1800 || c.Date != "2026-11-25" || len(c.Emitters) != 2 || c.Emitters[0].Lux != 720 || c.Emitters[1].Lux != 1080 || c.Emitters[0].Response != &curve || len(c.WarmUp) != 1 {
		t.Errorf("%+v", c)
	}
	if old.Emitters[0].Lux != 800 {
		t.Error("the old calibration was changed")
	}
	// One emitter read anew, without its curve.
	one := &fixtures.Calibration{Profile: "bicolour-panel", Emitters: []fixtures.Measured{{Name: "warm", XY: colour.XY{X: 0.45, Y: 0.41}, Lux: 790}}}
	c = measure.Merge(old, one)
	if len(c.Emitters) != 2 || c.Emitters[0].Lux != 790 || c.Emitters[0].Response != &curve || c.Emitters[0].XY.X != 0.45 || c.Emitters[1].Lux != 1200 {
		t.Errorf("%+v", c)
	}
	// Lumens do not go with lux, nor another profile or distance with the old.
	for _, now := range []*fixtures.Calibration{
		{Profile: "bicolour-panel", Emitters: []fixtures.Measured{{Name: "warm", Flux: 2000}}},
		{Profile: "rgb-light", Full: 900},
		{Profile: "bicolour-panel", Full: 900, Distance: quantity.Length{}.With(0.5)},
	} {
		c := measure.Merge(old, now)
		if len(c.Emitters) != len(now.Emitters) {
			t.Errorf("%+v: %+v", now, c)
		}
	}
	if measure.Merge(nil, quick) != quick {
		t.Error("nothing old changes nothing")
	}
}
