package measure_test

import (
	"math"
	"testing"

	"limn/fixtures/colour"
	"limn/profiles/measure"
)

// bell is a diode of one wavelength, as the tables of typical emitters have them.
func bell(t testing.TB, nm, width float64) *colour.Spectrum {
	t.Helper()
	power := make([]float64, 0, 95)
	for at := 360; at <= 830; at += 5 {
		x := (float64(at) - nm) / width * 2 * math.Sqrt(math.Ln2)
		power = append(power, math.Exp(-x*x))
	}
	s, err := colour.NewSpectrum(360, 5, power)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// seen is a spectrum as a camera with three bell-shaped sensitivities sees it, which
// are no mixture of the eye's: as real cameras are.
func seen(t testing.TB, s *colour.Spectrum, lux float64) measure.Card {
	t.Helper()
	k := lux / s.XYZ().Y
	c := measure.Card{Exposure: 1}
	for i, channel := range [3][2]float64{{600, 90}, {535, 100}, {460, 75}} {
		for nm := 380.0; nm <= 780; nm += 5 {
			x := (nm - channel[0]) / channel[1] * 2 * math.Sqrt(math.Ln2)
			c.RGB[i] += k * s.At(nm) * math.Exp(-x*x)
		}
	}
	return c
}

// A camera that does not see as the eye does: fitted to lights of one family, it is good
// for that family, and its budget says how good; and it is honest about saturated lights
// when it was fitted to whites, for its budget is then no better than what it does.
func TestCameraUnlikeTheEye(t *testing.T) {
	light := func(s *colour.Spectrum) measure.Known {
		xy, _ := s.XYZ().XY()
		return measure.Known{Card: seen(t, s, 500), Lux: 500, XY: xy}
	}
	panel := func(pump, red float64) *colour.Spectrum {
		return colour.Combine([]*colour.Spectrum{bell(t, 452, 20), bell(t, 530, 105), bell(t, 625, 118)}, []float64{pump, 0.45, red})
	}
	sun := func(kelvin float64) measure.Known {
		s, err := colour.DaylightSpectrum(kelvin, 5)
		if err != nil {
			t.Fatal(err)
		}
		return light(s)
	}
	lamp := func(kelvin float64) measure.Known {
		s, err := colour.PlanckSpectrum(kelvin, 5)
		if err != nil {
			t.Fatal(err)
		}
		return light(s)
	}
	// Tungsten, daylight through a window, and two panels that a meter was held into.
	whites := []measure.Known{lamp(2700), lamp(3200), sun(5000), sun(6500), light(panel(0.4, 0.9)), light(panel(0.9, 0.35))}
	cam, err := measure.NewCamera(whites, measure.SRGBBase())
	if err != nil || cam.Relative {
		t.Fatalf("%+v %v", cam, err)
	}
	const sigmas = 3
	for _, q := range [][2]float64{{0.35, 0.95}, {0.5, 0.7}, {0.9, 0.4}} {
		k := light(panel(q[0], q[1]))
		r := cam.Read(k.Card)
		d := r.XY.UV().Distance(k.XY.UV())
		t.Logf("white: off by %.5f u'v' and %.3f %%, budget %.5f and %.3f %%", d, 100*math.Abs(r.Lux/500-1), cam.Blur, 100*cam.RMS)
		if d > sigmas*cam.Blur || math.Abs(r.Lux/500-1) > sigmas*cam.RMS {
			t.Errorf("a white of the family is off by %.5f u'v', %.3f %%; budget %.5f", d, 100*math.Abs(r.Lux/500-1), cam.Blur)
		}
	}
	// A red diode through the matrix of whites is wrong: facts say so, and so does this.
	red := light(bell(t, 632, 18))
	if d := cam.Read(red.Card).XY.UV().Distance(red.XY.UV()); d < 0.002 {
		t.Errorf("a matrix of whites would be good for red diodes: %.5f", d)
	}
	// Fitted to the light's own family of diodes it is better, and says by how much.
	diodes := []measure.Known{}
	for _, q := range [][2]float64{{628, 18}, {637, 18}, {520, 34}, {530, 34}, {464, 24}, {472, 24}} {
		diodes = append(diodes, light(bell(t, q[0], q[1])))
	}
	cam, err = measure.NewCamera(diodes, measure.SRGBBase())
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range [][2]float64{{632, 18}, {525, 34}, {468, 24}} {
		k := light(bell(t, q[0], q[1]))
		r := cam.Read(k.Card)
		d := r.XY.UV().Distance(k.XY.UV())
		t.Logf("diode at %.0f nm: off by %.5f u'v', budget %.5f", q[0], d, cam.Blur)
		if d > sigmas*cam.Blur {
			t.Errorf("a diode at %.0f nm is off by %.5f u'v', budget %.5f", q[0], d, cam.Blur)
		}
	}
}
