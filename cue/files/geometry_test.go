package files

import (
	"math"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/fixtures/quantity"
)

const geometryRig = `
[subject]
name = "Tern"
length = "0.6 m"
form = "hull"
sections = [{ at = 0, points = [[0, 0.3], [0.1, 1]] }, { at = 1, points = [[0, 0], [0.8, 0.9]] }]
gloss = "satin"
index = 1.52
reflectance = "#5a2c16"
[camera]
distance = "0.9 m"
height = "0.3 m"
pupil-ratio = 0.8
nd = NDVALUE
transmission = "85 %"
readout = "16 ms"
rows = 2160
mains = "60 Hz"
headroom = "3.5 stops"
blur = "0.02 mm"
meter-c = 330
meter-k = 14
effective = true
[supply]
volts = "120 V"
breaker = "20 A"
power-factor = 0.6
battery = "98 Wh"
[room]
ambient = "40 lx"
[[source]]
name = "torch"
role = "key"
drive = "hand"
at-1m = "1200 lx"
beam = 40
bounce = "bow white"
diffusion = "light grid"
led-pitch = "8 mm"
led-depth = "12 mm"
pwm = { frequency = "1 kHz", depth = "30 %", shape = "sine" }
watts = "12 W"
circuit = "battery"
cable = { length = "5 m", area = "0.75 mm2", volts = "12 V", spread = true }
[[card]]
name = "bow white"
kind = "white"
reflectance = "90 %"
[[output]]
name = "bench"
kind = "artnet"
to = "127.0.0.1"
universes = [1]
`

func loadGeometry(t *testing.T, nd string) *cue.Shoot {
	t.Helper()
	rig := []byte(geometryRig)
	for i := range rig {
		if string(rig[i:i+7]) == "NDVALUE" {
			rig = append(append(append([]byte{}, rig[:i]...), nd...), rig[i+7:]...)
			break
		}
	}
	shoot, problems := Load("tern", fstest.MapFS{"rig.toml": {Data: rig}, "cues.toml": {Data: []byte("[[cue]]\nname = \"bow\"\n[cue.light]\ntorch = \"50 %\"\n")}})
	if shoot == nil {
		t.Fatal(problems)
	}
	return shoot
}

func TestGeometryIsRead(t *testing.T) {
	s := loadGeometry(t, "0.9")
	f, u, o := &s.Subject.Form, &s.Subject.Surface, &s.Camera.Optics
	if f.Kind != cue.FormHull || len(f.Sections) != 2 || f.Sections[1].At != 1 || f.Sections[0].Points[1] != [2]float64{0.1, 1} {
		t.Errorf("form %+v", f)
	}
	if !u.Glossy || u.Gloss.Degrees != 5 || u.Index != 1.52 || !u.HasBody {
		t.Errorf("surface %+v", u)
	}
	// #5a2c16 by IEC 61966-2-1: ((c/255 + 0.055)/1.055)^2.4 of each.
	linear := func(c float64) float64 { return math.Pow((c/255+0.055)/1.055, 2.4) }
	for i, c := range []float64{0x5a, 0x2c, 0x16} {
		if math.Abs(u.Body[i]-linear(c)) > 1e-9 {
			t.Errorf("body %v", u.Body)
		}
	}
	if y := 0.2126*linear(0x5a) + 0.7152*linear(0x2c) + 0.0722*linear(0x16); math.Abs(u.Reflectance.Share-y) > 1e-4 {
		t.Errorf("reflectance %g, want %g", u.Reflectance.Share, y)
	}
	if o.PupilRatio != 0.8 || o.ND != 0.9 || o.Transmission.Share != 0.85 || o.Readout.Seconds != 0.016 || o.Rows != 2160 || o.Mains.Hertz != 60 ||
		!o.HasHeadroom || o.Headroom.Stops != 3.5 || o.Blur.Metres != 0.02e-3 || o.MeterC != 330 || o.MeterK != 14 || !o.Effective || o.Height.Metres != 0.3 || o.HasElevation {
		t.Errorf("optics %+v", o)
	}
	if p := &s.Supply; p.Volts != 120 || p.Breaker != 20 || p.PowerFactor != 0.6 || p.Battery != 98 || s.Room.Ambient.Lux != 40 {
		t.Errorf("supply %+v, room %+v", p, s.Room)
	}
	e := s.Emission(0)
	if e.Candela != 1200 || e.Beam.Degrees != 40 || e.Bounce != 0 || e.LEDPitch.Metres != 0.008 || e.LEDDepth.Metres != 0.012 || e.Watts.Watts != 12 || e.Circuit != cue.CircuitBattery {
		t.Errorf("emission %+v", e)
	}
	if fl := s.Flicker(0); fl.Hertz != 1000 || fl.Depth != 0.3 || !fl.Sine {
		t.Errorf("flicker %+v", fl)
	}
	if c := e.Cable; c.Length.Metres != 5 || c.Area != 0.75 || c.Volts != 12 || !c.Spread {
		t.Errorf("cable %+v", c)
	}
	if s.Rig.Sources[0].Diffusion != "light grid" || s.Cards[0].Reflectance.Share != 0.9 {
		t.Errorf("diffusion %q, card %+v", s.Rig.Sources[0].Diffusion, s.Cards[0])
	}
}

// One filter, as the trade writes it: a density, stops, the factor of its name.
func TestNeutralDensity(t *testing.T) {
	for text, want := range map[string]float64{"0.9": 0.9, `"0.9"`: 0.9, `"3 stops"`: 0.90309, `"ND8"`: 0.90309, `"nd 64"`: 1.80618, "0": 0} {
		if got := loadGeometry(t, text).Camera.ND; math.Abs(got-want) > 1e-5 {
			t.Errorf("nd = %s is %g, want %g", text, got, want)
		}
	}
}

func FuzzMeasure(f *testing.F) {
	for _, seed := range []string{"230 V", "16A", "1.5 mm²", "98 Wh", "-1 V", "1e3 V", "", "V", "+ V", "1..2 V", "\u00a0230\u00a0V", "9999999999999999999999 A"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, m := range []*measure{&voltages, &currents, &energies, &wires, &intensities, &fluxes} {
			v, err := m.parse(text)
			if err == nil && !(v >= m.min && v <= m.max) {
				t.Errorf("%q is %g", text, v)
			}
			var wrong *quantity.Error
			if err != nil && !asError(err, &wrong) {
				t.Errorf("%q: %T", text, err)
			}
		}
	})
}

func asError(err error, to **quantity.Error) bool {
	e, ok := err.(*quantity.Error)
	*to = e
	return ok && e.What != "" && e.Cure != ""
}
