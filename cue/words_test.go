package cue

import (
	"testing"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

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
