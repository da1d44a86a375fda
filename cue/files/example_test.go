package files_test

import (
	"fmt"
	"strings"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
	"limn/testdata"
)

func ExampleLoad() {
	shoot, problems := files.Load("kittiwake", testdata.Kittiwake())
	fmt.Println(len(problems), "problems")
	bow := shoot.Resolved[shoot.CueIndex("bow")]
	for i, l := range bow.Light[:3] {
		fmt.Printf("%s: %s is %+.1f stops against the key\n", shoot.Rig.Sources[i].Name, l.Level, l.KeyStops)
	}
	// Output:
	// 0 problems
	// sky: 72 % is +0.0 stops against the key
	// horizon: key -2 stops is -2.0 stops against the key
	// left stroke: key -1 stop is -1.0 stops against the key
}

// Everything wrong is told at once, each with its place and its cure.
func ExampleLoad_faults() {
	_, problems := files.Load("quick", fstest.MapFS{
		"rig.toml": {Data: []byte(`
[[output]]
name = "bench"
kind = "artnet"
to = "127.0.0.1"
universes = [1]

[[source]]
name = "sky"
profile = "bicolor-panel"
universe = 1
address = 1
`)},
		"cues.toml": {Data: []byte(`
[[cue]]
name = "bow"
fade = 2.5
[cue.light]
ski = "80 %"
`)},
	})
	for _, p := range problems {
		fmt.Println(p)
	}
	// Output:
	// quick/cues.toml:4:8: fade: "2.5" has no unit; write "2.5 s" or "2.5 ms"
	// quick/cues.toml:6:1: no source or group is called "ski"; did you mean "sky"?
	// quick/rig.toml:10:11: no profile is called "bicolor-panel"; did you mean "bicolour-panel"?
}

// One value is edited where it stands; what comes from that cue changes with it.
func ExampleFolder_Plan() {
	f, _, _ := files.OpenFS("kittiwake", testdata.Kittiwake())
	level, _ := cue.ParseLevel("64 %")
	p, err := f.Plan([]files.Edit{files.SetLight{Cue: "stern", Source: "sky", Level: &level}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Cues())
	for _, line := range strings.Split(p.Diff(), "\n") {
		if strings.HasPrefix(line, "-") || strings.HasPrefix(line, "+") {
			fmt.Println(line)
		}
	}
	// Output:
	// [stern port quarter]
	// --- before/cues.toml
	// +++ after/cues.toml
	// -sky     = "-2/3 stop"
	// +sky     = "64 %"
}
