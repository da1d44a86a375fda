package cue

import (
	"fmt"
	"strings"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
)

func place(line int) fixtures.Origin { return fixtures.Origin{File: "cues.toml", Line: line, Col: 3} }

// expect resolves a shoot and compares places and the heart of the messages.
func expect(t *testing.T, s *Shoot, want ...string) {
	t.Helper()
	var got []string
	for _, f := range s.Resolve(renderer(t, s)) {
		kind := "error"
		if f.Warning {
			kind = "warning"
		}
		if f.Cure == "" {
			t.Errorf("no cure: %s", f)
		}
		got = append(got, fmt.Sprintf("%d %s %s", f.Line, kind, f.What))
	}
	if len(got) != len(want) {
		t.Fatalf("found\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for i := range got {
		if !strings.Contains(got[i], want[i]) {
			t.Errorf("found %s\nwant  %s", got[i], want[i])
		}
	}
}

func TestCycles(t *testing.T) {
	s := testShoot(
		Cue{Name: "dusk", From: "bow", FromAt: place(1)},
		Cue{Name: "bow", From: "dusk", FromAt: place(2)},
		Cue{Name: "self", From: "self", FromAt: place(3)},
		Cue{Name: "hangs on", From: "bow", FromAt: place(4), Light: map[int]Entry{testPanel: lit("key -1 stop", "")}},
	)
	expect(t, s,
		`1 error cue "dusk" comes from itself: dusk from bow from dusk`,
		`3 error cue "self" comes from itself: self from self`)
}

// A chain as long as the limit resolves without recursion, and so does a cycle
// of all cues, of which only the beginning is named.
func TestLongChain(t *testing.T) {
	cues := make([]Cue, MaxCues)
	for i := range cues {
		cues[i].Name = fmt.Sprint("c", i)
		if i > 0 {
			cues[i-1].From = cues[i].Name
		}
	}
	cues[len(cues)-1].Light = map[int]Entry{testKey: lit("40 %", "")}
	s := testShoot(cues...)
	resolve(t, s)
	if y := s.Resolved[0].Light[testKey].Asked.Y; !near(y, 0.4) {
		t.Errorf("the end of the chain gives %v", y)
	}
	cues[len(cues)-1].From = "c0"
	faults := s.Resolve(nil)
	if len(faults) != 1 || !strings.HasPrefix(faults[0].What, `cue "c0" comes from itself: c0 from c1 from`) || len(faults[0].What) > 200 {
		t.Errorf("%v", faults)
	}
}

func TestUnknownNames(t *testing.T) {
	s := testShoot(
		Cue{Name: "bow", AngleAt: place(1), Angle: "beem", Looks: []string{"dust"}, LooksAt: []fixtures.Origin{place(2)}},
		Cue{Name: "stern", From: "bwo", FromAt: place(3)},
	)
	s.Angles = []Angle{{Name: "beam", Azimuth: 90}}
	s.Looks = []Look{{Name: "dusk"}}
	s.Sequences = []Sequence{{Name: "q", Steps: []Step{{Origin: place(9), Cue: "starn"}}}}
	for _, f := range s.Resolve(nil) {
		if !strings.Contains(f.Cure, "did you mean") {
			t.Errorf("no nearest name: %s", f)
		}
	}
	expect(t, s,
		`3 error no cue is called "bwo"`,
		`2 error no look is called "dust"`,
		`1 error no angle is called "beem"`,
		`9 error no cue is called "starn"`)
	s.Partial = true // the names may be where the files could not be read
	expect(t, s)
}

// A file full of unknown names is refused in a moment: only so many are compared
// with all the others, and each once.
func TestManyUnknownNames(t *testing.T) {
	cues := make([]Cue, 5000)
	for i := range cues {
		cues[i] = Cue{Name: fmt.Sprint("cue number ", i), From: fmt.Sprint("base number ", i)}
	}
	if n := len(testShoot(cues...).Resolve(nil)); n != 5000 {
		t.Errorf("%d faults, want one a cue", n)
	}
}

func TestKeyFaults(t *testing.T) {
	against := func(l string, line int) Entry { return Entry{Level: level(l), LevelAt: place(line)} }
	s := testShoot(
		Cue{Name: "off", Light: map[int]Entry{testPanel: against("key -1 stop", 1)}},
		Cue{Name: "itself", Light: map[int]Entry{testKey: against("key", 2), testPanel: against("key -1 stop", 3)}},
	)
	expect(t, s,
		`1 error in cue "off", "key -1 stop" counts from the key, but the key "key" is off`,
		`2 error in cue "itself", "key" is the key itself`)

	s = testShoot(Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", ""), testPanel: against("key -1 stop", 1), testTorch: against("20 lx", 2)}})
	s.Rig.Sources[testKey].Full, s.Rig.Sources[testTorch].Full = 0, 0
	expect(t, s,
		`1 error in cue "a", "key -1 stop" needs a meter reading of the key "key", which has none`,
		`2 error in cue "a", "20 lx" needs a meter reading of "torch", which has none`)
	s.Rig.Sources[testKey].Full, s.Rig.Sources[testPanel].Full = 2000, 0
	expect(t, s,
		`1 error in cue "a", "key -1 stop" needs a meter reading of "panel", which has none`,
		`2 error in cue "a", "20 lx" needs a meter reading of "torch", which has none`)

	s = testShoot(Cue{Name: "a", Light: map[int]Entry{testPanel: against("key -1 stop", 1)}})
	s.Rig.Sources[testKey].Role = fixtures.Fill
	expect(t, s, `1 error in cue "a", "key -1 stop" counts from the key, but no source has that role`)
}

func TestBeyondReach(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey:   lit("100 %", ""),
		testTorch: {Level: level("key +1 stop"), LevelAt: place(4)}, // 4000 lx of 250
	}})
	expect(t, s, `4 warning in cue "a", "torch" gives at most 250 lx at white: "key +1 stop" (4000 lx) is clipped, 4.0 stops short`)
	if l := s.Resolved[0].Light[testTorch]; l.Asked.Y != 1 || l.Lux != 250 || l.Level != "key +1 stop" {
		t.Errorf("clipped to Y %v, %v lx, %q", l.Asked.Y, l.Lux, l.Level)
	}
	// What no meter would show is clipped without a word.
	s.Cues[0].Light[testTorch] = lit("255 lx", "")
	expect(t, s)
}

