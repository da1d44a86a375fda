package profiles

import (
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"limn/profiles/tomlfile"
)

// Every profile that comes along is sound, and its file is named after it.
func TestGenericProfiles(t *testing.T) {
	const least = 20
	library := Open(nil, "", new(tomlfile.Problems))
	names := library.Names()
	if len(names) < least {
		t.Errorf("%d profiles, want at least %d", len(names), least)
	}
	for _, name := range names {
		src, err := generic.ReadFile(genericDir + "/" + name + extension)
		if err != nil {
			t.Fatal(err)
		}
		ps := new(tomlfile.Problems)
		p, ok := Parse(name+extension, src, ps)
		for _, problem := range ps.Sorted() {
			t.Error(problem)
		}
		if !ok {
			continue
		}
		if p.Name != name {
			t.Errorf("%s%s holds %q", name, extension, p.Name)
		}
		if p.Title == "" || !strings.Contains(p.Note, "ypical of the trade, not measured.") {
			t.Errorf("%s does not say what it is and where its figures come from", name)
		}
	}
}

// What the design promises to be there.
func TestKindsOfLight(t *testing.T) {
	library := Open(nil, "", new(tomlfile.Problems))
	for _, c := range []struct {
		name      string
		footprint int
		emitters  int
	}{
		{"dimmer", 1, 1},
		{"dimmer-16bit", 2, 1},
		{"bicolour-panel", 2, 2},
		{"bicolour-panel-cct", 2, 2},
		{"rgb-light", 3, 3},
		{"rgbw-light", 4, 4},
		{"rgbww-panel", 5, 5},
		{"rgb-amber-lime-light", 5, 5},
		{"six-colour-panel", 6, 6},
		{"rgbw-light-16bit", 8, 4},
		{"rgbcct-panel", 8, 5},
		{"rgb-strip", 120, 3},
		{"motor-turntable", 4, 0},
	} {
		p, ok := library.Find(c.name)
		if !ok {
			t.Errorf("no profile %q", c.name)
			continue
		}
		if p.Footprint() != c.footprint || len(p.Emitters) != c.emitters {
			t.Errorf("%s has %d slots and %d emitters, want %d and %d",
				c.name, p.Footprint(), len(p.Emitters), c.footprint, c.emitters)
		}
		if p.HasAzimuth() != (c.name == "motor-turntable") {
			t.Errorf("%s: HasAzimuth is %v", c.name, p.HasAzimuth())
		}
	}
}

const own = `name = "bicolour-panel"
[[emitter]]
name = "warm"
colour = "3000 K"
flux = "900 lm"
[[slot]]
at = 1
emitter = "warm"
`

func TestOwnProfilesComeFirst(t *testing.T) {
	ps := new(tomlfile.Problems)
	library := Open(fstest.MapFS{
		"mine.toml":       {Data: []byte(own)},
		"notes.txt":       {Data: []byte("not a profile")},
		".hidden.toml":    {Data: []byte("]")},
		"deeper/x.toml":   {Data: []byte("]")},
		"loft-panel.toml": {Data: []byte(strings.Replace(own, "bicolour-panel", "loft-panel", 1))},
	}, "shoot/profiles", ps)
	if got := ps.Sorted(); got != nil {
		t.Fatalf("problems %v", got)
	}
	p, ok := library.Find("bicolour-panel")
	if !ok || len(p.Emitters) != 1 {
		t.Errorf("the shoot's own bicolour-panel is not the one found: %+v", p)
	}
	names := library.Names()
	if !slices.IsSorted(names) || !slices.Contains(names, "loft-panel") || !slices.Contains(names, "dimmer") {
		t.Errorf("names %v", names)
	}
	if n := len(names); n != len(slices.Compact(slices.Clone(names))) {
		t.Errorf("a name is listed twice: %v", names)
	}
	if _, ok := library.Find("no-such-panel"); ok {
		t.Error("finds what is not there")
	}
}

// A profile with a fault is found all the same, so that its sources are not
// said to have none.
func TestFaultyOwnProfile(t *testing.T) {
	ps := new(tomlfile.Problems)
	library := Open(fstest.MapFS{
		"a.toml":      {Data: []byte(strings.Replace(own, "900 lm", "900", 1))},
		"b.toml":      {Data: []byte(own)},
		"broken.toml": {Data: []byte("name = ")},
	}, "profiles", ps)
	var got []string
	for _, p := range ps.Sorted() {
		got = append(got, p.String())
	}
	want := []string{`profiles/a.toml:5:8: flux: "900" has no unit`, `profiles/b.toml:1:8: "bicolour-panel" is the name of the profile in profiles/a.toml too`, "profiles/broken.toml:1:"}
	if len(got) != len(want) {
		t.Fatalf("problems %q", got)
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("problem %q, want %q", got[i], want[i])
		}
	}
	for _, name := range []string{"bicolour-panel", "broken"} {
		if _, ok := library.Find(name); !ok {
			t.Errorf("%q is not found", name)
		}
	}
}

func TestNoOwnFolder(t *testing.T) {
	ps := new(tomlfile.Problems)
	if library := Open(fstest.MapFS{}, "profiles", ps); ps.Failed() || len(library.Names()) == 0 {
		t.Errorf("problems %v", ps.Sorted())
	}
}

// Finding is for many goroutines at once: meant for the race detector.
func TestFindTogether(t *testing.T) {
	library := Open(nil, "", new(tomlfile.Problems))
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for _, name := range library.Names() {
				library.Find(name)
			}
		})
	}
	wait.Wait()
	a, _ := library.Find("dimmer")
	if b, _ := library.Find("dimmer"); a != b {
		t.Error("the same profile is read twice")
	}
}
