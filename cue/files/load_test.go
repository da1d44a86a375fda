package files

import (
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/testdata"
)

// folder makes a shoot of texts.
func folder(files map[string]string) fstest.MapFS {
	m := fstest.MapFS{}
	for name, text := range files {
		m[name] = &fstest.MapFile{Data: []byte(text), Mode: 0o644}
	}
	return m
}

// lines loads a shoot and gives its report.
func lines(fsys fs.FS) []string {
	_, problems := Load("shoot", fsys)
	out := make([]string, len(problems))
	for i, p := range problems {
		out[i] = p.String()
	}
	return out
}

const smallRig = `
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
address = [1, 21]
units = 2
prefer = "power"
full = "3000 lx"
settle = "0.8 s"
diffusion = "half"
width = "60 cm"
height = "16 in"
place = { azimuth = "-20 deg", elevation = 80, distance = "55 cm", rides = "table" }
note = "on the boom"
[[source]]
name = "left stroke"
profile = "rgbcct-panel-16bit"
universe = 1
address = 101
full = "2000 lx"
[[source]]
name = "right stroke"
profile = "rgbcct-panel-16bit"
universe = 1
address = 121
full = "2000 lx"
[[source]]
name = "torch"
drive = "hand"
full = "200 lx"
[[card]]
name = "keel black"
kind = "black"
width = "0.3 m"
[group]
strokes = ["left stroke", "right stroke"]
`

// small loads the small rig with these cues and expects not a word.
func small(t *testing.T, cues string) *cue.Shoot {
	t.Helper()
	shoot, problems := Load("shoot", folder(map[string]string{RigFile: smallRig, CuesFile: cues}))
	for _, p := range problems {
		t.Error(p)
	}
	if shoot == nil {
		t.FailNow()
	}
	return shoot
}

func TestRigIsRead(t *testing.T) {
	s := small(t, "[[cue]]\nname = \"bow\"\n").Rig.Sources[0]
	if s.Name != "sky" || s.Role != fixtures.Key || s.Profile.Name != "bicolour-panel-16bit" ||
		s.Universe != 1 || !slices.Equal(s.Addresses, []int{1, 21}) || s.Units != 2 || s.Prefer.String() != "power" ||
		s.Full != 3000 || s.Settle != 0.8 || s.Diffusion != "half" || s.Note != "on the boom" {
		t.Errorf("%+v", s)
	}
	if s.Width.Metres != 0.6 || s.Width.String() != "60 cm" || math.Abs(s.Height.Metres-0.4064) > 1e-12 { // 16 inches of 25.4 mm
		t.Errorf("%s x %s", s.Width, s.Height)
	}
	if p := s.Place; !p.Known || p.Azimuth.Degrees != -20 || p.Elevation.Degrees != 80 || p.Distance.Metres != 0.55 || !p.Rides {
		t.Errorf("%+v", p)
	}
	if s.Origin != (fixtures.Origin{File: "shoot/rig.toml", Line: 7, Col: 1}) {
		t.Errorf("at %v", s.Origin)
	}
}

// A shoot without subject, camera and turntable is one with a table turned by
// hand, a camera at the default white and the folder's name.
func TestDefaults(t *testing.T) {
	s := small(t, "[[cue]]\nname = \"bow\"\n")
	if s.Subject.Name != "shoot" || s.Subject.Scale != 1 || !s.Turntable.Hand || s.Outputs[0].OnExit != cue.Leave {
		t.Errorf("%+v %+v", s.Subject, s.Turntable)
	}
	if w := s.Camera.White; math.Abs(w.Kelvin-5600) > 0.01 || math.Abs(w.Duv) > 1e-6 {
		t.Errorf("white %v", w)
	}
	if s.Resolved[0].HasAngle || s.Resolved[0].Fade != cue.DefaultFade {
		t.Errorf("%+v", s.Resolved[0])
	}
}

