package cue

import (
	"slices"
	"testing"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

func shutter(text string) *quantity.Shutter {
	q, err := quantity.ParseShutter(text)
	if err != nil {
		panic(err)
	}
	return &q
}

func stand(azimuth float64, distance string) fixtures.Place {
	d, err := quantity.ParseLength(distance)
	if err != nil {
		panic(err)
	}
	return fixtures.Place{Azimuth: quantity.Degrees{Degrees: azimuth}, Distance: d, Known: true}
}

func handsShoot(t *testing.T) *Shoot {
	beam := 80.0
	s := testShoot(
		Cue{
			Name: "bow", Azimuth: at35(), Light: map[int]Entry{testKey: lit("50 %", ""), testTorch: lit("key -3 stops", "3200 K")},
			Cards: []CardPlace{{Card: 0, Place: stand(90, "22 cm"), Mark: "tape C"}, {Card: 1, Place: stand(300, "0.4 m")}},
		},
		Cue{
			Name: "beam", Azimuth: &beam, Light: map[int]Entry{testKey: lit("50 %", "")},
			Cards:  []CardPlace{{Card: 0, Place: stand(10, "22 cm"), Mark: "tape D"}, {Card: 2, Place: stand(180, "0.5 m")}},
			Camera: &CameraChange{Shutter: shutter("1 s")},
		},
		Cue{Name: "still", From: "beam", Light: map[int]Entry{testPanel: lit("10 %", "")}},
	)
	s.Cards = []Card{{Name: "keel black", Kind: CardBlack}, {Name: "bow white", Kind: CardWhite}, {Name: "stern white", Kind: CardWhite}}
	s.Camera.Shutter = *shutter("1/50 s")
	resolve(t, s)
	return s
}

// Before the first cue the camera is as the rig has it; everything else is told.
// Then cards out of the way, the turn, cards moved and placed, lamps, the camera.
func TestHands(t *testing.T) {
	s := handsShoot(t)
	bow, beam, still := &s.Resolved[0], &s.Resolved[1], &s.Resolved[2]
	for _, c := range []struct {
		name     string
		from, to *Resolved
		want     []string
	}{
		{"first", nil, bow, []string{
			"turn the model to 35°: bow toward the camera and right",
			"place keel black camera right (90°), 22 cm from the middle, mark tape C",
			"place bow white on the camera side, left (300°), 0.4 m from the middle",
			"set torch to key -3 stops (125 lx at the model), 3200 K",
		}},
		{"there", bow, beam, []string{
			"take away bow white",
			"turn the model from 35° to 80°, counter-clockwise 45: bow goes camera right",
			"move keel black on the camera side (10°), 22 cm from the middle, mark tape D",
			"place stern white behind the model (180°), 0.5 m from the middle",
			"switch off torch",
			"camera: shutter 1 s, now 1/50 s",
		}},
		{"back", beam, bow, []string{
			"take away stern white",
			"turn the model from 80° to 35°, clockwise 45: bow goes camera left",
			"move keel black camera right (90°), 22 cm from the middle, mark tape C",
			"place bow white on the camera side, left (300°), 0.4 m from the middle",
			"set torch to key -3 stops (125 lx at the model), 3200 K",
			"camera: shutter 1/50 s, now 1 s",
		}},
		{"nothing to do", beam, still, nil},
	} {
		if got := s.Hands(c.from, c.to); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%q\nwant\n%q", c.name, got, c.want)
		}
	}
	s.Turntable.Hand = false
	if got := s.Hands(bow, beam); slices.ContainsFunc(got, func(p string) bool { return p[:4] == "turn" }) {
		t.Errorf("a driven table is turned by hand: %q", got)
	}
}

// A lamp's level in lux is not said twice, and "white" comes with its kelvin.
func TestLampPrompt(t *testing.T) {
	s := testShoot(Cue{Name: "a", Light: map[int]Entry{testTorch: lit("120 lx", "white +50 mired")}})
	resolve(t, s)
	// 5600 K is 178.57 mired; 50 more is 4375 K.
	if got, want := s.Hands(nil, &s.Resolved[0]), "set torch to 120 lx, white +50 mired (4375 K)"; !slices.Equal(got, []string{want}) {
		t.Errorf("%q, want %q", got, want)
	}
}

