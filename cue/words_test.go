package cue

import (
	"strings"
	"testing"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Every word that is read is printed again, and slips get the nearest.
func TestWords(t *testing.T) {
	for i, name := range CurveNames() {
		c, err := ParseCurve(name)
		if err != nil || c != Curve(i) || c.String() != name {
			t.Errorf("%q is curve %v (%v)", name, c, err)
		}
	}
	for i, name := range PathNames() {
		p, err := ParsePath(name)
		if err != nil || p != Path(i) || p.String() != name {
			t.Errorf("%q is path %v (%v)", name, p, err)
		}
	}
	if _, err := ParseCurve("liner"); err == nil || !strings.Contains(err.Error(), `did you mean "linear"?`) {
		t.Errorf("%v", err)
	}
	if _, err := ParsePath("direct"); err == nil || !strings.Contains(err.Error(), `known: "auto"`) {
		t.Errorf("%v", err)
	}
	if Curve(99).String() != "curve 99" {
		t.Errorf("%v", Curve(99))
	}
}

func TestCameraChange(t *testing.T) {
	aperture, err := quantity.ParseAperture("f/22")
	if err != nil {
		t.Fatal(err)
	}
	iso, fps := 100, 23.976
	below := CameraChange{Shutter: shutter("1/50 s"), ISO: &iso}
	own := CameraChange{Origin: fixtures.Origin{Line: 3}, Shutter: shutter("172.8 deg"), Aperture: &aperture, FPS: &fps}
	all := own.over(below)
	if got, want := all.String(), "shutter 172.8 deg, aperture f/22, ISO 100, frame rate 23.976 fps"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if all.Line != 3 || all.IsZero() || !(CameraChange{Origin: own.Origin}).IsZero() {
		t.Error("a change is none, or none is one")
	}
}

func TestShootFinds(t *testing.T) {
	s := testShoot(Cue{Name: "a"}, Cue{Name: "b"})
	if s.CueIndex("b") != 1 || s.CueIndex("c") != -1 || s.Key() != testKey {
		t.Errorf("%d %d %d", s.CueIndex("b"), s.CueIndex("c"), s.Key())
	}
	s.Rig.Sources[testKey].Role = ""
	if s.Key() != -1 || (&Shoot{}).Key() != -1 {
		t.Error("a rig without a key has one")
	}
}