func TestOutOfGamut(t *testing.T) {
	c := func(text string, line int) Entry {
		return Entry{Level: level("50 %"), Colour: hue(text), ColourAt: place(line)}
	}
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testPanel: c("4000 K", 1), testStrip: c("xy 0.1 0.8", 2)}},
		Cue{Name: "b", Light: map[int]Entry{testPanel: c("4200 K", 3), testStrip: c("xy 0.1 0.8", 4)}},
		Cue{Name: "c", Light: map[int]Entry{testPanel: c("#0000ff", 5), testStrip: c("4000 K", 6)}},
	)
	r := renderer(t, s)
	aim := r.Reach(testPanel, hue("4000 K").Resolve(colour.White{}))
	worst, line := aim, 1
	if other := r.Reach(testPanel, hue("4200 K").Resolve(colour.White{})); other.DeltaUV > aim.DeltaUV {
		worst, line = other, 3
	}
	nearest, _ := worst.XY.White()
	expect(t, s,
		// The whites of a panel once, at the worst; the figures are Δu'v' and steps of 0.0011.
		fmt.Sprintf(`%d warning "panel" cannot make 4%d00 K: the nearest is %s, Δu'v' %.4f or %.1f steps away`, line, line-1, nearest, worst.DeltaUV, worst.DeltaUV/0.0011),
		`2 warning "strip" cannot make xy 0.1 0.8: the nearest is xy 0.19`,
		`5 warning "panel" cannot make #0000ff: the nearest is 6500 K`)
}

// Entries that could not be read are no ground for conclusions.
func TestUnclear(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey: {Unclear: true}, testPanel: lit("key -1 stop", ""), testStrip: {Unclear: true, Colour: hue("#ff0000")},
	}})
	expect(t, s)
}

func TestShutterAngleNeedsAFrameRate(t *testing.T) {
	s := testShoot(Cue{Name: "a", Camera: &CameraChange{Origin: place(1), Shutter: shutter("180 deg")}})
	expect(t, s, `1 error in cue "a", the shutter angle 180 deg is no time without a frame rate`)
	s.Camera.FPS = 24
	expect(t, s)
}

func TestDoubleNames(t *testing.T) {
	s := testShoot(Cue{Name: "a", Origin: place(1)}, Cue{Name: "a", Origin: place(5)})
	s.Groups = []Group{{Name: "panel", Origin: place(7)}}
	expect(t, s,
		`5 error a second cue is called "a", the first at cues.toml:1`,
		`7 error a second source or group is called "panel"`)
}
