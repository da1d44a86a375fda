package plan

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

func sheetOf(t tb, s *cue.Shoot, opt SheetOptions) *Sheet {
	t.Helper()
	out, err := NewSheet(s, opt)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return out
}

// The page of the bow at dusk, held against what the shoot resolves to.
func TestSheetOfACue(t *testing.T) {
	s := kittiwake(t)
	out := sheetOf(t, s, SheetOptions{})
	if len(out.Cues) != len(s.Cues) || len(out.Sources) != len(s.Rig.Sources) || len(out.Cards) != len(s.Cards) {
		t.Fatalf("%d cues, %d sources, %d cards", len(out.Cues), len(out.Sources), len(out.Cards))
	}
	c := &out.Cues[1]
	if c.Slate != "A-dusk" || c.Look != "from bow, look dusk" || c.Azimuth != "35°" || c.Camera != "f/16, 1/5 s, ISO 400" || c.Timing != "fade 2.5 s" {
		t.Errorf("%+v", c)
	}
	if !slices.Equal(c.Dark, []string{"keel glow"}) {
		t.Errorf("dark: %q", c.Dark)
	}
	if !slices.Equal(c.Hands, s.Hands(&s.Resolved[0], &s.Resolved[1])) {
		t.Errorf("by hand: %q", c.Hands)
	}
	res := &s.Resolved[1]
	for i := range c.Light {
		l := &c.Light[i]
		r := &res.Light[l.Source]
		if l.Lux != Lux(r.Lux) {
			t.Errorf("%s: %q, %g lx", l.Name, l.Lux, r.Lux)
		}
		switch {
		case l.Source == s.Key():
			if l.Stops != "key" {
				t.Errorf("the key is %q", l.Stops)
			}
		case l.Stops != SignedStops(r.KeyStops):
			t.Errorf("%s: %q, %g stops", l.Name, l.Stops, r.KeyStops)
		}
		if l.Hand != (l.Name == "torch") {
			t.Errorf("%s by hand: %v", l.Name, l.Hand)
		}
		if l.Name == "horizon" && (l.Colour.Kelvin != "" || !strings.HasPrefix(l.Colour.Note, "ramp #ff6a2a")) {
			t.Errorf("the ramp: %+v", l.Colour)
		}
		if l.Name == "left stroke" && (l.Colour.Kelvin != "3600 K" || l.Timing == "") {
			t.Errorf("the left stroke: %+v %q", l.Colour, l.Timing)
		}
	}
	if got := out.Cards[0].In; !slices.Equal(got, []string{"A", "A-dusk", "B", "C", "F-moonlight", "G"}) {
		t.Errorf("keel black stands in %q", got)
	}
	if len(out.Cautions) == 0 || out.Power == nil || len(out.Full.Sources) == 0 {
		t.Error("parts are missing")
	}
}

// Slots on the sheet are those that give the light: read back, they are within the
// still rule's bounds of what was asked.
func TestSheetSlotsGiveTheLight(t *testing.T) {
	s := kittiwake(t)
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range sheetOf(t, s, SheetOptions{}).Cues {
		frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
		for _, u := range c.Slots {
			n := slices.Index(r.Universes(), u.Universe)
			for i, v := range u.Values {
				frames[n][u.Address-1+i] = byte(v)
			}
		}
		read := make([]colour.XYZ, len(s.Rig.Sources))
		r.Read(frames, read)
		for _, l := range c.Light {
			if l.Hand || l.Name == "keel glow" || l.Name == "horizon" {
				continue // 8-bit lights deep down are bound to codes
			}
			asked := s.Resolved[c.Cue].Light[l.Source].Asked
			if off := math.Abs(math.Log2(read[l.Source].Y / asked.Y)); off > 0.1 {
				t.Errorf("%s, %s: %g stops off", c.Name, l.Name, off)
			}
		}
	}
}

// A cue as it was played stands in place of the written one.
func TestSheetAsShot(t *testing.T) {
	s := kittiwake(t)
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	shot := s.Resolved[0]
	shot.Light = slices.Clone(shot.Light)
	light := shot.Light[2].Asked
	light.X, light.Y, light.Z = light.X/2, light.Y/2, light.Z/2
	s.Relit(r, &shot, 2, light, nil)
	played := make([]*cue.Resolved, len(s.Cues))
	played[0] = &shot
	was, is := sheetOf(t, s, SheetOptions{}), sheetOf(t, s, SheetOptions{Light: played})
	find := func(o *Sheet) SheetLight {
		for _, l := range o.Cues[0].Light {
			if l.Source == 2 {
				return l
			}
		}
		t.Fatal("no such light")
		return SheetLight{}
	}
	if a, b := find(was), find(is); a.Stops != "-1 stop" || b.Stops != "-2 stops" {
		t.Errorf("%q as written, %q as shot", a.Stops, b.Stops)
	}
	if s.Resolved[0].Light[2].Asked == shot.Light[2].Asked {
		t.Error("the shoot itself was changed")
	}
}

func TestLightInShort(t *testing.T) {
	s := kittiwake(t)
	if got := LightInShort(s, &s.Resolved[0]); got != "key sky, horizon -2, left stroke -1, right stroke -1.7, fill -3 stops" {
		t.Errorf("%q", got)
	}
	dark := cue.Resolved{Light: make([]cue.Light, len(s.Rig.Sources))}
	if got := LightInShort(s, &dark); got != "no light" {
		t.Errorf("%q", got)
	}
}

func TestColourOf(t *testing.T) {
	s := kittiwake(t)
	if got := colourOf(s.Camera.White.XY().XYZ(1)); got.Kelvin != "5600 K" || got.Tint != "no tint" {
		t.Errorf("%+v", got)
	}
	if got := colourOf(colour.XYZ{}); got != (SheetColour{}) {
		t.Errorf("no light: %+v", got)
	}
}

func BenchmarkSheet50Cues(b *testing.B) {
	s := kittiwake(b)
	for len(s.Cues) < 50 {
		s.Cues, s.Resolved = append(s.Cues, s.Cues...), append(s.Resolved, s.Resolved...)
	}
	s.Cues, s.Resolved = s.Cues[:50], s.Resolved[:50]
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewSheet(s, SheetOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
