package files

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"limn/cue"
)

// What a trim plays is what the cue plays once the trim is kept and the files are
// read again: to the bit for a plain light, and for a ramp, whose points are each
// rounded to the user's unit, as near as that unit is written.
func TestKeepPlaysTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := aShoot(t)
		s, r := f.Shoot(), f.Renderer()
		i := rapid.IntRange(0, len(s.Cues)-1).Draw(t, "cue")
		over := &cue.Over{Trims: map[int]cue.Entry{}}
		for range rapid.IntRange(1, 3).Draw(t, "trims") {
			source := rapid.IntRange(0, len(s.Rig.Sources)-1).Draw(t, "source")
			light := &s.Resolved[i].Light[source]
			if light.Asked.Y <= 0 {
				continue
			}
			var e cue.Entry
			if rapid.Bool().Draw(t, "colour") {
				e.Colour = tone(rapid.SampledFrom([]string{"5200 K", "4300 K tint +0.002", "xy 0.41 0.39"}).Draw(t, "to"))
			} else if light.Cells == nil {
				l, err := cue.ParseLevel(light.Level)
				if err != nil {
					t.Fatal(err)
				}
				l = l.Shift(float64(rapid.IntRange(-9, 0).Draw(t, "thirds")) / 3)
				e.Level = &l
			} else {
				e.Change = stops(rapid.SampledFrom([]string{"-1/3 stop", "-1/2 stop", "-1 stop"}).Draw(t, "by"))
			}
			over.Trims[source] = e
		}
		played, _ := s.Compose(r, i, over)
		var edits []Edit
		for source, e := range s.Entries(r, i, over) {
			if e.Level != nil || e.Colour != nil || e.Change != nil {
				edits = append(edits, SetLight{Cue: s.Cues[i].Name, Source: s.Rig.Sources[source].Name, Level: e.Level, Colour: e.Colour, Change: e.Change})
			}
		}
		p, err := f.Plan(edits)
		if err != nil {
			t.Fatal(err)
		}
		kept := &p.Shoot().Resolved[i]
		for k := range kept.Light {
			is, was := &kept.Light[k], &played.Light[k]
			name := s.Rig.Sources[k].Name
			if is.Cells == nil && was.Cells == nil {
				if is.Asked != was.Asked {
					t.Fatalf("%s plays %v, kept it is %v (%s)", name, was.Asked, is.Asked, is.Level)
				}
				continue
			}
			if !slices.EqualFunc(is.Cells, was.Cells, near) || math.Abs(math.Log2(is.Asked.Y/was.Asked.Y)) > nearLight {
				t.Fatalf("%s plays %v, kept it is %v", name, was.Asked, is.Asked)
			}
		}
	})
}
