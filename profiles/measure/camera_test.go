package measure_test

import (
	"math"
	"testing"

	"limn/fixtures/colour"
	"limn/profiles/greycard"
	"limn/profiles/measure"
	"limn/profiles/measure/measuretest"
)

// known are five lights that a meter was held into, of many colours.
var known = []colour.XY{
	colour.White{Kelvin: 2700}.XY(), colour.White{Kelvin: 6500, Duv: 0.003}.XY(),
	{X: 0.69, Y: 0.30},
	{X: 0.18, Y: 0.70},
	{X: 0.14, Y: 0.06},
}

// shown is the card in a light, as a synthetic camera sees it.
func shown(c *measuretest.Camera, l colour.XYZ) measure.Card {
	return measure.Card{RGB: c.Values(l), Exposure: c.Exposure}
}

func TestCameraByKnownLights(t *testing.T) {
	c := measuretest.NewCamera()
	var lights []measure.Known
	for _, xy := range known {
		lights = append(lights, measure.Known{Card: shown(c, xy.XYZ(700)), Lux: 700, XY: xy})
	}
	cam, err := measure.NewCamera(lights, measure.SRGBBase())
	if err != nil || cam.Relative || cam.Lights != 5 || cam.Blur > 1e-9 {
		t.Fatalf("%+v %v", cam, err)
	}
	for _, xy := range []colour.XY{colour.White{Kelvin: 4000}.XY(), {X: 0.3, Y: 0.6}, {X: 0.2, Y: 0.2}} {
		q := cam.Read(shown(c, xy.XYZ(123)))
		if math.Abs(q.Lux/123-1) > 1e-9 || q.XY.UV().Distance(xy.UV()) > 1e-9 {
			t.Errorf("%v reads %+v", xy, q)
		}
	}
	// Three are enough, but hide their error; whites alone do not tell colours apart.
	if cam, err := measure.NewCamera(lights[2:], measure.SRGBBase()); err != nil || cam.Relative || cam.Terms().Colour < 0.005 {
		t.Errorf("three: %+v %v", cam, err)
	}
	same := []measure.Known{lights[0], lights[0], lights[0]}
	if cam, err := measure.NewCamera(same, measure.SRGBBase()); err != nil || !cam.Relative {
		t.Errorf("alike: %+v %v", cam, err)
	}
	if _, err := measure.NewCamera(nil, measure.SRGBBase()); err == nil {
		t.Error("a camera of nothing")
	}
}

// One known light: lights of the same family compare well, and it says that it is
// relative.
func TestRelativeMatching(t *testing.T) {
	c := measuretest.NewCamera()
	white := colour.White{Kelvin: 5600}.XY()
	cam, err := measure.NewCamera([]measure.Known{{Card: shown(c, white.XYZ(800)), Lux: 800, XY: white}}, measure.SRGBBase())
	if err != nil || !cam.Relative {
		t.Fatalf("%+v %v", cam, err)
	}
	near := colour.White{Kelvin: 5450, Duv: 0.002}.XY()
	if q := cam.Read(shown(c, near.XYZ(400))); math.Abs(q.Lux/400-1) > 0.01 || q.XY.UV().Distance(near.UV()) > 0.002 {
		t.Errorf("a light of the same kind reads %+v", q)
	}
}

// The whole way: hidden lights, photographs with 1 % noise in every pixel, room light,
// exposures that change, and only EXIF to tell. Chromaticity comes out within 0.002
// u'v' and levels within 2 %, both within the budget that is printed.
func TestCameraFindsTheTruth(t *testing.T) {
	for _, c := range []struct {
		profile string
		light   *measuretest.Light
	}{{"bicolour-panel", bicolour()}, {"rgb-light", rgb()}} {
		t.Run(c.profile, func(t *testing.T) {
			c.light.Drop = 0 // photographs come minutes after half an hour of warming up
			set := measuretest.New(7, map[string]*measuretest.Light{"sky": c.light})
			set.Ambient = colour.White{Kelvin: 4500}.XY().XYZ(2)
			cam := measuretest.NewCamera()
			cam.Width, cam.Height = 300, 240
			p := generic(t, c.profile)
			// shoot takes the card, the exposure as long as the light is dim.
			shoot := func(exposure float64) measure.Card {
				cam.Exposure = exposure
				photo, err := photograph(set.Shoot(cam))
				if err != nil {
					t.Fatal(err)
				}
				patch, err := photo.Measure(greycard.Region{X: 100, Y: 65, Width: 160, Height: 120})
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range photo.Findings(patch, false) {
					if f.Fault {
						t.Fatalf("%v", f)
					}
				}
				return measure.Card{RGB: patch.Mean, Sigma: patch.Sigma, Exposure: exposure}
			}
			// The known lights stand alone in the dark.
			var lights []measure.Known
			for _, xy := range known {
				lamp := &measuretest.Light{Emitters: []measuretest.Emitter{{Name: "lamp", XY: xy, Lux: 700}}}
				bench := measuretest.New(9, map[string]*measuretest.Light{"known": lamp})
				if err := bench.Set("known", measure.Whole, 1); err != nil {
					t.Fatal(err)
				}
				cam.Exposure = 1
				v := cam.Values(bench.Light())
				cam.Exposure = 0.5 / max(v[0], v[1], v[2])
				photo, err := photograph(bench.Shoot(cam))
				if err != nil {
					t.Fatal(err)
				}
				patch, err := photo.Measure(greycard.Region{X: 100, Y: 65, Width: 160, Height: 120})
				if err != nil {
					t.Fatal(err)
				}
				lights = append(lights, measure.Known{Card: measure.Card{RGB: patch.Mean, Sigma: patch.Sigma, Exposure: cam.Exposure}, Lux: 700, XY: xy})
			}
			camera, err := measure.NewCamera(lights, measure.SRGBBase())
			if err != nil {
				t.Fatal(err)
			}
			s := &measure.Series{Source: "sky", Profile: p, Terms: camera.Terms()}
			for _, step := range measure.Plan("sky", p, 17) {
				if err := set.Set("sky", step.Control, step.Level); err != nil {
					t.Fatal(err)
				}
				cam.Exposure = 1
				v := cam.Values(set.Light())
				// Half of full, by the whole stops that a shutter has; one second for
				// what is dim, where 1/1000 s serves full light.
				card := shoot(math.Exp2(min(math.Floor(math.Log2(0.5/max(v[0], v[1], v[2]))), 0)))
				q := camera.Read(card)
				q.Source, q.Control, q.Level = "sky", step.Control, step.Level
				s.Readings = append(s.Readings, q)
			}
			r, err := s.Solve()
			if err != nil {
				t.Fatal(err)
			}
			noFaults(t, r.Findings)
			checkTruth(t, r, c.light, 0.02, 0.002, 9)
		})
	}
}
