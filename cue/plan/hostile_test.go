package plan

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

// Geometry of any size and place, sense or not: every figure has a value or says
// why not, every cue a verdict, and nothing panics.
func TestHostileGeometry(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := func(name string, most float64) string {
			return fmt.Sprintf(`"%.3f mm"`, rapid.Float64Range(0.01, most).Draw(t, name))
		}
		deg := func(name string, most float64) string {
			return fmt.Sprintf("%.3f", rapid.Float64Range(-most, most).Draw(t, name))
		}
		one := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
		rig := fmt.Sprintf(`
[subject]
name = "Tern"
scale = %s
length = %s
width = %s
height = %s
form = %q
%s
[camera]
sensor = %s
focal = %s
distance = %s
aperture = %q
shutter = %q
iso = %s
elevation = %s
%s
[room]
ambient = %s
[supply]
volts = "1 V"
breaker = "0.1 A"
power-factor = 0.2
[[source]]
name = "sky"
role = "key"
drive = "hand"
width = %s
height = %s
place = { azimuth = %s, elevation = %s, distance = %s }
%s
%s
[[source]]
name = "fill"
role = "fill"
drive = "hand"
place = { azimuth = %s, elevation = %s, distance = %s, rides = "table" }
%s
[[card]]
name = "white"
kind = "white"
width = %s
height = %s
[[card]]
name = "black"
kind = "black"
width = %s
height = %s
`,
			one("scale", "1", "12", "1000"), mm("length", 3000), mm("width", 3000), mm("height", 3000), one("form", "box", "cylinder"), one("gloss", `gloss = "matt"`, "index = 1", "index = 4", ""),
			one("sensor", `"36x24 mm"`, `"1x1 mm"`, `"1000x1000 mm"`), mm("focal", 1000), mm("camera", 20000), one("aperture", "f/0.5", "f/16", "f/1024"), one("shutter", "1/50 s", "1/1000000 s", "3600 s"), one("iso", "1", "10000000"), deg("camera up", 90), one("more", "nd = 6", `transmission = "0.01 %"`, "pupil-ratio = 0.1", "effective = true", ""),
			one("ambient", `"0 lx"`, `"1000000 lx"`, `"0.001 lx"`),
			mm("w", 5000), mm("h", 5000), deg("a", 360), deg("e", 90), mm("d", 20000),
			one("light", `full = "1000000 lx"`, `full = "0.01 lx"`, `lumens = "10000000 lm"`, `candela = "0.01 cd"`, `candela = "900 cd"`+"\nbounce = \"white\"", ""),
			one("beam", "beam = 1", "beam = 179", `pwm = { frequency = "1 Hz" }`, `pwm = { frequency = "1000000 Hz", depth = "0.01 %" }`, `diffusion = "full grid"`, ""),
			deg("a2", 360), deg("e2", 90), mm("d2", 20000), one("light2", `full = "300 lx"`, `at-1m = "300 lx"`, `lumens = "300 lm"`),
			mm("cw", 5000), mm("ch", 5000), mm("bw", 5000), mm("bh", 5000))
		cues := fmt.Sprintf(`
[[cue]]
name = "bow"
angle = %s
[cue.light]
sky = "100 %%"
fill = "0.01 %%"
[cue.card.white]
place = { azimuth = %s, elevation = %s, distance = %s }
[cue.card.black]
place = { azimuth = %s, elevation = %s, distance = %s }
[[cue]]
name = "off"
`, deg("table", 360), deg("ca", 360), deg("ce", 90), mm("cd", 5000), deg("ba", 360), deg("be", 90), mm("bd", 5000))
		s := shootOf(t, rig, cues)
		r := expose(t, s, Options{FullLook: 5.6, FullSensor: 36})
		everyFigure(t, r)
		for i := range r.Cues {
			if len(r.Cues[i].Say) == 0 {
				t.Fatalf("%s has no verdict", r.Cues[i].Name)
			}
		}
		for i := range r.Balance {
			if r.Balance[i].Say == "" {
				t.Fatalf("%s is held against nothing", r.Balance[i].Name)
			}
		}
		f, err := NewFlicker(s, Options{})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, f)
		FlickerFaults(s)
		full, err := NewFullSize(s, FullOptions{Aperture: 0.5, Shutter: 1e-6, ISO: 1e7})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, full)
		p, err := NewPower(s, Options{})
		if err != nil {
			t.Fatalf("%v", err)
		}
		everyFigure(t, p)
		form, err := FormOf(&s.Subject, nil)
		if err != nil {
			t.Fatalf("%v", err)
		}
		for i := range s.Resolved {
			if scene, _, _, err := SceneOf(s, &s.Resolved[i], form); err == nil {
				_ = scene.Check() // sense or not, it does not panic
			}
		}
	})
}
