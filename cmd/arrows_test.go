// Package cmd_test holds the arrows between the rooms: who may import whom,
// and why not.
package cmd_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"path"
	"slices"
	"strings"
	"testing"
)

// room is one line of the architecture: the module-relative packages it may
// import. Patterns are those of path.Match; "cmd/internal/*" and the like.
type room struct {
	pkg string
	may []string
	why string // what breaks if it reaches further
}

// The order is the way light flows. A package of ours that matches no line fails the test,
// so a new room must be entered here with its reason.
var rooms = []room{
	{"fixtures/colour", nil, "colour science is pure: it must be checkable against tables alone"},
	{"fixtures/quantity", nil, "quantities are words and numbers, they know no lights"},
	{"fixtures/nearest", nil, "help with misspelt names is the same for every kind of name"},
	{"fixtures/mix", []string{"fixtures/colour"}, "the solver knows emitters, not the rig they hang on"},
	{"fixtures", []string{"fixtures/colour", "fixtures/mix", "fixtures/nearest", "fixtures/quantity"}, "a rig becomes slots without knowing files, cues or sockets"},
	{"fixtures/space", nil, "places and faces know no light"},
	{"fixtures/photometry", []string{"fixtures/space"}, "light from faces is geometry; it must be checkable against handbooks alone"},
	{"fixtures/reflect", []string{"fixtures/colour", "fixtures/photometry", "fixtures/space"}, "what paint mirrors is geometry and light; cues come to it as sources"},
	{"fixtures/fit", nil, "numbers from readings, whatever they are of"},
	{"fixtures/supply", nil, "currents, cables and weights are sums over plain numbers"},
	{"profiles/tomlfile", []string{"fixtures/nearest"}, "strict TOML knows no lights, so every file kind can share it"},
	{"profiles", []string{"fixtures", "fixtures/*", "profiles/tomlfile"}, "a profile is about a light, never about a shoot"},
	{"profiles/greycard", nil, "a photograph is pixels; what they are worth is measure's to say"},
	{"profiles/measure", []string{"fixtures", "fixtures/*", "profiles/tomlfile"}, "readings become calibrations without knowing who took them"},
	{"profiles/measure/measuretest", []string{"fixtures/*", "profiles/measure"}, "lights and a camera with hidden truths, for tests"},
	{"cue/fade", []string{"fixtures/colour", "fixtures/nearest"}, "what lies between two lights is the same in time and along a strip"},
	{"cue", []string{"cue/fade", "fixtures", "fixtures/*"}, "the domain never hears of files or sockets"},
	{"cue/files", []string{"cue", "cue/fade", "cue/flash", "fixtures", "fixtures/*", "profiles", "profiles/tomlfile"}, "files end here; nothing that plays reads a disk"},
	{"cue/timeline", []string{"cue", "cue/fade", "cue/motion", "fixtures", "fixtures/*"}, "the player is a pure function: no files, no clock, no wire"},
	{"cue/operate", []string{"cue", "cue/capture", "cue/fade", "cue/files", "cue/flash", "cue/motion", "cue/steps", "cue/sweep", "cue/timeline", "fixtures", "fixtures/*"}, "the live shoot never hears of the wire; cmd hands its Fill to the sender"},
	{"cue/sweep", []string{"cue", "cue/fade", "fixtures", "fixtures/*"}, "light as a function of the table's azimuth: no time in it"},
	{"cue/flash", []string{"cue", "cue/fade", "cue/sweep", "fixtures", "fixtures/*"}, "the flash rule judges light, whoever plays it"},
	{"cue/motion/stream", nil, "it opens sockets, so nothing that plays may import it"},
	{"cue/steps", []string{"cue"}, "a sequence names deeds, others do them"},
	{"cue/capture", []string{"cue"}, "whatever takes the picture, light never waits for it"},
	{"cue/motion", nil, "how a table moves is sums over plain numbers"},
	{"cue/journal", nil, "what was told is kept as words and frames, so a log outlives every change of the shoot"},
	{"cue/camera", nil, "the photographer's arithmetic is pure: it must be checkable against handbooks alone"},
	{"cue/plan", []string{"cue", "cue/camera", "cue/plan/calc", "fixtures", "fixtures/*"}, "reports are figures over a shoot; they play nothing and print nothing"},
	{"cue/plan/calc", []string{"cue/camera", "cue/flash", "fixtures/*"}, "the table of formulas names functions that stand elsewhere; it computes nothing"},
	{"dmx", nil, "what travels knows nothing of what it means"},
	{"dmx/pace", []string{"dmx"}, "the send loop must run whatever fills the frames"},
	{"dmx/artnet", []string{"dmx", "dmx/internal/*"}, "one transport, alone"},
	{"dmx/internal/udp", nil, "datagrams know no protocol"},
	{"dmx/internal/baseline", nil, "programs in C that benchmarks measure against; only tests import it"},
	{"dmx/sacn", []string{"dmx", "dmx/internal/*"}, "one transport, alone"},
	{"dmx/record", []string{"dmx"}, "what was heard, kept in an open form"},
	{"dmx/rdm", []string{"dmx", "dmx/artnet"}, "messages about lights, over whatever carries them"},
	{"dmx/rdm/rdmtest", []string{"dmx", "dmx/artnet", "dmx/rdm"}, "lights that are none, for tests"},
	{"dmx/serial", []string{"dmx"}, "one transport, alone"},
	{"dmx/artnet/artnettest", []string{"dmx", "dmx/artnet"}, "nodes that are none, for tests and for practice"},
	{"dmx/dmxtest", []string{"dmx"}, "the conformance run is the same for every transport"},
	{"testdata", nil, "examples are data"},
	{"cmd/internal/dial", []string{"cue", "fixtures", "fixtures/*"}, "one drawing of a snapshot; it computes nothing"},
	{"cmd/internal/screen", []string{"cmd/internal/dial", "cue", "cue/operate", "fixtures", "fixtures/*"}, "a screen shows a snapshot and sends words; it never hears of the wire"},
	{"cmd/internal/sheet", []string{"cue", "cue/plan", "cue/plan/calc", "fixtures", "fixtures/*", "cmd/internal/dial"}, "paper shows figures that others computed"},
	{"cmd/internal/chart", []string{"fixtures", "fixtures/*"}, "a picture of figures that others computed"},
	{"cmd/limn", []string{"*", "*/*", "*/*/*", "*/*/*/*"}, ""},
}

