package cue

import (
	"slices"
	"testing"

	"limn/fixtures"
)

func TestWorkLight(t *testing.T) {
	s := testShoot(
		Cue{Name: "a", Light: map[int]Entry{testPanel: lit("10 %", "2700 K")}},
	)
	resolve(t, s)
	r := renderer(t, s)
	if w := s.WorkLight(r); !near(w.Light[testKey].Asked.Y, WorkShare) || w.Light[testPanel].Asked.Y != 0 || w.HasAngle {
		t.Errorf("nothing written: %+v", w)
	}
	s.Work.Light = map[int]Entry{testPanel: lit("30 %", "5000 K"), testStrip: lit("40 lx", "")}
	w := s.WorkLight(r)
	if l := w.Light[testStrip]; w.Light[testKey].Asked.Y != 0 || !near(l.Lux, 40) || l.Fade != WorkFade {
		t.Errorf("written: %+v", w)
	}
	if len(s.Cues) != 1 || s.Resolved[0].Light[testPanel].Level != "10 %" {
		t.Error("the work light touched the shoot")
	}
	s.Work = Work{}
	s.Rig.Sources[testKey].Role = ""
	s.Rig.Sources[testPanel].Profile = emitters("warm alone", []float64{1000}, warm)
	resolve(t, s)
	w = s.WorkLight(renderer(t, s))
	if !(w.Light[testKey].Asked.Y > 0) || w.Light[testPanel].Asked.Y > 0 || !(w.Light[testStrip].Asked.Y > 0) || w.Light[testTorch].Asked.Y > 0 {
		t.Errorf("without a key, what makes white: %+v", w.Light)
	}
}

func TestTotalLux(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{
		testKey: lit("800 lx", ""), testPanel: lit("key -3 stops", "4000 K"), testStrip: lit("20 %", ""),
	}})
	s.Rig.Sources[testStrip].Full = 0
	resolve(t, s)
	if got := s.Resolved[0].TotalLux(); !near(got.Lux, 900) || !slices.Equal(got.Unknown, []int{testStrip}) {
		t.Errorf("%+v, want 900 lx and the strip unknown", got)
	}
}

// What is wrong with a written work light is told as of a cue.
func TestWorkLightIsChecked(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", "")}})
	for _, c := range []struct {
		light map[int]Entry
		want  string
	}{
		{map[int]Entry{testPanel: lit("key -1 stop", "4000 K")}, `in cue "work light", "key -1 stop" counts from the key, but the key "key" is off`},
		{map[int]Entry{testKey: lit("9000 lx", "")}, `in cue "work light", "key" gives at most 2000 lx at white: "9000 lx" is clipped, 2.2 stops short`},
		{map[int]Entry{testKey: lit("", "3200 K")}, `cue "work light" gives "key" a colour but no level: it is off`},
	} {
		s.Work.Light = c.light
		faults := s.Resolve(renderer(t, s))
		if !slices.ContainsFunc(faults, func(f fixtures.Fault) bool { return f.What == c.want }) {
			t.Errorf("want %q in %v", c.want, faults)
		}
	}
	s.Work.Light = map[int]Entry{testKey: lit("30 %", "")}
	if faults := s.Resolve(renderer(t, s)); len(faults) > 0 {
		t.Errorf("a sound one: %v", faults)
	}
}
