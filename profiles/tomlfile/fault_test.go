package tomlfile_test

import (
	"testing"

	"limn/profiles/tomlfile"
)

// faults are files with what is said of each, exactly.
var faults = []struct {
	src  string
	want []string
}{
	{"a = 1\na = 2\n", []string{"f.toml:2:1: a is already given at line 1, column 1; keep one of the two"}},
}

func TestFaults(t *testing.T) {
	for _, c := range faults {
		var ps tomlfile.Problems
		tomlfile.Parse("f.toml", []byte(c.src), &ps)
		got := ps.Sorted()
		for i, p := range got {
			if i >= len(c.want) || p.String() != c.want[i] {
				t.Errorf("%q\n got %s", c.src, p)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%q has %d problems, want %d", c.src, len(got), len(c.want))
		}
	}
}
