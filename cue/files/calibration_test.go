package files

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures"
)

// skyRig is a rig of one panel with what is put in.
func skyRig(lines string) string {
	return fmt.Sprintf(`
[[output]]
name = "bench"
kind = "artnet"
to = "127.0.0.1"
universes = [1]
[[source]]
name = "sky"
role = "key"
profile = "bicolour-panel-16bit"
universe = 1
address = 1
%s
`, lines)
}

const skyCalibration = `
version = 1
instrument = "hand spectrometer"
date = "2026-11-20"
%s
warm-up = [{ after = "10 min", loss = "3 %%" }]
[[emitter]]
name = "warm"
colour = "xy 0.4573 0.4089"
lux = "1600 lx"
[[emitter]]
name = "cool"
colour = "xy 0.3137 0.3301"
lux = "2000 lx"
`

// sky loads a shoot of that panel; wrong gets what is reported.
func sky(t *testing.T, lines, head string, wrong *[]string) *cue.Shoot {
	t.Helper()
	shoot, problems := Load("shoot", folder(map[string]string{
		RigFile:                 skyRig(lines),
		CuesFile:                "[[cue]]\nname = \"bow\"\nlight = { sky = \"900 lx\" }\n",
		"calibrations/sky.toml": fmt.Sprintf(skyCalibration, head),
	}))
	*wrong = nil
	for _, p := range problems {
		*wrong = append(*wrong, p.String())
	}
	if shoot == nil {
		t.Fatal(strings.Join(*wrong, "\n"))
	}
	return shoot
}

// Whose lux count: those of the calibration, where they hold at the aim point.
func TestCalibratedLux(t *testing.T) {
	const at = `place = { azimuth = 0, distance = "0.55 m" }`
	for _, c := range []struct {
		name, lines, head string
		full              float64
		warning           string // a part of it
	}{
		{"from the emitters", ``, ``, 3600, ``},
		{"of the whole", ``, `full = "3500 lx"`, 3500, ``},
		{"near the reading of the rig", `full = "3700 lx"`, ``, 3600, ``},
		{"far from the reading of the rig", `full = "3300 lx"`, ``, 3600, `full is 3300 lx, calibration "calibrations/sky.toml" says 3600 lx: the calibration counts`},
		{"at its distance", at, `distance = "55 cm"`, 3600, ``},
		{"at another distance, and read here", at + "\nfull = \"3300 lx\"", `distance = "1 m"`, 3300, ``},
	} {
		t.Run(c.name, func(t *testing.T) {
			var wrong []string
			shoot := sky(t, "calibration = \"calibrations/sky.toml\"\n"+c.lines, c.head, &wrong)
			s := shoot.Rig.Sources[0]
			if math.Abs(s.Full-c.full) > 1e-9*c.full {
				t.Errorf("full is %g lx, want %g", s.Full, c.full)
			}
			if k := s.Calibration; k == nil || k.Path != "calibrations/sky.toml" || k.Date != "2026-11-20" || len(k.WarmUp) != 1 || k.File != "shoot/calibrations/sky.toml" {
				t.Errorf("calibration %+v", k)
			}
			if c.warning == "" && len(wrong) > 0 || c.warning != "" && (len(wrong) != 1 || !strings.Contains(wrong[0], c.warning)) {
				t.Errorf("said %q, want %q", wrong, c.warning)
			}
			light := shoot.Resolved[0].Light[0]
			if math.Abs(light.Lux-900) > 1e-6 || math.Abs(light.Asked.Y-900/c.full) > 1e-9 {
				t.Errorf("900 lx come to Y %g, %g lx", light.Asked.Y, light.Lux)
			}
		})
	}
}

// What the panel reaches is told by its measured diodes.
func TestCalibratedReach(t *testing.T) {
	var wrong []string
	plain := sky(t, `full = "3600 lx"`, "", &wrong)
	measured := sky(t, `calibration = "./calibrations/sky.toml"`, "", &wrong)
	if len(wrong) > 0 {
		t.Error(wrong)
	}
	a, b := plain.Resolved[0].Light[0], measured.Resolved[0].Light[0]
	if d := a.Aim.UV().Distance(b.Aim.UV()); d < 0.0003 {
		t.Errorf("the aim moved by %g only", d)
	}
	r, err := fixtures.NewRenderer(measured.Rig)
	if err != nil {
		t.Fatal(err)
	}
	if aim := r.Reach(0, b.Aim); aim.XY != b.Aim && aim.DeltaUV > 1e-9 {
		t.Errorf("the renderer reaches %v, the cue was told %v", aim.XY, b.Aim)
	}
}

// Two sources may name one file; it is one calibration.
func TestCalibrationIsReadOnce(t *testing.T) {
	src := func(name string, address int) string {
		return fmt.Sprintf("[[source]]\nname = %q\nprofile = \"bicolour-panel-16bit\"\nuniverse = 1\naddress = %d\ncalibration = %q\n",
			name, address, "calibrations/sky.toml")
	}
	shoot, problems := Load("shoot", folder(map[string]string{
		RigFile:                 "[[output]]\nname = \"bench\"\nkind = \"artnet\"\nto = \"127.0.0.1\"\nuniverses = [1]\n" + src("a", 1) + src("b", 11),
		CuesFile:                "[[cue]]\nname = \"bow\"\n",
		"calibrations/sky.toml": fmt.Sprintf(skyCalibration, ""),
	}))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if a, b := shoot.Rig.Sources[0].Calibration, shoot.Rig.Sources[1].Calibration; a == nil || a != b {
		t.Errorf("%p and %p", a, b)
	}
}

func TestWithin(t *testing.T) {
	for name, want := range map[string]bool{
		"sky.toml": true, "calibrations/sky.toml": true, "./calibrations/sky.toml": true, "a/../sky.toml": true, "a/b/c": true,
		"": false, ".": false, "..": false, "../sky.toml": false, "a/../../sky.toml": false, "/etc/passwd": false, "/": false,
		`..\sky.toml`: false, `C:\sky.toml`: false, "C:sky.toml": false, "sky\xff.toml": false,
	} {
		if got := within(name); got != want {
			t.Errorf("%q: %v", name, got)
		}
	}
}

func FuzzCalibrationFile(f *testing.F) {
	for _, name := range []string{"calibration/calibrations/mistyped.toml", "calibration/calibrations/swap.toml", "calibration-doubtful/calibrations/fill.toml"} {
		src, err := os.ReadFile("testdata/broken/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add("calibrations/sky.toml", string(src))
	}
	f.Add("./calibrations/../calibrations/sky.toml", fmt.Sprintf(skyCalibration, `distance = "1 m"`))
	f.Add("../sky.toml", "")
	f.Fuzz(func(t *testing.T, name, calibration string) {
		if strings.ContainsAny(name, "'\n\r") {
			t.Skip("it would end the text")
		}
		sound(t, map[string]string{
			RigFile:                 skyRig("calibration = '" + name + "'"),
			CuesFile:                "[[cue]]\nname = \"bow\"\nlight = { sky = \"60 %\" }\n",
			"calibrations/sky.toml": calibration,
		})
	})
}
