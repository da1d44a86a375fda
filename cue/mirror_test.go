package cue

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// mirrorShoot has a key overhead, a pair of panels left and right that differ in
// reading and make, and a strip behind.
func mirrorShoot(t testing.TB, cues ...Cue) *Shoot {
	s := testShoot(cues...)
	place := func(azimuth, elevation float64, distance string) fixtures.Place {
		p := stand(azimuth, distance)
		p.Elevation = quantity.Degrees{Degrees: elevation}
		return p
	}
	src := s.Rig.Sources
	src[testKey].Place = place(0, 80, "0.55 m")
	src[testPanel].Place = place(100, 20, "0.5 m")
	src[testStrip].Place = place(183, 0, "0.7 m")
	src[testTorch].Place = place(262, 25, "0.52 m")
	src[testTorch].Hand, src[testTorch].Profile = false, emitters("cool and warm", []float64{900, 700}, warm, noon)
	src[testTorch].Universe, src[testTorch].Addresses, src[testTorch].Full = 1, []int{41}, 800
	src[testTorch].Name = "other"
	resolve(t, s)
	return s
}

const testOther = testTorch

func TestPairs(t *testing.T) {
	s := mirrorShoot(t)
	twin, unknown := s.Pairs(nil)
	if !slices.Equal(twin, []int{testKey, testOther, testStrip, testPanel}) || len(unknown) > 0 {
		t.Errorf("from places: %v, unknown %v", twin, unknown)
	}
	s.Rig.Sources[testOther].Place = stand(262, "0.9 m")
	if _, unknown = s.Pairs(nil); !slices.Equal(unknown, []int{testPanel, testOther}) {
		t.Errorf("at another distance: unknown %v", unknown)
	}
	s.Rig.Sources[testPanel].Pair = "other"
	if twin, unknown = s.Pairs(nil); twin[testOther] != testPanel || len(unknown) > 0 {
		t.Errorf("by name: %v, unknown %v", twin, unknown)
	}
}

// Light goes over as lux and chromaticity: the twin's percent are another light.
func TestMirrorCarriesLux(t *testing.T) {
	s := mirrorShoot(t, Cue{
		Name: "beam", Azimuth: at35(),
		Light: map[int]Entry{
			testKey: lit("60 %", ""), testPanel: lit("20 %", "4300 K"), testOther: lit("key -3 stops", "3200 K"), testStrip: lit("20 %", "#ff6a1a"),
		},
		Cards: []CardPlace{{Card: 0, Place: stand(120, "22 cm"), Mark: "tape C"}, {Card: 1, Place: stand(20, "0.3 m"), Out: true}},
	})
	s.Cards = []Card{{Name: "keel black"}, {Name: "bow white"}}
	resolve(t, s)
	r := renderer(t, s)
	from := &s.Resolved[0]
	twin := s.Mirror(r, from)
	if !twin.HasAngle || twin.Azimuth != 325 {
		t.Errorf("the twin of 35° is %v°", twin.Azimuth)
	}
	if len(twin.Cards) != 1 || twin.Cards[0].Place.Azimuth.Degrees != 240 || twin.Cards[0].Mark != "" {
		t.Errorf("cards: %+v", twin.Cards)
	}
	if e := twin.Light[testKey]; e.Level.String() != "60 %" || e.Colour.String() != "white" {
		t.Errorf("the key is %s %s", e.Level, e.Colour)
	}
	s.Cues = append(s.Cues, Cue{Name: "twin", Azimuth: &twin.Azimuth, Light: twin.Light, Cards: twin.Cards})
	resolve(t, s)
	is := &s.Resolved[1]
	for a, b := range map[int]int{testKey: testKey, testPanel: testOther, testOther: testPanel, testStrip: testStrip} {
		was, now := &from.Light[a], &is.Light[b]
		if math.Abs(now.Lux/was.Lux-1) > 0.5e-3 { // lux are written in four digits
			t.Errorf("source %d gives %v lx, its twin %d %v", a, was.Lux, b, now.Lux)
		}
		if d := was.Aim.UV().Distance(now.Aim.UV()); d > colour.Step && len(twin.Short) == 0 {
			t.Errorf("source %d and its twin differ by Δu'v' %v, which is not told", a, d)
		}
	}
}

