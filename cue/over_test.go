package cue

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// sameLight compares lights to the last bit, as text, because NaN is not itself.
func sameLight(a, b *Light) bool { return fmt.Sprintf("%x %v", *a, *a) == fmt.Sprintf("%x %v", *b, *b) }

func hasErrors(faults []fixtures.Fault) bool {
	return slices.ContainsFunc(faults, func(f fixtures.Fault) bool { return !f.Warning })
}

func drawOver(t *rapid.T, s *Shoot) *Over {
	over := &Over{Trims: map[int]Entry{}}
	for i := range s.Looks {
		if rapid.Bool().Draw(t, "laid by hand") {
			over.Looks = append(over.Looks, i)
		}
	}
	for i := range s.Rig.Sources {
		if rapid.Bool().Draw(t, "trimmed") {
			over.Trims[i] = drawEntry(t, i)
		}
	}
	return over
}

// Nothing laid over is the cue itself; the same over is the same light; and what
// was resolved is never touched.
func TestComposeIsPure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		s.Resolve(r)
		before := fmt.Sprintf("%v", s.Resolved)
		i := rapid.IntRange(0, len(s.Cues)-1).Draw(t, "cue")
		for _, none := range []*Over{nil, {}, {Trims: map[int]Entry{}}} {
			got, said := s.Compose(r, i, none)
			if len(said) > 0 || fmt.Sprint(*got) != fmt.Sprint(s.Resolved[i]) {
				t.Fatalf("nothing laid over cue %d: %q\n%v\nwant\n%v", i, said, *got, s.Resolved[i])
			}
			got.Light[0].Level = "touched"
		}
		over := drawOver(t, s)
		a, said := s.Compose(r, i, over)
		b, saidToo := s.Compose(r, i, over)
		if fmt.Sprint(*a, said) != fmt.Sprint(*b, saidToo) {
			t.Fatalf("%v\nthen\n%v", *a, *b)
		}
		if after := fmt.Sprintf("%v", s.Resolved); after != before {
			t.Fatal("composing touched what was resolved")
		}
	})
}

// A look laid on by hand gives what the same look gives that is written, with the
// exceptions that hold for the cue.
func TestALookByHandIsALookWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		i := rapid.IntRange(0, len(s.Cues)-1).Draw(t, "cue")
		over := drawOver(t, s)
		over.Trims = nil
		written := Cue{Name: "written", From: s.Cues[i].Name}
		for _, l := range over.Looks {
			written.Looks = append(written.Looks, s.Looks[l].Name)
		}
		s.Cues = append(s.Cues, written)
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		wrong := hasErrors(s.Resolve(r))
		got, _ := s.Compose(r, i, over)
		for j := range got.Light {
			if wrong && s.Resolved[len(s.Cues)-1].Light[j].Level == "off" && got.Light[j].Level != "off" {
				continue // written, it is refused; by hand it leaves the light alone
			}
			if want := &s.Resolved[len(s.Cues)-1].Light[j]; !sameLight(&got.Light[j], want) {
				t.Fatalf("source %d:\n%v\nwritten:\n%v", j, got.Light[j], *want)
			}
		}
	})
}

// What is kept plays what was played: the trims written into the cue give the
// same light to the last bit.
func TestKeptTrimsPlayTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		s.Resolve(r)
		i := rapid.IntRange(0, len(s.Cues)-1).Draw(t, "cue")
		over := drawOver(t, s)
		over.Looks = nil
		played, _ := s.Compose(r, i, over)
		own := maps.Clone(s.Cues[i].Light)
		for j, e := range s.Entries(r, i, over) {
			was := own[j]
			if e.Level != nil {
				was.Level, was.Change = e.Level, nil
			}
			if e.Change != nil { // only over what is off here, where it changes nothing
				was.Change = e.Change
			}
			if e.Colour != nil {
				was.Colour = e.Colour
			}
			own[j] = was
		}
		s.Cues[i].Light = own
		wrong := hasErrors(s.Resolve(r))
		for j := range played.Light {
			got, want := &s.Resolved[i].Light[j], &played.Light[j]
			if wrong && got.Level == "off" && want.Level != "off" {
				continue // written, it is refused; by hand it leaves the light alone
			}
			if got.Asked != want.Asked || got.Level != want.Level || got.Colour != want.Colour {
				t.Fatalf("source %d, kept: %+v\nplayed: %+v\ntrim %+v", j, got, want, over.Trims[j])
			}
		}
	})
}

