package operate_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/fixtures/colour"
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

// A trace gives a ramp by the mean of its cells; the slots hold every one of them.
func TestKittiwakesSunset(t *testing.T) {
	s := kittiwake(t)
	horizon, dusk := s.Rig.Index("horizon"), s.CueIndex("bow at dusk")
	want := s.Resolved[dusk].Light[horizon]
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	cells := make([]colour.XYZ, r.Layout(horizon).Cells)
	if len(want.Cells) != len(cells) {
		t.Fatalf("the horizon of %q has %d cells of light, %d of the strip", s.Resolved[dusk].Name, len(want.Cells), len(cells))
	}
	var last operate.Frame
	if _, err := operate.Trace(s, program(t, s, `0s go "bow at dusk"`), 0, func(f *operate.Frame) error {
		last = *f
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	asked, reached := last.Asked[horizon], last.Reached[horizon]
	if xy, _ := want.Asked.XY(); asked.Y != want.Asked.Y || asked.XY != xy {
		t.Errorf("asked for %+v, the cue for %v", asked, want.Asked)
	}
	r.ReadCells(horizon, last.Frames, cells)
	mean := fixtures.Mean(cells)
	if xy, _ := mean.XY(); math.Abs(reached.Y-mean.Y) > 1e-12 || colour.Steps(reached.XY, xy) > 1e-9 {
		t.Errorf("reaches %+v, its cells give %v", reached, mean)
	}
	// Eight bits: the still rule holds a cell's luminance within 5 %.
	for c, light := range cells {
		if asked := want.Cells[c]; math.Abs(light.Y/asked.Y-1) > 0.05 {
			t.Errorf("cell %d gives Y %v, asked for %v", c, light.Y, asked.Y)
		}
	}
	left, _ := cells[0].XY()
	right, _ := cells[len(cells)-1].XY()
	if !(cells[0].Y > 2*cells[len(cells)-1].Y) || !(left.X > right.X) {
		t.Errorf("the sun went down at camera left, but the band goes from %v to %v", cells[0], cells[len(cells)-1])
	}
}
