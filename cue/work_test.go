package cue

import (
	"slices"
	"testing"
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
