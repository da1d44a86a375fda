package cue

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

// sequenceShoot has three cues; panel is off in the second, the torch is lit by hand.
func sequenceShoot(t testing.TB) *Shoot {
	t.Helper()
	azimuths := []float64{35, 95, 200}
	s := testShoot(
		Cue{Name: "Bow ¾", Azimuth: &azimuths[0], Light: map[int]Entry{testKey: {Level: level("80 %")}, testPanel: {Level: level("40 %")}, testTorch: {Level: level("50 %")}}},
		Cue{Name: "beam", Azimuth: &azimuths[1], Light: map[int]Entry{testKey: {Level: level("60 %")}}},
		Cue{Name: "stern", Azimuth: &azimuths[2], Light: map[int]Entry{testKey: {Level: level("60 %")}, testPanel: {Level: level("10 %")}}},
	)
	resolve(t, s)
	return s
}

func expand(t interface{ Fatal(...any) }, s *Shoot, q *Sequence) []Shot {
	shots, err := s.Expand(q)
	if err != nil {
		t.Fatal(err)
	}
	return shots
}

func metres(m ...float64) []quantity.Length {
	out := make([]quantity.Length, len(m))
	for i := range m {
		out[i] = quantity.Length{Metres: m[i]}
	}
	return out
}

// By default hands move least: all of an angle, then frame by frame, every focus in every light.
func TestExpandDefaultOrder(t *testing.T) {
	s := sequenceShoot(t)
	q := &Sequence{Name: "Hafen", By: ByFrame, Steps: []Step{{Cue: "Bow ¾"}, {Cue: "beam"}}}
	q.Pictures = Pictures{EachPass: true, Focus: metres(0.48, 0.5)}
	var got []string
	for _, shot := range expand(t, s, q) {
		got = append(got, shot.Name)
	}
	want := []string{
		"hafen-0001-bow-3-4-p01-key-f001", "hafen-0002-bow-3-4-p02-panel-f001", "hafen-0003-bow-3-4-p03-all-f001",
		"hafen-0004-bow-3-4-p01-key-f002", "hafen-0005-bow-3-4-p02-panel-f002", "hafen-0006-bow-3-4-p03-all-f002",
		"hafen-0007-beam-p01-key-f001", "hafen-0008-beam-p03-all-f001",
		"hafen-0009-beam-p01-key-f002", "hafen-0010-beam-p03-all-f002",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// Passes x focus x angle: the facts of a day, 24 angles with 6 pictures each, are 144 (testdata/photography,
// trn-seq-1: captures = angles x passes).
func TestExpandCounts(t *testing.T) {
	s := sequenceShoot(t)
	q := &Sequence{Name: "day", By: ByFrame}
	for range 24 {
		q.Steps = append(q.Steps, Step{Cue: "stern"})
	}
	q.Pictures = Pictures{EachPass: true, Focus: metres(0.48, 0.5)} // key, panel and all, each twice
	if n := len(expand(t, s, q)); n != 144 {
		t.Errorf("%d pictures, want 144", n)
	}
}

var safeName = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

func TestExpand(t *testing.T) {
	s := sequenceShoot(t)
	rapid.Check(t, func(t *rapid.T) {
		q := &Sequence{Name: rapid.String().Draw(t, "name"), By: ByFrame}
		for range rapid.IntRange(1, 4).Draw(t, "steps") {
			q.Steps = append(q.Steps, Step{Cue: rapid.SampledFrom(s.CueNames()).Draw(t, "cue"), Frames: rapid.IntRange(0, 3).Draw(t, "own frames")})
		}
		q.Pictures = Pictures{
			Frames: rapid.IntRange(0, 3).Draw(t, "frames"), Exposures: rapid.IntRange(0, 2).Draw(t, "exposures"),
			Focus: metres([]float64{0.4, 0.5, 0.6}[:rapid.IntRange(0, 3).Draw(t, "focus")]...),
			Order: rapid.Permutation(DefaultOrder()).Draw(t, "order")[:rapid.IntRange(0, 4).Draw(t, "written")],
		}
		switch rapid.IntRange(0, 2).Draw(t, "passes") {
		case 1:
			q.Pictures.EachPass = true
		case 2:
			q.Pictures.Passes = []int{testPanel, testKey}
		}
		shots := expand(t, s, q)
		// As many as the parts make, counted cue by cue.
		want := 0
		for i, step := range q.Steps {
			lights := 1
			if q.Pictures.HasPasses() {
				lights++
				if step.Cue != "beam" {
					lights++
				}
			}
			want += q.frames(i) * lights * max(len(q.Pictures.Focus), 1) * max(q.Pictures.Exposures, 1)
		}
		if len(shots) != want {
			t.Fatalf("%d pictures, want %d", len(shots), want)
		}
		// In the order asked for: the places are in lexical order, outermost first.
		order := q.Pictures.order()
		key := func(s *Shot) (out []int) {
			for _, word := range order {
				out = append(out, map[string]int{OrderAngle: s.Step, OrderFrame: s.Frame, OrderFocus: s.FocusNo, OrderPass: s.Pass}[word])
			}
			return append(out, s.Exposure)
		}
		for i := range shots {
			shot := &shots[i]
			if i > 0 && slices.Compare(key(&shots[i-1]), key(shot)) >= 0 {
				t.Fatalf("in the order %v, %v comes after %v", order, key(shot), key(&shots[i-1]))
			}
			for _, name := range []string{shot.Name, shot.TakeName(2)} {
				if !safeName.MatchString(name) || filepath.Base(name) != name || len(name) > 120 {
					t.Fatalf("%q is no safe name for a file", name)
				}
			}
			if i > 0 && (shot.Name <= shots[i-1].Name || shot.TakeName(3) <= shots[i-1].TakeName(3)) {
				t.Fatalf("%q does not sort after %q", shot.Name, shots[i-1].Name)
			}
			if shot.Alone >= 0 && (shot.Light != s.Rig.Sources[shot.Alone].Name || !s.lit(shot.Cue, shot.Alone)) {
				t.Fatalf("%+v: a pass of a source that is off", shot)
			}
		}
	})
}

func TestExpandIsBounded(t *testing.T) {
	s := sequenceShoot(t)
	q := &Sequence{Name: "endless", By: ByFrame, Steps: []Step{{Cue: "beam"}}}
	q.Pictures = Pictures{Frames: MaxFrames}
	if n := len(expand(t, s, q)); n != MaxShots {
		t.Errorf("%d pictures", n)
	}
	q.Pictures.Exposures = 2
	if _, err := s.Expand(q); err == nil {
		t.Error("more pictures than there may be are told out")
	}
	q.Steps = nil
	if _, err := s.Expand(q); err == nil {
		t.Error("a sequence of nothing is told out")
	}
	q.Steps = []Step{{Cue: "bow"}}
	if _, err := s.Expand(q); err == nil || !strings.Contains(err.Error(), `"bow"`) {
		t.Errorf("a cue that nobody has: %v", err)
	}
}

// By angle, the cues come in the order the table passes them from the first mark on.
func TestExpandByAngle(t *testing.T) {
	s := sequenceShoot(t)
	from := 90.0
	q := &Sequence{Name: "turn", By: ByAngle, Steps: []Step{{Cue: "Bow ¾"}, {Cue: "stern"}, {Cue: "beam"}}, Turning: Turning{From: &from, Speed: 4}}
	order := func() (out []float64) {
		for _, shot := range expand(t, s, q) {
			out = append(out, shot.Azimuth)
		}
		return out
	}
	if got := order(); !slices.Equal(got, []float64{95, 200, 35}) {
		t.Errorf("counter-clockwise from 90: %v", got)
	}
	q.Turning.Speed = -4
	if got := order(); !slices.Equal(got, []float64{35, 200, 95}) {
		t.Errorf("clockwise from 90: %v", got)
	}
}

func TestTravel(t *testing.T) {
	to := func(a float64) *float64 { return &a }
	for _, c := range []struct {
		m    Turning
		from float64
		want float64
	}{
		{Turning{Speed: 4}, 35, 360},
		{Turning{Speed: -4, Turns: 2}, 35, -720},
		{Turning{Speed: 4, Turns: 0.5}, 35, 180},
		{Turning{Speed: 4, To: to(80)}, 35, 45},
		{Turning{Speed: -4, To: to(80)}, 35, -315},
		{Turning{Speed: 4, To: to(10), Turns: 1}, 350, 380},
		{Turning{Speed: -4, To: to(350)}, 10, -20},
	} {
		if got := c.m.Travel(c.from); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v from %g: %g, want %g", c.m, c.from, got, c.want)
		}
	}
}

// Even in dioptres, but for the tenth of a millimetre to which centimetres are written.
func TestFocusSteps(t *testing.T) {
	from, _ := quantity.ParseLength("48.00 cm")
	to, _ := quantity.ParseLength("0.60 m")
	got := FocusSteps(from, to, 5)
	if len(got) != 5 || got[0] != from || got[4] != to {
		t.Fatalf("%v", got)
	}
	for i, l := range got {
		want := 1 / (1/0.48 + float64(i)/4*(1/0.6-1/0.48))
		if math.Abs(l.Metres-want) > 0.05e-3+1e-12 {
			t.Errorf("step %d at %v, want %g m", i, l, want)
		}
	}
	if got[1].String() == got[0].String() || !strings.HasSuffix(got[1].String(), "cm") {
		t.Errorf("written %s", got[1])
	}
}

func TestParseTurnSpeed(t *testing.T) {
	for text, want := range map[string]float64{"4 deg/s": 4, "-4 deg/s": -4, "−0.5°/s": -0.5, " 10deg/s ": 10, "+3 deg/s": 3} {
		if got, err := ParseTurnSpeed(text); err != nil || got != want {
			t.Errorf("%q: %g, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "4", "deg/s", "4 deg", "0 deg/s", "nan deg/s", "inf deg/s", "1e1 deg/s", "0x4 deg/s", "1_0 deg/s", "400 deg/s", "0.001 deg/s", "4 5 deg/s", strings.Repeat("9", 100) + " deg/s"} {
		if got, err := ParseTurnSpeed(text); err == nil {
			t.Errorf("%q is read as %g", text, got)
		} else if e, ok := err.(*quantity.Error); !ok || e.What == "" || e.Cure == "" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzParseTurnSpeed(f *testing.F) {
	for _, text := range []string{"4 deg/s", "−4°/s", "", "deg/s", "1e9 deg/s"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if v, err := ParseTurnSpeed(text); err == nil && !(math.Abs(v) >= MinTurnSpeed && math.Abs(v) <= MaxTurnSpeed) {
			t.Errorf("%q is read as %g", text, v)
		}
	})
}

func FuzzFileWord(f *testing.F) {
	for _, text := range []string{"Bow ¾", "../../etc", "Ångström", "名前", strings.Repeat("a-", 50)} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if word := FileWord(text); !safeName.MatchString(word) || len(word) > maxFileWord {
			t.Errorf("%q becomes %q", text, word)
		}
	})
}

func ExampleShoot_Expand() {
	s := sequenceShoot(&testing.T{})
	q := &Sequence{Name: "harbour", By: ByFrame, Steps: []Step{{Cue: "stern"}}, Pictures: Pictures{EachPass: true}}
	shots, err := s.Expand(q)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i := range shots {
		fmt.Println(shots[i].Name, "-", shots[i].Say(len(shots), i+1))
	}
	// Output:
	// harbour-0001-stern-p01-key - frame 1 of 3, key alone
	// harbour-0002-stern-p02-panel - frame 2 of 3, panel alone
	// harbour-0003-stern-p03-all - frame 3 of 3, all lights
}

func TestTableLimits(t *testing.T) {
	s := testShoot()
	if v, a, b, settle := s.TableLimits(); v != DefaultTableSpeed || a != DefaultTableSpeed/DefaultTableRamp || b != 0 || settle != 0 {
		t.Errorf("of nothing written: %g, %g, %g, %g", v, a, b, settle)
	}
	s.Rig.Sources = append(s.Rig.Sources, fixtures.Source{
		Name: "table", Settle: 1.5,
		Profile: &fixtures.Profile{Slots: []fixtures.Slot{{Kind: fixtures.SlotSpeed, From: -30, To: 24}}},
	})
	s.Turntable = Turntable{Drive: "table"}
	if v, _, _, settle := s.TableLimits(); v != DefaultTableSpeed || settle != 1.5 || s.TableMost() != 30 {
		t.Errorf("of a profile: %g deg/s, settled after %g s", v, settle)
	}
	s.Turntable.Speed, s.Turntable.Ramp.Seconds, s.Turntable.Backlash.Degrees = 12, 3, 0.3
	if v, a, b, _ := s.TableLimits(); v != 12 || a != 4 || b != 0.3 || s.TableMost() != 12 {
		t.Errorf("as written: %g, %g, %g", v, a, b)
	}
	s.Turntable.Speed = 100
	if v, _, _, _ := s.TableLimits(); v != 30 {
		t.Errorf("more than the profile allows: %g", v)
	}
}
