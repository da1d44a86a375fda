package cue

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// The chromaticity of 100 % is reached with the most light there is of it, and
// every way of writing a level comes to the light it says.
func TestLevelsBecomeLight(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey:   lit("50 %", ""),
		testPanel: lit("key -2 stops", "4000 K"),
		testStrip: lit("-1.5 stops", "#ff6a1a"),
		testTorch: lit("100 lx", "3200 K"),
	}})
	resolve(t, s)
	r := renderer(t, s)
	light := s.Resolved[0].Light
	strip := r.Reach(testStrip, hue("#ff6a1a").Resolve(colour.White{})).MaxY
	for _, c := range []struct {
		source   int
		y, lux   float64
		keyStops float64
	}{
		{testKey, 0.5, 1000, 0}, // one white emitter: the most is 1 and full is 2000 lx
		{testPanel, 250.0 / 1600, 250, -2},
		{testStrip, strip * math.Exp2(-1.5), 400 * strip * math.Exp2(-1.5), math.Log2(400 * strip * math.Exp2(-1.5) / 1000)},
		{testTorch, 100.0 / 250, 100, math.Log2(0.1)},
	} {
		l := light[c.source]
		if !near(l.Asked.Y, c.y) || !near(l.Lux, c.lux) || !near(l.KeyStops, c.keyStops) {
			t.Errorf("source %d: Y %v, %v lx, %v stops; want %v, %v, %v", c.source, l.Asked.Y, l.Lux, l.KeyStops, c.y, c.lux, c.keyStops)
		}
	}
	want := hue("4000 K").Resolve(colour.White{})
	got, ok := light[testPanel].Asked.XY()
	if !ok || colour.Steps(got, want) > 1e-9 {
		t.Errorf("the panel is asked for %v, want %v as written, not as it can be made", got, want)
	}
	if light[testPanel].DeltaUV <= 0 || colour.Steps(light[testPanel].Aim, want) <= 0 {
		t.Error("a two-colour panel makes 4000 K exactly, which its straight line does not")
	}
}

func TestColourLeftOutIsTheCamerasWhite(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{testStrip: lit("50 %", "")}})
	s.Camera.White = colour.White{Kelvin: 4300, Duv: 0.004}
	resolve(t, s)
	l := s.Resolved[0].Light[testStrip]
	got, _ := l.Asked.XY()
	if colour.Steps(got, s.Camera.White.XY()) > 1e-9 || l.Colour != "white" {
		t.Errorf("%q is %v, want %v", l.Colour, got, s.Camera.White.XY())
	}
}

// A source nobody names is off, and "off" switches an inherited one off.
func TestOff(t *testing.T) {
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", ""), testPanel: lit("10 %", "4000 K")}},
		Cue{Name: "b", From: "a", Light: map[int]Entry{testPanel: lit("off", "")}},
	)
	resolve(t, s)
	for i, l := range [][2]Light{
		{s.Resolved[0].Light[testStrip], s.Resolved[0].Light[testTorch]},
		{s.Resolved[1].Light[testStrip], s.Resolved[1].Light[testPanel]},
	} {
		for _, l := range l {
			if l.Asked != (colour.XYZ{}) || l.Level != "off" || l.Lux != 0 || !math.IsInf(l.KeyStops, -1) {
				t.Errorf("cue %d: %+v, want off", i, l)
			}
		}
	}
}

// The order of the design, section 4: the cue it comes from with its looks, its
// own looks in order, its own entries key by key.
func TestLayers(t *testing.T) {
	s := testShoot(
		Cue{
			Name: "a", Azimuth: at35(), Looks: []string{"cold"}, Note: "not inherited",
			Light: map[int]Entry{testKey: lit("50 %", ""), testPanel: lit("20 %", "3000 K"), testStrip: lit("30 %", "#ff0000")},
		},
		Cue{
			Name: "b", From: "a", Looks: []string{"warm", "low"},
			Light: map[int]Entry{testStrip: {Colour: hue("#00ff00")}},
		},
	)
	s.Looks = []Look{
		{Name: "cold", Light: map[int]Entry{testTorch: lit("40 %", "6000 K"), testPanel: lit("90 %", "6500 K")}},
		{Name: "warm", Light: map[int]Entry{testPanel: lit("60 %", "2700 K"), testTorch: lit("", "2500 K")}},
		{Name: "low", Light: map[int]Entry{testPanel: lit("10 %", "")}},
	}
	resolve(t, s)
	a, b := &s.Resolved[0], &s.Resolved[1]
	type want struct{ level, colour string }
	check := func(r *Resolved, source int, w want) {
		t.Helper()
		if l := r.Light[source]; l.Level != w.level || l.Colour != w.colour {
			t.Errorf("%s, source %d: %q %q, want %q %q", r.Name, source, l.Level, l.Colour, w.level, w.colour)
		}
	}
	check(a, testPanel, want{"20 %", "3000 K"}) // own entries over the look
	check(a, testTorch, want{"40 %", "6000 K"}) // the look where nothing is said
	check(b, testKey, want{"50 %", "white"})
	check(b, testPanel, want{"10 %", "2700 K"}) // the second look's level, the first one's colour
	check(b, testTorch, want{"40 %", "2500 K"}) // a hand light makes as much of any colour
	check(b, testStrip, want{"30 %", "#00ff00"})
	if b.Azimuth != 35 || !b.HasAngle || b.Name != "b" {
		t.Errorf("b: %q at %v", b.Name, b.Azimuth)
	}
}

