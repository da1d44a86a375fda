package plan

import (
	"math"
	"strings"
	"testing"

	"limn/cue/camera"
	"limn/fixtures/supply"
)

func fullSize(t tb, opt FullOptions) *FullSize {
	t.Helper()
	r, err := NewFullSize(kittiwake(t), opt)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

func (i *FullItem) figure(key string) *Figure {
	for j := range i.Figures {
		if i.Figures[j].Key == key {
			return &i.Figures[j]
		}
	}
	return &Figure{Missing: "no " + key}
}

// With the model's own settings the light is the model's, and each lamp gives what
// the areas ask for: scale² times the flux.
func TestFullSizeWithTheSameSettings(t *testing.T) {
	s := kittiwake(t)
	c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
	r := fullSize(t, FullOptions{Cues: []string{"bow"}})
	near(t, "lux", r.Light[0].Value, 1, 1e-12)
	near(t, "lumens", r.Light[1].Value, 144, 1e-12)
	sky := &r.Sources[0]
	near(t, "sky's lux", sky.figure("lux").Value, c.Light.Sources[0].Lux.Value, 1e-12)
	near(t, "sky's luminance", sky.figure("luminance").Value, c.Light.Sources[0].Luminance.Value, 1e-12)
	near(t, "sky's width", sky.figure("width").Value, 7.2, 1e-12)
	near(t, "sky's distance", sky.figure("distance").Value, 6.6, 1e-12)
	flux := math.Pi * c.Light.Sources[0].Luminance.Value * 7.2 * 4.8 * math.Exp2(1.5)
	near(t, "sky's flux", sky.figure("flux").Value, flux, 1e-12)
	if !sky.Hangs || !strings.Contains(sky.Class, "overhead") {
		t.Errorf("%+v", sky)
	}
}

// A model that is shot with the depth of the full size burns the full size's
// lumens already: the factor is 1, whatever the scale.
func TestDepthEquivalentBurnsTheSameLumens(t *testing.T) {
	// At full size the same sensor at 12 times the distance: N_eff' = 12·N_eff.
	s := kittiwake(t)
	c := expose(t, s, Options{Cues: []string{"bow"}}).Cues[0]
	m := c.lens.magnification.value / 12
	n := c.lens.effective.value / 12 / (1 + m)
	r := fullSize(t, FullOptions{Cues: []string{"bow"}, Aperture: n})
	near(t, "lumens", r.Light[1].Value, 1, 1e-12)
}

// Another stop, time and speed, by the incident equation.
func TestFullSizeWithOtherSettings(t *testing.T) {
	r := fullSize(t, FullOptions{Cues: []string{"bow"}, Aperture: 5.6, Shutter: 0.02, ISO: 800})
	c := expose(t, kittiwake(t), Options{Cues: []string{"bow"}}).Cues[0]
	focus := c.lens.focus.value * 12
	m := c.lens.magnification.value / 12
	nf := 5.6 * (1 + m)
	want := camera.FullSizeLight(12, c.lens.effective.value, nf, 0.1, 0.02, 400, 800)
	near(t, "lux", r.Light[0].Value, want.Lux, 1e-12)
	near(t, "lumens", r.Light[1].Value, want.Lumens, 1e-12)
	near(t, "focal length", r.Set[1].figure("focal").Value, focus*m/(1+m), 1e-12)
	// The lux that come out expose the full size as the model's expose the model.
	wanted := camera.Lux(nf, 0.02, 800, 250) / camera.Lux(c.lens.effective.value, 0.1, 400, 250)
	near(t, "exposure", want.Lux, wanted, 1e-12)
}

// What goes round, goes round: everything keeps its distance from the axis and its
// place as the camera sees it; what rides on the table stays with the subject.
func TestOrbit(t *testing.T) {
	r := fullSize(t, FullOptions{})
	s := kittiwake(t)
	for i := range r.Cues {
		c := &r.Cues[i]
		cam := &c.Items[0]
		bearing := math.Atan2(cam.figure("x").Value, -cam.figure("y").Value) * 180 / math.Pi
		if d := math.Mod(bearing+c.Azimuth+720, 360); math.Min(d, 360-d) > 1e-9 {
			t.Errorf("%s: the camera stands at %g, the table was turned by %g", c.Name, bearing, c.Azimuth)
		}
		for j := range c.Items {
			item := &c.Items[j]
			k := s.Rig.Index(item.Name)
			if item.Kind != "source" || k < 0 {
				continue
			}
			src := &s.Rig.Sources[k].Place
			level := 12 * src.Distance.Metres * math.Cos(src.Elevation.Degrees*math.Pi/180)
			near(t, c.Name+" "+item.Name, math.Hypot(item.figure("x").Value, item.figure("y").Value), level, 1e-9)
			if src.Rides { // azimuth 180, on the table: behind the subject's own axes
				near(t, "keel glow", item.figure("y").Value, 12*0.35, 1e-9)
			}
		}
	}
}

func TestFullSizePowerPlan(t *testing.T) {
	r := fullSize(t, FullOptions{Efficacy: 80})
	for i := range r.Cues {
		c := &r.Cues[i]
		flux := 0.0
		for j := range c.Items {
			if f := c.Items[j].figure("flux"); f.Known() {
				flux += f.Value
			}
		}
		near(t, "watts", c.Watts.Value, flux/80, 1e-12)
		amperes, _ := supply.Current(c.Watts.Value, 230, 0.9)
		near(t, "amperes", c.Amperes.Value, amperes, 1e-12)
		if c.Count.Value != math.Ceil(amperes/(0.8*16)) {
			t.Errorf("%g circuits for %g A", c.Count.Value, amperes)
		}
	}
	for _, want := range []string{supply.CautionHang, supply.CautionCircuit} {
		if !strings.Contains(strings.Join(r.Cautions, "\n"), want) {
			t.Errorf("%q is not said", want)
		}
	}
	if !strings.Contains(strings.Join(r.Turns, "\n"), "keel glow rides on the table") {
		t.Errorf("%v", r.Turns)
	}
}

func TestMotion(t *testing.T) {
	r := fullSize(t, FullOptions{})
	near(t, "rate", r.Motion[0].Value, 24*math.Sqrt(12), 1e-12)
	near(t, "stops", r.Motion[1].Value, math.Log2(12)/2, 1e-12)
	near(t, "speed", r.Motion[2].Value, math.Sqrt(12)/12, 1e-12)
}
