package plan

import (
	"encoding/json"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
)

// tb is what tests and property tests have in common.
type tb interface {
	Helper()
	Fatalf(format string, args ...any)
}

// kittiwake is the shoot of the examples.
func kittiwake(t tb) *cue.Shoot {
	t.Helper()
	return load(t, os.DirFS("../../testdata/kittiwake"))
}

func load(t tb, fsys fs.FS) *cue.Shoot {
	t.Helper()
	s, problems := files.Load("shoot", fsys)
	if s == nil {
		t.Fatalf("%v", problems)
	}
	return s
}

// shootOf is a shoot of these files, with an output in front of the rig.
func shootOf(t tb, rig, cues string) *cue.Shoot {
	t.Helper()
	const output = "[[output]]\nname = \"bench\"\nkind = \"artnet\"\nto = \"127.0.0.1\"\nuniverses = [1]\n"
	return load(t, fstest.MapFS{
		"rig.toml":  {Data: []byte(rig + "\n" + output)},
		"cues.toml": {Data: []byte(cues)},
	})
}

// edited is Kittiwake with texts of her rig replaced.
func edited(t tb, changes ...string) *cue.Shoot {
	t.Helper()
	const dir = "../../testdata/kittiwake"
	fsys := fstest.MapFS{}
	for _, name := range []string{"rig.toml", "cues.toml", "calibrations/sky.toml"} {
		data, err := os.ReadFile(dir + "/" + name)
		if err != nil {
			t.Fatalf("%v", err)
		}
		text := string(data)
		if name == "rig.toml" {
			for i := 0; i < len(changes); i += 2 {
				if !strings.Contains(text, changes[i]) {
					t.Fatalf("no %q", changes[i])
				}
				text = strings.Replace(text, changes[i], changes[i+1], 1)
			}
		}
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return load(t, fsys)
}

// expose is the report of one cue.
func expose(t tb, s *cue.Shoot, opt Options) *Expose {
	t.Helper()
	r, err := NewExpose(s, opt)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

// checkValue is a published value out of testdata/photography.
type checkValue struct {
	ID        string
	Inputs    map[string]float64
	Expected  map[string]float64
	Tolerance struct{ Rel, Abs float64 }
}

func checkOf(t *testing.T, id string) checkValue {
	t.Helper()
	data, err := os.ReadFile("../../testdata/photography/photography.json")
	if err != nil {
		t.Fatal(err)
	}
	var raw []json.RawMessage
	if err := json.Unmarshal(data, &raw); err != nil {
		t.Fatal(err)
	}
	for _, r := range raw {
		var head struct{ ID string }
		if err := json.Unmarshal(r, &head); err != nil {
			t.Fatal(err)
		}
		if head.ID == id {
			var v checkValue
			if err := json.Unmarshal(r, &v); err != nil {
				t.Fatal(err)
			}
			return v
		}
	}
	t.Fatalf("no check value %s", id)
	return checkValue{}
}

func (v *checkValue) holds(t *testing.T, key string, got float64) {
	t.Helper()
	want := v.Expected[key]
	if !(math.Abs(got-want) <= math.Max(v.Tolerance.Abs, v.Tolerance.Rel*math.Abs(want))) {
		t.Errorf("%s: %s is %v, want %v", v.ID, key, got, want)
	}
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}