// A trim that changes only the colour holds the light, as near as its level is
// printed; what it cannot hold it says.
func TestAColourTrimHoldsTheLight(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey: lit("50 %", ""), testPanel: lit("300 lx", "3200 K"), testStrip: lit("20 %", "5600 K"),
	}})
	resolve(t, s)
	r := renderer(t, s)
	got, said := s.Compose(r, 0, &Over{Trims: map[int]Entry{testPanel: lit("", "5000 K"), testStrip: lit("", "#ff8080")}})
	if len(said) != 1 || !strings.Contains(said[0], `"panel" cannot make 5000 K`) { // its straight line misses the whites
		t.Errorf("says %q", said)
	}
	if l := &got.Light[testPanel]; l.Level != "300 lx" || !near(l.Lux, 300) || l.Colour != "5000 K" {
		t.Errorf("the panel: %+v", l)
	}
	was, is := s.Resolved[0].Light[testStrip].Asked.Y, got.Light[testStrip].Asked.Y
	most := r.Reach(testStrip, hue("#ff8080").Resolve(colour.White{})).MaxY
	if math.Abs(is-was) > 0.5e-4*most { // percent are printed to a hundredth
		t.Errorf("the strip: Y %v, was %v", is, was)
	}
	got, said = s.Compose(r, 0, &Over{Trims: map[int]Entry{testStrip: {Level: level("90 %")}}})
	if len(said) > 0 || !near(got.Light[testStrip].Asked.Y, 0.9*r.Reach(testStrip, noon).MaxY) {
		t.Errorf("%q, Y %v", said, got.Light[testStrip].Asked.Y)
	}
	_, said = s.Compose(r, 0, &Over{Trims: map[int]Entry{testStrip: lit("350 lx", "#2020ff")}})
	if joined := strings.Join(said, "; "); !strings.Contains(joined, `"strip" gives at most`) || !strings.Contains(joined, "stops short") {
		t.Errorf("350 lx of blue: says %q", said)
	}
	s.Cues[0].Light[testStrip] = lit("90 %", "5600 K")
	resolve(t, s)
	got, said = s.Compose(r, 0, &Over{Trims: map[int]Entry{testStrip: lit("", "#2020ff")}})
	if joined := strings.Join(said, "; "); !strings.Contains(joined, `"strip" at #2020ff is`) || !strings.Contains(joined, "stops short") {
		t.Errorf("blue as bright as white: says %q", said)
	}
	if got.Light[testStrip].Level != "100 %" {
		t.Errorf("it comes to %q", got.Light[testStrip].Level)
	}
}

// Levels against the key go with a trim of the key.
func TestLevelsFollowATrimmedKey(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{testKey: lit("80 %", ""), testPanel: lit("key -2 stops", "4000 K")}})
	resolve(t, s)
	got, _ := s.Compose(renderer(t, s), 0, &Over{Trims: map[int]Entry{testKey: lit("40 %", "")}})
	if l := got.Light[testPanel]; !near(l.Lux, 200) || !near(l.KeyStops, -2) {
		t.Errorf("the panel has %v lx, %v stops; want a quarter of 800", l.Lux, l.KeyStops)
	}
}

// A trim over a ramp moves every point; a colour alone holds the mean of it.
func TestTrimsOverARamp(t *testing.T) {
	s := stripShoot(
		Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", ""), testStrip: ramped("20 %", "5600 K", point(0, "10 %", ""), point(1, "40 %", ""))}},
		Cue{Name: "b", From: "a"},
	)
	resolve(t, s)
	r := renderer(t, s)
	was := s.Resolved[1].Light[testStrip]
	for _, c := range []struct {
		name string
		trim Entry
		by   float64
	}{
		{"a stop down", Entry{Change: change(-1)}, 0.5},
		{"red", Entry{Colour: hue("#ff8080")}, 1},
		{"red, a stop down", Entry{Colour: hue("#ff8080"), Change: change(-1)}, 0.5},
	} {
		over := &Over{Trims: map[int]Entry{testStrip: c.trim}}
		got, said := s.Compose(r, 1, over)
		l := got.Light[testStrip]
		// A change of level is printed to a hundredth of a stop at least.
		if off := math.Abs(math.Log2(l.Asked.Y / (was.Asked.Y * c.by))); len(said) > 0 || len(l.Cells) != testCells || off > 0.0051 {
			t.Errorf("%s: %q, %d cells, %.4f stop off", c.name, said, len(l.Cells), off)
		}
		s.Cues[1].Light = s.Entries(r, 1, over)
		resolve(t, s)
		if kept := &s.Resolved[1].Light[testStrip]; !sameLight(kept, &l) {
			t.Errorf("%s, kept: %v\nplayed: %v", c.name, *kept, l)
		}
		s.Cues[1].Light = nil
		resolve(t, s)
	}
}

// What cannot be told leaves a source its light, and says why.
func TestWhatCannotBeToldStaysLit(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey: lit("50 %", ""), testPanel: lit("key -2 stops", "4000 K"), testStrip: lit("20 %", ""),
	}})
	s.Rig.Sources[testStrip].Full = 0
	s.Looks = []Look{{Name: "balance", Light: map[int]Entry{testStrip: lit("key -3 stops", "")}}}
	resolve(t, s)
	r := renderer(t, s)
	for _, c := range []struct {
		name   string
		over   Over
		source int
		says   string
	}{
		{"lux without a reading", Over{Trims: map[int]Entry{testStrip: lit("300 lx", "")}}, testStrip, `needs a meter reading of "strip"`},
		{"a look against the key", Over{Looks: []int{0}}, testStrip, `needs a meter reading of "strip"`},
		{"the key switched off", Over{Trims: map[int]Entry{testKey: lit("off", "")}}, testPanel, `the key "key" is off`},
		{"the key against itself", Over{Trims: map[int]Entry{testKey: lit("key -1 stop", "")}}, testKey, `"key" is the key itself`},
	} {
		got, said := s.Compose(r, 0, &c.over)
		if l := got.Light[c.source]; l.Asked != s.Resolved[0].Light[c.source].Asked {
			t.Errorf("%s: the light goes to %+v", c.name, l)
		}
		if all := strings.Join(said, "; "); !strings.Contains(all, c.says) {
			t.Errorf("%s: says %q", c.name, all)
		}
	}
}
