package operate_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/testdata"
)

func kittiwake(t testing.TB) *cue.Shoot {
	t.Helper()
	s, problems := files.Load("kittiwake", testdata.Kittiwake())
	if s == nil {
		t.Fatal(problems)
	}
	return s
}

// Every cue of the example shoot, reached by stepping forward, by stepping back
// out of the dark, and by interrupting other fades, settles on the same bytes.
func TestKittiwakeComesBackTheSame(t *testing.T) {
	s := kittiwake(t)
	names := s.CueNames()
	settled := func(order []string, gap float64) map[string][][fixtures.UniverseSize]byte {
		var b strings.Builder
		at := 0.0
		for _, n := range order {
			// Begin another fade and a dark first, when there is little time.
			if gap > 0 {
				fmt.Fprintf(&b, "%gs go %q\n%gs dark\n", at, names[0], at+gap)
			}
			fmt.Fprintf(&b, "%gs go %q\n", at+2*gap, n)
			at += 12
		}
		last := map[string][][fixtures.UniverseSize]byte{}
		_, err := operate.Trace(s, program(t, s, b.String()), 0, func(f *operate.Frame) error {
			if f.Status.Motion == cue.Settled {
				last[f.Cue] = slices.Clone(f.Frames)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return last
	}
	back := slices.Clone(names)
	slices.Reverse(back)
	want := settled(names, 0)
	for _, other := range []map[string][][fixtures.UniverseSize]byte{settled(back, 0), settled(names, 0.4), settled(back, 1.3)} {
		for _, n := range names {
			if want[n] == nil || !slices.Equal(want[n], other[n]) {
				t.Errorf("%q settles on other bytes by another way", n)
			}
		}
	}
}