func TestMirrorTellsWhatItCannot(t *testing.T) {
	s := mirrorShoot(t, Cue{Name: "beam", Light: map[int]Entry{
		testKey: lit("60 %", ""), testPanel: lit("100 %", "6300 K"),
	}})
	twin := s.Mirror(renderer(t, s), &s.Resolved[0])
	all := strings.Join(twin.Short, "\n")
	for _, want := range []string{`"other" is`, `short of the light of "panel"`, `"other" cannot make the colour of "panel"`} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in\n%s", want, all)
		}
	}
	s.Rig.Sources[testOther].Full = 0
	twin = s.Mirror(renderer(t, s), &s.Resolved[0])
	if all := strings.Join(twin.Short, "\n"); !strings.Contains(all, "measure both") {
		t.Errorf("no reading: %s", all)
	}
	s.Rig.Sources[testPanel].Place = fixtures.Place{}
	twin = s.Mirror(renderer(t, s), &s.Resolved[0])
	if all := strings.Join(twin.Short, "\n"); !strings.Contains(all, `"panel" has no twin that is known`) {
		t.Errorf("no place: %s", all)
	}
}

// A strip that lies across is turned end for end, one that stands is not.
func TestMirrorTurnsARamp(t *testing.T) {
	s := stripShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey: lit("50 %", ""), testStrip: ramped("20 %", "5600 K", point(0, "10 %", ""), point(0.5, "off", ""), point(1, "40 %", "3200 K")),
	}})
	s.Rig.Sources[testStrip].Place = stand(180, "0.7 m")
	for _, upright := range []bool{false, true} {
		s.Rig.Sources[testStrip].Width, s.Rig.Sources[testStrip].Height = quantity.Length{Metres: 0.5}, quantity.Length{Metres: 0.02}
		if upright {
			s.Rig.Sources[testStrip].Width, s.Rig.Sources[testStrip].Height = s.Rig.Sources[testStrip].Height, s.Rig.Sources[testStrip].Width
		}
		s.Cues = s.Cues[:1]
		resolve(t, s)
		twin := s.Mirror(renderer(t, s), &s.Resolved[0])
		s.Cues = append(s.Cues, Cue{Name: "twin", Light: twin.Light})
		resolve(t, s)
		was, is := slices.Clone(s.Resolved[0].Light[testStrip].Cells), s.Resolved[1].Light[testStrip].Cells
		if !upright {
			slices.Reverse(was)
		}
		for c := range was {
			if math.Abs(is[c].Y-was[c].Y) > 1e-3*max(was[c].Y, 1e-3) {
				t.Errorf("upright %v, cell %d: Y %v, want %v", upright, c, is[c].Y, was[c].Y)
			}
		}
	}
}

// The mirror image of a mirror image is the place itself.
func TestMirrorTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-360, 360).Draw(t, "azimuth")
		b := mirrorAngle(mirrorAngle(a))
		if math.Abs(Turn(a, b)) > 1e-9 || math.Abs(Turn(mirrorAngle(a), -a)) > 1e-9 {
			t.Fatalf("%v is mirrored to %v and back to %v", a, mirrorAngle(a), b)
		}
	})
}

func TestPairsAreChecked(t *testing.T) {
	for _, c := range []struct{ panel, strip, want string }{
		{"stripe", "", `no source is called so; did you mean "strip"?`},
		{"strip", "key", `that one's is "key"`},
		{"torch", "torch", "are both paired with"},
	} {
		s := testShoot()
		s.Rig.Sources[testPanel].Pair, s.Rig.Sources[testStrip].Pair = c.panel, c.strip
		var all []string
		for _, f := range s.Resolve(renderer(t, s)) {
			all = append(all, f.String())
		}
		if joined := strings.Join(all, "\n"); !strings.Contains(joined, c.want) {
			t.Errorf("%q, %q: %s", c.panel, c.strip, joined)
		}
	}
}
