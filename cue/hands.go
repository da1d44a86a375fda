package cue

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Hands words what people must do to get from the set of one cue to that of
// another, in the order that saves moves: cards out of the way of the turning
// model first, then sources moved, which are the heaviest, then the turn, then
// cards moved and placed, then lamps set by hand, and the camera last, where one
// stands to go on. from is nil where
// nobody knows how the set stands. It is empty where nothing is to be done.
func (s *Shoot) Hands(from, to *Resolved) []string {
	var out []string
	out = s.cardsAway(out, from, to)
	out = s.sourcesMoved(out, from, to)
	out = s.turnModel(out, from, to)
	out = s.cardsMoved(out, from, to)
	out = s.lamps(out, from, to)
	return s.cameraSet(out, from, to)
}

// turnModel is the turn, where the table is turned by hand.
func (s *Shoot) turnModel(out []string, from, to *Resolved) []string {
	if !s.Turntable.Hand || !to.HasAngle {
		return out
	}
	if from == nil || !from.HasAngle {
		return append(out, standPrompt(to.Azimuth))
	}
	if p := TurnPrompt(from.Azimuth, to.Azimuth); p != "" {
		out = append(out, p)
	}
	return out
}

// stands is where a card stands in a cue; false if it is not on the set.
func (r *Resolved) stands(card int) (CardPlace, bool) {
	if r != nil {
		for _, p := range r.Cards {
			if p.Card == card {
				return p, !p.Out
			}
		}
	}
	return CardPlace{}, false
}

func (s *Shoot) cardsAway(out []string, from, to *Resolved) []string {
	for i := range s.Cards {
		if _, was := from.stands(i); !was {
			continue
		}
		if _, is := to.stands(i); !is {
			out = append(out, "take away "+s.Cards[i].Name)
		}
	}
	return out
}

func (s *Shoot) cardsMoved(out []string, from, to *Resolved) []string {
	for i := range s.Cards {
		p, is := to.stands(i)
		if !is {
			continue
		}
		was, stood := from.stands(i)
		switch {
		case !stood:
			out = append(out, fmt.Sprintf("place %s %s", s.Cards[i].Name, placeWords(p.Place, p.Mark)))
		case !samePlace(was.Place, p.Place):
			out = append(out, fmt.Sprintf("move %s %s", s.Cards[i].Name, placeWords(p.Place, p.Mark)))
		}
	}
	return out
}

func samePlace(a, b fixtures.Place) bool {
	return math.Abs(Turn(a.Azimuth.Degrees, b.Azimuth.Degrees)) <= DeadBand &&
		a.Elevation.Degrees == b.Elevation.Degrees &&
		a.Distance.Metres == b.Distance.Metres && a.Rides == b.Rides
}

// placeWords says where a card goes: "camera right (90°), 0.22 m from the axis, mark tape C".
func placeWords(place fixtures.Place, mark string) string {
	a := place.Azimuth.Degrees
	words := fmt.Sprintf("%s (%s°)", stands[eighth(a)], degrees(a))
	if place.Rides {
		words = fmt.Sprintf("on the table, %s° from the bow", degrees(a))
	}
	if e := place.Elevation.Degrees; e != 0 {
		words += fmt.Sprintf(", elevation %s°", degrees(e))
	}
	if place.Distance.Metres > 0 {
		words += ", " + place.Distance.String() + " from the middle"
	}
	if mark != "" {
		words += ", mark " + mark
	}
	return words
}

// sourcesMoved are the sources that stand elsewhere. Before anybody knows how
// the set stands, each is taken to stand where the rig says.
func (s *Shoot) sourcesMoved(out []string, from, to *Resolved) []string {
	for i := range s.Rig.Sources {
		was, _ := from.moved(i)
		is, moved := to.moved(i)
		if !was.Place.Known {
			was.Place = s.Rig.Sources[i].Place
		}
		name := s.Rig.Sources[i].Name
		switch home := s.Rig.Sources[i].Place; {
		case moved && (!was.Place.Known || !samePlace(was.Place, is.Place)):
			out = append(out, fmt.Sprintf("move %s %s", name, placeWords(is.Place, is.Mark)))
		case moved || !was.Place.Known || home.Known && samePlace(was.Place, home):
		case home.Known:
			out = append(out, fmt.Sprintf("move %s back %s", name, placeWords(home, "")))
		default:
			out = append(out, fmt.Sprintf("move %s back to its own place", name))
		}
	}
	return out
}

// moved is where a cue has a source that it moves.
func (r *Resolved) moved(source int) (SourcePlace, bool) {
	if r != nil {
		for _, p := range r.Places {
			if p.Source == source {
				return p, true
			}
		}
	}
	return SourcePlace{}, false
}

// lamps are the lights without control.
func (s *Shoot) lamps(out []string, from, to *Resolved) []string {
	for i := range s.Rig.Sources {
		if !s.Rig.Sources[i].Hand || i >= len(to.Light) {
			continue
		}
		is := &to.Light[i]
		lit := is.Asked.Y > 0
		if from == nil || i >= len(from.Light) {
			if lit {
				out = append(out, s.lampPrompt(i, is))
			}
			continue
		}
		switch was := &from.Light[i]; {
		case was.Asked == is.Asked:
		case lit:
			out = append(out, s.lampPrompt(i, is))
		default:
			out = append(out, fmt.Sprintf("switch off %s", s.Rig.Sources[i].Name))
		}
	}
	return out
}

// lampPrompt says how a lamp is to be set: "set torch to key -3 stops (46 lx at the model), 3200 K".
func (s *Shoot) lampPrompt(i int, l *Light) string {
	lux := ""
	if !math.IsNaN(l.Lux) {
		if level, err := ParseLevel(l.Level); err != nil || level.Kind() != LevelLux {
			lux = fmt.Sprintf(" (%.0f lx at the model)", l.Lux)
		}
	}
	tone := l.Colour
	if xy, ok := l.Asked.XY(); ok {
		if spec, err := colour.ParseSpec(l.Colour); err == nil { // "white" alone is nothing to set a lamp to
			white, isWhite := colour.IsWhite(xy)
			tone = asked(spec, white, isWhite)
		}
	}
	return fmt.Sprintf("set %s to %s%s, %s", s.Rig.Sources[i].Name, l.Level, lux, tone)
}

// cameraSet are the camera's settings that change.
func (s *Shoot) cameraSet(out []string, from, to *Resolved) []string {
	rig := s.Camera.settings()
	is := to.Camera.settings()
	was := CameraChange{}.settings()
	if from != nil {
		was = from.Camera.settings()
	}
	for i := range rig {
		before, after := rig[i].value, rig[i].value
		if was[i].value != "" {
			before = was[i].value
		}
		if is[i].value != "" {
			after = is[i].value
		}
		switch {
		case after == before || after == "":
		case before == "":
			out = append(out, fmt.Sprintf("camera: %s %s", rig[i].name, after))
		default:
			out = append(out, fmt.Sprintf("camera: %s %s, now %s", rig[i].name, after, before))
		}
	}
	return out
}
