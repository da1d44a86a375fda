package measure_test

import (
	"bytes"
	"image"
	"math"
	"testing"

	"golang.org/x/image/tiff"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles"
	"limn/profiles/greycard"
	"limn/profiles/measure"
	"limn/profiles/measure/measuretest"
	"limn/profiles/tomlfile"
)

// generic is a profile that comes along.
func generic(t testing.TB, name string) *fixtures.Profile {
	t.Helper()
	var ps tomlfile.Problems
	p, ok := profiles.Open(nil, "", &ps).Find(name)
	if !ok {
		t.Fatalf("no profile %q", name)
	}
	return p
}

// bicolour is a panel unlike its profile: a bent response, a cut-off, colours that
// move as it dims, some warm-up.
func bicolour() *measuretest.Light {
	return &measuretest.Light{
		Emitters: []measuretest.Emitter{
			{Name: "warm", XY: colour.White{Kelvin: 2810, Duv: -0.003}.XY(), Lux: 830, Gamma: 1.8, Shift: colour.UV{U: 0.002, V: -0.002}},
			{Name: "cool", XY: colour.White{Kelvin: 6320, Duv: 0.004}.XY(), Lux: 1010, Gamma: 2.2, Cut: 1.5 / 255, Shift: colour.UV{U: -0.001, V: -0.003}},
		},
		Drop: 0.04, Tau: 480,
	}
}

// rgb is a light of saturated colours.
func rgb() *measuretest.Light {
	return &measuretest.Light{Emitters: []measuretest.Emitter{
		{Name: "red", XY: colour.XY{X: 0.697, Y: 0.302}, Lux: 260, Gamma: 1.2},
		{Name: "green", XY: colour.XY{X: 0.171, Y: 0.719}, Lux: 540, Gamma: 1},
		{Name: "blue", XY: colour.XY{X: 0.137, Y: 0.049}, Lux: 85, Gamma: 2},
	}}
}

// metered reads a light by a meter, a reading each so many seconds.
func metered(t testing.TB, set *measuretest.Set, source string, p *fixtures.Profile, levels int, repeat, every float64) *measure.Series {
	t.Helper()
	s := &measure.Series{
		Source: source, Profile: p, Instrument: "synthetic meter", Date: "2026-11-25",
		Terms: measure.Terms{Repeat: repeat, Colour: 1e-5},
	}
	for _, step := range measure.Plan(source, p, levels) {
		if err := set.Set(step.Source, step.Control, step.Level); err != nil {
			t.Fatal(err)
		}
		lux, xy := set.Meter(repeat)
		q := measure.Reading{Source: source, Control: step.Control, Level: step.Level, Lux: lux, XY: xy, After: set.Seconds}
		if lux < 0.05 { // a hand meter ends
			q.XY = colour.XY{}
		}
		s.Readings = append(s.Readings, q)
		set.Seconds += every
	}
	return s
}

// noFaults fails for each fault among findings.
func noFaults(t testing.TB, fs []measure.Finding) {
	t.Helper()
	for _, f := range fs {
		if f.Fault {
			t.Errorf("fault: %v", f)
		}
	}
}

// checkTruth compares a result with the truth of a light: chromaticity within colourTol
// and level within levelTol at full, at the readings and half-way between them, where
// the light is above so many stops below full; and all of it within the budget.
func checkTruth(t testing.TB, r *measure.Result, light *measuretest.Light, levelTol, colourTol, stops float64) {
	t.Helper()
	own, err := r.Calibration.Apply(r.Profile)
	if err != nil {
		t.Fatal(err)
	}
	levelBudget, colourBudget := measure.Sum(r.Budget.Level), measure.Sum(r.Budget.Colour)
	const sigmas = 3 // a budget is one sigma
	worstLevel, worstColour := 0.0, 0.0
	for i := range light.Emitters {
		e := &light.Emitters[i]
		var m *fixtures.Emitter
		for k := range own.Emitters {
			if own.Emitters[k].Name == e.Name {
				m = &own.Emitters[k]
			}
		}
		if m == nil {
			t.Fatalf("%s is not in the calibration", e.Name)
		}
		if d := m.XY.UV().Distance(e.XY.UV()); d > colourTol || d > sigmas*colourBudget+1e-5 {
			t.Errorf("%s at full is off by %.5f u'v', budget %.5f", e.Name, d, colourBudget)
		} else {
			worstColour = max(worstColour, d)
		}
		floor := float64(max(m.Floor, 1))
		holds := math.Exp2(-stops)
		for k := range r.Curves {
			if r.Curves[k].Control == e.Name {
				holds = max(holds, r.Curves[k].Holds)
				t.Logf("%s: holds down to %.2f stops", e.Name, -math.Log2(r.Curves[k].Holds))
			}
		}
		for code := 1.0; code <= 255; code++ {
			truth := e.Share(code / 255)
			if truth < holds || code*257 < floor {
				continue
			}
			got := m.Response.Light(code / 255)
			off := math.Abs(got/truth - 1)
			if off > levelTol || off > sigmas*levelBudget {
				t.Errorf("%s at code %.0f gives %.5f, truly %.5f: off by %.2f %%, budget %.2f %%", e.Name, code, got, truth, 100*off, 100*levelBudget)
				break
			}
			worstLevel = max(worstLevel, off)
		}
	}
	t.Logf("worst level %.3f %% (budget %.3f %%), worst colour %.5f (budget %.5f)", 100*worstLevel, 100*levelBudget, worstColour, colourBudget)
}

// photograph takes a picture the way files go.
func photograph(img image.Image) (*greycard.Photo, error) {
	var b bytes.Buffer
	if err := tiff.Encode(&b, img, nil); err != nil {
		return nil, err
	}
	return greycard.Decode("card.tif", bytes.NewReader(b.Bytes()), int64(b.Len()))
}