// forbidden holds whole modules that a part of the tree must not reach, even through others.
var forbidden = []struct{ pkg, dep, why string }{
	{"cue", "net", "a cue that could reach a socket could not be played into a slice of bytes"},
	{"cue/timeline", "net", "see cue"},
	{"cue/operate", "net", "the wire is wired up in cmd"},
	{"fixtures", "net", "see cue"},
	{"dmx/artnet", "github.com/sirupsen/logrus", "only the codec of go-artnet is used; its root package brings a logger and goroutines"},
}

type listed struct {
	ImportPath string
	GoFiles    []string
	Imports    []string
	Deps       []string
}

func list(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,GoFiles,Imports,Deps", "./...", "./testdata")
	cmd.Dir = ".."
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.String())
	}
	var pkgs []listed
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return pkgs
		} else if err != nil {
			t.Fatal(err)
		}
		pkgs = append(pkgs, p)
	}
}

func TestArrows(t *testing.T) {
	pkgs := list(t)
	seen := map[string]bool{}
	for _, p := range pkgs {
		if len(p.GoFiles) == 0 {
			continue // tests alone, as here
		}
		name, ours := strings.CutPrefix(p.ImportPath, "limn/")
		if !ours {
			t.Errorf("package %s lies outside the rooms", p.ImportPath)
			continue
		}
		i := slices.IndexFunc(rooms, func(r room) bool { return r.pkg == name })
		if i < 0 {
			t.Errorf("package %s is no known room: enter it in cmd/arrows_test.go with what it may import and why", name)
			continue
		}
		seen[name] = true
		for _, imp := range p.Imports {
			dep, ours := strings.CutPrefix(imp, "limn/")
			if ours && !matches(rooms[i].may, dep) {
				t.Errorf("%s imports %s, against the flow: %s", name, dep, rooms[i].why)
			}
		}
	}
	for _, r := range rooms {
		if !seen[r.pkg] {
			t.Errorf("room %s does not exist; take it out of the table or build it", r.pkg)
		}
	}
	for _, f := range forbidden {
		i := slices.IndexFunc(pkgs, func(p listed) bool { return p.ImportPath == "limn/"+f.pkg })
		if i < 0 {
			t.Errorf("forbidden import of %s names a room that does not exist: %s", f.dep, f.pkg)
			continue
		}
		if slices.Contains(pkgs[i].Deps, f.dep) {
			t.Errorf("%s reaches %s: %s", f.pkg, f.dep, f.why)
		}
	}
}

// The table must be able to fail: an arrow against the flow is found.
func TestArrowsCatchAReversal(t *testing.T) {
	i := slices.IndexFunc(rooms, func(r room) bool { return r.pkg == "dmx" })
	if matches(rooms[i].may, "cue") {
		t.Error("dmx would be allowed to import cue")
	}
	if !matches(rooms[slices.IndexFunc(rooms, func(r room) bool { return r.pkg == "cue" })].may, "fixtures/colour") {
		t.Error("cue would not be allowed to import fixtures/colour")
	}
}

func matches(patterns []string, name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool {
		ok, err := path.Match(p, name)
		return err == nil && ok
	})
}
