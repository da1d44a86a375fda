package tomlfile

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// A file in pieces is what it is whole, wherever it is cut and whatever stands
// on either side.
func TestPieces(t *testing.T) {
	var many strings.Builder
	for i := range 8000 {
		fmt.Fprintf(&many, "[[cue]]\nname = \"picture %d\"\n[cue.light]\nsky = \"%d %%\"\n[[cue.step]]\nk = 1\n", i, i%90)
	}
	for name, c := range map[string]struct {
		head, tail string
		apart      bool
	}{
		"cues alone":                    {"", "", true},
		"looks on both sides":           {"[look.dusk]\nsky = 1\n", "[look.dawn]\nsky = 2\n", true},
		"angles on both sides":          {"[[angle]]\na = 1\n", "[[angle]]\na = 2\n[angle.b]\nc = 3\n", true},
		"a part of a table before":      {"[[angle]]\na = 1\n", "[angle.b]\nc = 3\n", false},
		"a part of a table with a body": {"[look.dusk]\nsky = 1\n", "[look.dusk.deep]\nsky = 2\n", true},
		"inline before":                 {"x = { y = 1 }\n", "", true},
	} {
		t.Run(name, func(t *testing.T) {
			text := []byte(c.head + many.String() + c.tail)
			var ps Problems
			root := Parse("f.toml", text, &ps)
			if ps.Failed() {
				t.Fatal(ps.Sorted())
			}
			_, ok := root.d.decodePieces()
			if ok != c.apart {
				t.Errorf("in pieces: %t", ok)
			}
			whole, err := decode(text)
			if err != nil || !reflect.DeepEqual(root.values, whole) {
				t.Errorf("%v; the pieces say %v", err, slices.Sorted(maps.Keys(root.values)))
			}
		})
	}
}