// A look that changes only the colour holds the luminance; a cue's own entry
// goes on to mean its share of the most at the new colour.
func TestLookHoldsTheLight(t *testing.T) {
	base := Cue{Name: "a", Light: map[int]Entry{testStrip: lit("20 %", "5600 K")}}
	s := testShoot(base,
		Cue{Name: "look", From: "a", Looks: []string{"red"}},
		Cue{Name: "own", From: "a", Light: map[int]Entry{testStrip: lit("", "#ff8080")}},
		Cue{Name: "after", From: "look", Light: map[int]Entry{testStrip: lit("30 %", "")}},
	)
	s.Looks = []Look{{Name: "red", Light: map[int]Entry{testStrip: lit("", "#ff8080")}}}
	resolve(t, s)
	r := renderer(t, s)
	most := r.Reach(testStrip, hue("#ff8080").Resolve(colour.White{})).MaxY
	before := s.Resolved[0].Light[testStrip].Asked.Y
	held := s.Resolved[1].Light[testStrip]
	if !near(held.Asked.Y, before) {
		t.Errorf("the look gives Y %v, held would be %v", held.Asked.Y, before)
	}
	shown, err := ParseLevel(held.Level)
	if err != nil || math.Abs(shown.Value()-before/most) > 0.5e-4 { // printed to a hundredth of a percent
		t.Errorf("the operator reads %q, the light is %.4f of the most", held.Level, before/most)
	}
	if own := s.Resolved[2].Light[testStrip]; !near(own.Asked.Y, 0.2*most) || own.Level != "20 %" {
		t.Errorf("own colour: Y %v as %q, want %v", own.Asked.Y, own.Level, 0.2*most)
	}
	if after := s.Resolved[3].Light[testStrip]; !near(after.Asked.Y, 0.3*most) {
		t.Errorf("a level after the look counts at the look's colour: Y %v, want %v", after.Asked.Y, 0.3*most)
	}
}

func TestLookThatCannotHold(t *testing.T) {
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testStrip: lit("100 %", "5600 K")}},
		Cue{Name: "b", From: "a", Looks: []string{"blue"}},
		Cue{Name: "c", From: "a", Looks: []string{"blue"}},
	)
	place := fixtures.Origin{File: "cues.toml", Line: 7, Col: 12}
	s.Looks = []Look{{Name: "blue", Light: map[int]Entry{testStrip: {Colour: hue("xy 0.15 0.08"), ColourAt: place}}}}
	faults := resolve(t, s)
	r := renderer(t, s)
	most := r.Reach(testStrip, colour.XY{X: 0.15, Y: 0.08}).MaxY
	got := s.Resolved[1].Light[testStrip]
	if got.Asked.Y != most {
		t.Errorf("Y %v, clipped would be %v", got.Asked.Y, most)
	}
	if len(faults) != 1 || faults[0].Origin != place || !faults[0].Warning {
		t.Fatalf("%v, want one warning at the look's colour", faults)
	}
	short := tenths(math.Log2(s.Resolved[0].Light[testStrip].Asked.Y / most))
	if !strings.Contains(faults[0].What, short+" short") || !strings.Contains(faults[0].What, `in cue "b" and another`) {
		t.Errorf("%q does not say %s short, in both cues", faults[0].What, short)
	}
}

// Changes of a level add up over the layers; a level begins anew.
func TestChange(t *testing.T) {
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testKey: lit("80 %", ""), testPanel: lit("key -1 stop", "6000 K"), testTorch: lit("100 lx", "")}},
		Cue{Name: "b", From: "a", Looks: []string{"low", "low"}},
		Cue{Name: "c", From: "b", Light: map[int]Entry{testKey: lit("80 %", "")}},
	)
	s.Looks = []Look{{Name: "low", Light: map[int]Entry{
		testKey: {Change: change(-1)}, testPanel: {Change: change(-0.5)}, testTorch: {Change: change(-1)}, testStrip: {Change: change(-1)},
	}}}
	resolve(t, s)
	b := s.Resolved[1].Light
	for _, c := range []struct {
		source int
		level  string
		lux    float64
	}{
		{testKey, "20 %", 400},
		{testPanel, "key -2 stops", 100}, // a stop below the key, and another of its own
		{testTorch, "25 lx", 25},
		{testStrip, "off", 0},
	} {
		if l := b[c.source]; l.Level != c.level || !near(l.Lux, c.lux) {
			t.Errorf("source %d: %q, %v lx; want %q, %v lx", c.source, l.Level, l.Lux, c.level, c.lux)
		}
	}
	if l := s.Resolved[2].Light; l[testKey].Level != "80 %" || !near(l[testPanel].KeyStops, -2) {
		t.Errorf("after a new level: %q, panel %v stops", l[testKey].Level, l[testPanel].KeyStops)
	}
}

