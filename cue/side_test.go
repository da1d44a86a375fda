package cue_test

import (
	"math"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

func place(azimuth, elevation float64, rides bool) fixtures.Place {
	return fixtures.Place{Known: true, Azimuth: quantity.Degrees{Degrees: azimuth}, Elevation: quantity.Degrees{Degrees: elevation}, Rides: rides}
}

// Seen from above, counter-clockwise is positive, and with the table at 0 the bow
// points toward the camera: what stands to camera right then is on her port side.
func TestSide(t *testing.T) {
	for _, c := range []struct {
		azimuth, elevation, table float64
		rides                     bool
		want                      string
	}{
		{0, 0, 0, false, "bow"},
		{90, 0, 0, false, "port side"},
		{180, 0, 0, false, "stern"},
		{270, 0, 0, false, "starboard side"},
		{0, 0, 90, false, "starboard side"}, // the camera's view at 90: between 0 and 180 it sees starboard
		{80, 15, 80, false, "bow"},
		{280, 15, 80, false, "stern"},
		{80, 15, 35, false, "port bow"},
		{280, 15, 35, false, "starboard quarter"},
		{180, 0, 123, true, "stern"}, // it rides with her
		{-90, 0, 720, false, "starboard side"},
		{0, 80, 10, false, "deck"},
		{0, -60, 10, false, "keel"},
		{math.NaN(), 0, 0, false, ""},
		{0, 0, math.Inf(1), false, ""},
	} {
		if got := cue.Side(place(c.azimuth, c.elevation, c.rides), c.table); got != c.want {
			t.Errorf("from %v, %v up, with the table at %v: %q, not %q", c.azimuth, c.elevation, c.table, got, c.want)
		}
	}
	if got := cue.Side(fixtures.Place{}, 0); got != "" {
		t.Errorf("from nowhere: %q", got)
	}
}

// Turning the table and the light together changes nothing on the hull.
func TestSideTurnsWithTheTable(t *testing.T) {
	for azimuth := -350.0; azimuth <= 350; azimuth += 10 { // clear of the borders at 22.5°
		for table := -270.0; table <= 270; table += 90 {
			if a, b := cue.Side(place(azimuth, 0, false), 0), cue.Side(place(azimuth+table, 0, false), table); a != b {
				t.Errorf("%v is %q, and %q with the table at %v", azimuth, a, b, table)
			}
		}
	}
}

func TestLights(t *testing.T) {
	s := &cue.Shoot{Rig: &fixtures.Rig{Sources: []fixtures.Source{
		{Role: fixtures.Background, Place: place(180, 0, false)},
		{Role: fixtures.Edge, Place: place(90, 0, false)},
	}}}
	if got := s.Lights(0, nil, 0); got != "backdrop" {
		t.Errorf("a background light lights the %q", got)
	}
	moved := &cue.Resolved{Places: []cue.SourcePlace{{Source: 1, Place: place(270, 0, false), Mark: "tape B"}}}
	if a, b := s.Lights(1, nil, 0), s.Lights(1, moved, 0); a != "port side" || b != "starboard side" {
		t.Errorf("it lights the %q, and moved for a cue the %q", a, b)
	}
	if p, mark := s.PlaceOf(1, moved); p.Azimuth.Degrees != 270 || mark != "tape B" {
		t.Errorf("it stands at %v, mark %q", p.Azimuth, mark)
	}
}