// A group stands for its members; what is said of a member itself goes over it,
// key by key, whatever the order of the lines.
func TestGroups(t *testing.T) {
	s := small(t, `
[look.dusk]
strokes = { colour = "3000 K" }
[[cue]]
name = "bow"
looks = ["dusk"]
[cue.light]
"right stroke" = { level = "20 %", curve = "ease" }
strokes = { level = "40 %", delay = "1 s", path = "straight" }
"left stroke" = { colour = "4000 K" }
`)
	left, right := s.Resolved[0].Light[1], s.Resolved[0].Light[2]
	if left.Level != "40 %" || left.Colour != "4000 K" || left.Delay != 1 || left.Curve != fade.Linear || left.Path != fade.Straight {
		t.Errorf("left: %+v", left)
	}
	if right.Level != "20 %" || right.Colour != "3000 K" || right.Delay != 1 || right.Curve != fade.Ease || right.Path != fade.Straight {
		t.Errorf("right: %+v", right)
	}
}

func TestCueIsRead(t *testing.T) {
	s := small(t, `
[[angle]]
name = "beam"
azimuth = "80 deg"
[[cue]]
name = "bow"
angle = 35.5
fade = "2.5 s"
delay = "400 ms"
curve = "stops"
path = "around"
note = "first light"
[cue.light]
sky = "80 %"
torch = { level = "key -3 stops", colour = "3000 K", fade = "1 min" }
[cue.card."keel black"]
place = { azimuth = 90, distance = "0.22 m" }
mark = "tape C"
[cue.camera]
shutter = "1 s"
aperture = "f/22"
iso = 100
fps = 24
focal = "100 mm"
distance = "1.2 m"
[[cue]]
name = "beam"
angle = "beam"
from = "bow"
[cue.card."keel black"]
out = true
[[sequence]]
name = "round"
by = "time"
steps = [{ cue = "bow", stay = "4 s" }, { cue = "beam", stay = "1 min 30 s" }]
`)
	bow, beam := s.Resolved[0], s.Resolved[1]
	if !bow.HasAngle || bow.Azimuth != 35.5 || bow.Angle != "" || beam.Azimuth != 80 || beam.Angle != "beam" {
		t.Errorf("%v %q, %v %q", bow.Azimuth, bow.Angle, beam.Azimuth, beam.Angle)
	}
	if bow.Fade != 2.5 || bow.Delay != 0.4 || bow.Curve != fade.Stops || bow.Path != fade.Around || bow.Light[3].Fade != 60 {
		t.Errorf("%+v", bow)
	}
	if c := bow.Camera.String(); c != "shutter 1 s, aperture f/22, ISO 100, frame rate 24 fps, focal length 100 mm, distance 1.2 m" {
		t.Errorf("camera: %s", c)
	}
	if len(bow.Cards) != 1 || bow.Cards[0].Mark != "tape C" || bow.Cards[0].Place.Distance.String() != "0.22 m" || bow.Cards[0].Out || !beam.Cards[0].Out {
		t.Errorf("%+v, %+v", bow.Cards, beam.Cards)
	}
	q := s.Sequences[0]
	if q.By != cue.ByTime || len(q.Steps) != 2 || q.Steps[1].Stay.Seconds != 90 {
		t.Errorf("%+v", q)
	}
	if s.Cues[0].Note != "first light" {
		t.Errorf("note %q", s.Cues[0].Note)
	}
}

// The cues of several files make one list, in the order of the files' names.
func TestFilesOfAFolder(t *testing.T) {
	s, problems := Load("shoot", folder(map[string]string{
		RigFile:              smallRig,
		"cues/20 stern.toml": "[[cue]]\nname = \"stern\"\nfrom = \"bow\"\n",
		"cues/10 bow.toml":   "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"80 %\"\n",
		"cues/looks.toml":    "[look.dusk]\nsky = \"10 %\"\n",
		"cues/notes.txt":     "not read",
		"cues/.draft.toml":   "[[cue",
	}))
	if len(problems) > 0 || s == nil || !slices.Equal(s.CueNames(), []string{"bow", "stern"}) || len(s.Looks) != 1 {
		t.Errorf("%v, %v", problems, s)
	}
}