// Levels against the key follow the key, cue by cue.
func TestKeyIsThatOfTheCue(t *testing.T) {
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testKey: lit("80 %", ""), testPanel: lit("key -1 stop", "")}},
		Cue{Name: "b", From: "a", Light: map[int]Entry{testKey: lit("-2 stops", "")}},
	)
	resolve(t, s)
	for i, lux := range []float64{800, 250} {
		if l := s.Resolved[i].Light[testPanel]; !near(l.Lux, lux) || !near(l.KeyStops, -1) {
			t.Errorf("cue %d: %v lx, %v stops; want %v, -1", i, l.Lux, l.KeyStops, lux)
		}
	}
}

func TestTiming(t *testing.T) {
	ease, straight := fade.Ease, fade.Straight
	s := testShoot(
		Cue{Name: "default", Light: map[int]Entry{testKey: lit("80 %", "")}},
		Cue{
			Name: "a", Timing: Timing{Fade: seconds(3), Curve: &ease},
			Light: map[int]Entry{testKey: lit("80 %", ""), testPanel: {Level: level("10 %"), Timing: Timing{Delay: seconds(0.4), Fade: seconds(5)}}},
		},
		Cue{Name: "b", From: "a", Timing: Timing{Fade: seconds(0), Path: &straight}},
	)
	resolve(t, s)
	check := func(cue, source int, seconds, delay float64, curve fade.Curve, path fade.Path) {
		t.Helper()
		l := s.Resolved[cue].Light[source]
		if l.Fade != seconds || l.Delay != delay || l.Curve != curve || l.Path != path {
			t.Errorf("cue %d, source %d: %v %v %v %v", cue, source, l.Fade, l.Delay, l.Curve, l.Path)
		}
	}
	check(0, testKey, DefaultFade, 0, fade.Linear, fade.Auto)
	check(0, testStrip, DefaultFade, 0, fade.Linear, fade.Auto) // what is off fades out in the cue's time
	check(1, testKey, 3, 0, fade.Ease, fade.Auto)
	check(1, testPanel, 5, 0.4, fade.Ease, fade.Auto)
	check(2, testKey, 0, 0, fade.Ease, fade.Straight)
	check(2, testPanel, 5, 0.4, fade.Ease, fade.Straight) // a source's own timing is inherited with its light
	if r := s.Resolved[2]; r.Fade != 0 || r.Curve != fade.Ease || r.Path != fade.Straight {
		t.Errorf("the cue's own timing: %v %v %v", r.Fade, r.Curve, r.Path)
	}
}

func TestCardsAndCameraAreInherited(t *testing.T) {
	tape := fixtures.Place{Known: true}
	tape.Azimuth.Degrees, tape.Distance.Metres = 90, 0.4
	other := tape
	other.Azimuth.Degrees = 270
	iso, fps := 800, 24.0
	s := testShoot(
		Cue{Name: "a", Cards: []CardPlace{{Card: 1, Place: tape, Mark: "C"}, {Card: 0, Place: tape}}, Camera: &CameraChange{ISO: &iso}},
		Cue{Name: "b", From: "a", Cards: []CardPlace{{Card: 1, Out: true}, {Card: 0, Mark: "D"}}, Camera: &CameraChange{FPS: &fps}},
		Cue{Name: "c", From: "b", Cards: []CardPlace{{Card: 1, Place: other}}},
	)
	s.Cards = []Card{{Name: "white", Kind: CardWhite}, {Name: "black", Kind: CardBlack}}
	resolve(t, s)
	want := [][]CardPlace{
		{{Card: 0, Place: tape}, {Card: 1, Place: tape, Mark: "C"}},
		{{Card: 0, Place: tape, Mark: "D"}, {Card: 1, Place: tape, Mark: "C", Out: true}},
		{{Card: 0, Place: tape, Mark: "D"}, {Card: 1, Place: other}}, // a mark belongs to its place
	}
	for i, w := range want {
		if got := s.Resolved[i].Cards; !reflect.DeepEqual(got, w) {
			t.Errorf("cue %d: %v\nwant %v", i, got, w)
		}
	}
	if c := s.Resolved[2].Camera; c.ISO == nil || *c.ISO != 800 || c.FPS == nil || *c.FPS != 24 || c.Shutter != nil {
		t.Errorf("camera: %s", c)
	}
}