// A card that rides on the table is placed against the boat, not the room, and
// stays when the boat turns.
func TestRidingCard(t *testing.T) {
	s := handsShoot(t)
	p := stand(120, "0.3 m")
	p.Rides = true
	a, b := s.Resolved[0], s.Resolved[1]
	a.Cards, b.Cards = []CardPlace{{Card: 1, Place: p}}, []CardPlace{{Card: 1, Place: p}}
	if got := s.cardsMoved(nil, nil, &a); !slices.Equal(got, []string{"place bow white on the table, 120° from the bow, 0.3 m from the middle"}) {
		t.Errorf("%q", got)
	}
	if got := s.cardsMoved(nil, &a, &b); got != nil {
		t.Errorf("%q", got)
	}
}

// A source that a cue moves is prompted after the cards that are in the way and
// before the turn; a cue that says nothing of it wants it where the rig has it.
func TestSourcesMoved(t *testing.T) {
	beam := 80.0
	s := testShoot(
		Cue{Name: "bow", Azimuth: at35(), Light: map[int]Entry{testKey: lit("50 %", "")}, Cards: []CardPlace{{Card: 0, Place: stand(90, "22 cm")}}},
		Cue{
			Name: "beam", Azimuth: &beam, Light: map[int]Entry{testKey: lit("50 %", "")},
			Places: []SourcePlace{{Source: testPanel, Place: stand(120, "0.5 m"), Mark: "tape F"}, {Source: testStrip, Place: stand(200, "0.5 m")}},
		},
		Cue{Name: "still", From: "beam", Places: []SourcePlace{{Source: testPanel, Mark: "tape G"}}},
	)
	s.Cards = []Card{{Name: "keel black", Kind: CardBlack}}
	s.Rig.Sources[testPanel].Place = stand(100, "0.5 m")
	if faults := resolve(t, s); len(faults) > 0 {
		t.Errorf("a source moved round the table: %v", faults)
	}
	bow, beamed, still := &s.Resolved[0], &s.Resolved[1], &s.Resolved[2]
	if len(still.Places) != 2 || still.Places[0].Mark != "tape G" || still.Places[0].Place.Azimuth.Degrees != 120 {
		t.Errorf("inherited places: %+v", still.Places)
	}
	for _, c := range []struct {
		from, to *Resolved
		want     []string
	}{
		{bow, beamed, []string{
			"take away keel black",
			"move panel behind, right (120°), 0.5 m from the middle, mark tape F",
			"move strip behind the model (200°), 0.5 m from the middle",
			"turn the model from 35° to 80°, counter-clockwise 45: bow goes camera right",
		}},
		{beamed, still, nil},
		{beamed, bow, []string{
			"move panel back camera right (100°), 0.5 m from the middle",
			"move strip back to its own place",
			"turn the model from 80° to 35°, clockwise 45: bow goes camera left",
			"place keel black camera right (90°), 22 cm from the middle",
		}},
	} {
		if got := s.Hands(c.from, c.to); !slices.Equal(got, c.want) {
			t.Errorf("%s to %s:\n%q\nwant\n%q", c.from.Name, c.to.Name, got, c.want)
		}
	}
}

// The reading of a source that a cue moves nearer does not hold there.
func TestAMovedSourceHasAnotherReading(t *testing.T) {
	s := testShoot(
		Cue{Name: "bow", Light: map[int]Entry{testKey: lit("50 %", "")}, Places: []SourcePlace{{Origin: fixtures.Origin{File: "cues.toml", Line: 7}, Source: testPanel, Place: stand(120, "0.25 m")}}},
		Cue{Name: "beam", From: "bow"},
	)
	s.Rig.Sources[testPanel].Place = stand(100, "0.5 m")
	faults := resolve(t, s)
	if len(faults) != 1 || faults[0].What != `in cue "bow" and another, "panel" stands at 0.25 m; its lux are those of its reading, at 0.5 m` {
		t.Errorf("%v", faults)
	}
}