// What is not there, or is something else, gets one message.
func TestFolders(t *testing.T) {
	asDir := &fstest.MapFile{Mode: fs.ModeDir | 0o755}
	bare := folder(map[string]string{RigFile: smallRig})
	rigIsDir := folder(map[string]string{CuesFile: ""})
	rigIsDir[RigFile] = asDir
	cuesIsDir := folder(map[string]string{RigFile: smallRig})
	cuesIsDir[CuesFile] = asDir
	cuesIsFile := folder(map[string]string{RigFile: smallRig, CuesDir: ""})
	empty := folder(map[string]string{RigFile: smallRig})
	empty[CuesDir] = asDir
	for _, c := range []struct {
		name string
		fs   fstest.MapFS
		want string
	}{
		{"nothing", fstest.MapFS{}, "shoot: there is no rig.toml; write it, or name the folder of a shoot"},
		{"no cues", bare, "shoot: there is no cues.toml; write cues.toml, or a folder cues of TOML files"},
		{"rig is a folder", rigIsDir, "shoot/rig.toml: it cannot be read: "},
		{"cues.toml is a folder", cuesIsDir, "shoot/cues.toml: it cannot be read: "},
		{"cues is a file", cuesIsFile, "shoot/cues: it cannot be read as a folder: "},
		{"no file of cues", empty, "shoot/cues: the folder holds no TOML file; write one, as cues/angles.toml"},
	} {
		got := lines(c.fs)
		if len(got) != 1 || !strings.HasPrefix(got[0], c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A rig at each limit loads; one more is refused, once.
func TestLimits(t *testing.T) {
	many := func(n int, each string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, each, i)
		}
		return b.String()
	}
	for _, c := range []struct{ name, rig, cues, want string }{
		{"sources", smallRig + many(cue.MaxSources, "[[source]]\nname = \"s%d\"\ndrive = \"hand\"\n"), "[[cue]]\nname = \"bow\"\n", "more than 512 sources"},
		{"cues", smallRig, many(cue.MaxCues+2, "[[cue]]\nname = \"c%d\"\n"), "more than 20000 cues"},
		{"angles", smallRig, "[[cue]]\nname = \"bow\"\n" + many(cue.MaxNames+2, "[[angle]]\nname = \"a%d\"\nazimuth = 3\n"), "more than 2000 angles"},
		{"lights", smallRig + many(100, "[[source]]\nname = \"s%d\"\ndrive = \"hand\"\n"), many(cue.MaxLights/104+3, "[[cue]]\nname = \"c%d\"\n"), "more than 1000000 cues times sources"},
	} {
		got := lines(folder(map[string]string{RigFile: c.rig, CuesFile: c.cues}))
		if len(got) != 1 || !strings.Contains(got[0], c.want) {
			t.Errorf("%s: %d lines, first %.200q", c.name, len(got), got)
		}
	}
}

// The example that people copy says nothing but what it should, and shows what
// a shoot can hold.
func TestKittiwake(t *testing.T) {
	s, problems := Load("kittiwake", testdata.Kittiwake())
	for _, p := range problems {
		t.Error(p)
	}
	if s == nil {
		t.FailNow()
	}
	kinds := map[string]bool{}
	hands, universes := 0, map[int]bool{}
	for i := range s.Rig.Sources {
		src := &s.Rig.Sources[i]
		if src.Hand {
			hands++
		} else {
			kinds[src.Profile.Name] = true
			universes[src.Universe] = true
		}
		if !(src.Full > 0) || !src.Place.Known {
			t.Errorf("%s has no reading or no place", src.Name)
		}
	}
	if len(s.Rig.Sources) < 7 || len(kinds) < 6 || hands != 1 || len(universes) != 2 {
		t.Errorf("%d sources, %d kinds, %d by hand, %d universes", len(s.Rig.Sources), len(kinds), hands, len(universes))
	}
	azimuths := map[float64]bool{}
	for i := range s.Resolved {
		r := &s.Resolved[i]
		azimuths[r.Azimuth] = true
		if !r.HasAngle {
			t.Errorf("%s has no angle", r.Name)
		}
		lit := 0
		for j, l := range r.Light {
			if l.Asked.Y > 0 {
				lit++
			}
			if l.DeltaUV > 0.0011 {
				t.Errorf("%s: %s is %.4f off its colour", r.Name, s.Rig.Sources[j].Name, l.DeltaUV)
			}
		}
		if lit < 4 {
			t.Errorf("%s: only %d sources are lit", r.Name, lit)
		}
	}
	if len(s.Angles) < 6 || len(azimuths) < 6 || len(s.Looks) != 2 || len(s.Cards) != 3 || len(s.Sequences) != 1 || len(s.Groups) != 1 {
		t.Errorf("%d angles, %d turned to, %d looks, %d cards", len(s.Angles), len(azimuths), len(s.Looks), len(s.Cards))
	}
	// The day goes round the boat one way: no turn back.
	for i := 1; i < len(s.Resolved); i++ {
		if d := cue.Turn(s.Resolved[i-1].Azimuth, s.Resolved[i].Azimuth); d < 0 {
			t.Errorf("%s turns back by %v", s.Resolved[i].Name, d)
		}
	}
}

const stripRig = smallRig + `
[[output]]
name = "shed"
kind = "artnet"
to = "127.0.0.2"
universes = [2]
[[source]]
name = "horizon"
profile = "rgb-strip"
universe = 2
address = 1
full = "900 lx"
`

// A ramp is read point by point, in braces or under a header of its own.
func TestRampIsRead(t *testing.T) {
	shoot, problems := Load("shoot", folder(map[string]string{
		RigFile: strings.Replace(stripRig, "[group]", "[group]\nbacks = [\"horizon\"]", 1),
		CuesFile: `
[look.dusk]
backs = { level = "20 %", ramp = [
  { at = 0, level = "10 %", colour = "3200 K" },
  { at = 0.25 },
  { at = 1, colour = "#ff7a3a", curve = "ease", path = "around" },
] }
[[cue]]
name = "bow"
[cue.light.horizon]
fade = "3 s"
[[cue.light.horizon.ramp]]
at = 0
level = "30 %"
[[cue.light.horizon.ramp]]
at = 1.0
level = "30 lx"
[[cue]]
name = "levelled"
[cue.light]
horizon = { level = "50 %" }
backs = { ramp = [{ at = 0, level = "10 %", colour = "3200 K" }, { at = 1 }] }
`,
	}))
	for _, p := range problems {
		t.Error(p)
	}
	if shoot == nil {
		t.FailNow()
	}
	strip := shoot.Rig.Index("horizon")
	r := shoot.Looks[0].Light[strip].Ramp
	if r == nil || len(r.Points) != 3 || r.Origin.Line != 3 || r.Origin.Col != 27 {
		t.Fatalf("%+v", r)
	}
	p := r.Points
	if p[0].At != 0 || p[0].Level.String() != "10 %" || p[0].Colour.String() != "3200 K" || p[0].Curve != nil ||
		p[1].At != 0.25 || p[1].Level != nil || p[1].Colour != nil ||
		p[2].At != 1 || *p[2].Curve != fade.Ease || *p[2].Path != fade.Around {
		t.Errorf("%+v", p)
	}
	if at := (fixtures.Origin{File: "shoot/cues.toml", Line: 6, Col: 10}); p[2].AtAt != at {
		t.Errorf("at %v, want %v", p[2].AtAt, at)
	}
	bow := shoot.Resolved[0].Light[strip]
	if len(bow.Cells) != 40 || bow.Fade != 3 || math.Abs(bow.Cells[39].Y*900-30) > 1e-9 {
		t.Errorf("%+v", bow)
	}
	// What is said of the strip itself goes over the group's ramp, for every point.
	levelled := shoot.Resolved[1].Light[strip]
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		t.Fatal(err)
	}
	for _, end := range []struct {
		light colour.XYZ
		xy    colour.XY
	}{{levelled.Cells[0], colour.White{Kelvin: 3200}.XY()}, {levelled.Cells[39], shoot.Camera.White.XY()}} {
		xy, _ := end.light.XY()
		most := renderer.Reach(strip, end.xy).MaxY
		if colour.Steps(xy, end.xy) > 1e-9 || math.Abs(end.light.Y-most/2) > 1e-12 {
			t.Errorf("an end is asked for %v, want half of %v at %v", end.light, most, end.xy)
		}
	}
}

// Points without end are refused, not read.
func TestTooManyPoints(t *testing.T) {
	points := strings.Repeat("{ at = 0 },", cue.MaxRampPoints+1)
	got := lines(folder(map[string]string{
		RigFile:  stripRig,
		CuesFile: "[[cue]]\nname = \"bow\"\n[cue.light]\nhorizon = { level = \"20 %\", ramp = [" + points + "] }\n",
	}))
	want := "shoot/cues.toml:4:36: a ramp of 101 points, more than 100; leave some out"
	if len(got) != 1 || got[0] != want {
		t.Errorf("%q, want %q", got, want)
	}
}
