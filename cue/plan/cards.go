package plan

import (
	"math"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/photometry"
	"limn/fixtures/space"
)

// CardLight is what one card does to the light at the aim point.
type CardLight struct {
	Card   int
	Name   string
	Gives  Figure // lx on the plane that faces the camera, from its lit face
	Takes  Figure // lx of the room's light that it hides
	Hides  []Shadow
	byEach []float64 // Gives, by source
}

// Shadow is the share of a source that a card hides from the aim point.
type Shadow struct {
	Source int
	Share  float64
}

// reflectanceOf is that of a card, as written or of its kind.
func reflectanceOf(c *cue.Card) float64 {
	switch {
	case c.Reflectance.Share > 0:
		return c.Reflectance.Share
	case c.Kind == cue.CardBlack:
		return photometry.BlackCard
	}
	return photometry.WhiteCard
}

// cardFace is a card as it stands in a cue, turned to the aim point.
func cardFace(s *cue.Shoot, r *cue.Resolved, card int) (space.Face, fixtures.Place) {
	for _, p := range r.Cards {
		if p.Card == card && !p.Out && p.Place.Known {
			c := &s.Cards[card]
			return space.Facing(at(&p.Place, r.Azimuth), space.Vec{}, c.Width.Metres, c.Height.Metres), p.Place
		}
	}
	return space.Face{}, fixtures.Place{}
}

// cardsOf reckons the cards of a cue. The normal is that of the plane that faces
// the camera.
func (l *Light) cardsOf(s *cue.Shoot, r *cue.Resolved, normal space.Vec) {
	for i := range s.Cards {
		face, place := cardFace(s, r, i)
		if !place.Known {
			continue
		}
		card := &s.Cards[i]
		c := CardLight{Card: i, Name: card.Name, byEach: make([]float64, len(l.Sources))}
		if face.Area() == 0 {
			c.Gives = lawCardFace.absent("card-lux", "light of the card "+card.Name, "lx", needSize(card.Name))
			c.Takes = lawCardFace.absent("card-takes", "light it takes away", "lx", needSize(card.Name))
			l.Cards = append(l.Cards, c)
			continue
		}
		l.bounce(&c, face, reflectanceOf(card), normal, s)
		l.hide(&c, face)
		l.Cards = append(l.Cards, c)
	}
}

// bounce is what a card gives by what falls on it, and what it hides of the room.
func (l *Light) bounce(c *CardLight, face space.Face, rho float64, normal space.Vec, s *cue.Shoot) {
	form := photometry.Face(1, face, space.Vec{}, normal) // π times the form factor
	room := s.Room.Ambient.Lux
	total, on := 0.0, room
	for i := range l.Sources {
		src := &l.Sources[i]
		if !src.emits() || src.bounce == c.Card { // what is turned to the card is reckoned as its own light
			continue
		}
		lux := src.emitter.onto(src.y, face.Middle, face.Normal())
		on += lux
		c.byEach[i] = photometry.Face(photometry.Bounce(lux, rho), face, space.Vec{}, normal)
		total += c.byEach[i]
	}
	c.Gives = lawCardFace.figure("card-lux", "light of the card "+c.Name, "lx", total+photometry.Face(photometry.Bounce(room, rho), face, space.Vec{}, normal),
		Input{"E", "lx", "on the card", on}, Input{"rho", "", "its reflectance", rho},
		Input{"F", "", "form factor on the plane that faces the camera", form / math.Pi}).as(Lux)
	if room == 0 {
		c.Takes = lawCardFace.absent("card-takes", "light of the room that "+c.Name+" takes away", "lx",
			`[room] ambient, as ambient = "40 lx": a meter at the aim point with every light off`)
		return
	}
	left := ask("card-takes", "light of the room that "+c.Name+" takes away", "pho-negfill", "lux",
		with("E_fill", is(room)), with("F", is(form/math.Pi)), with("L_env", is(room/math.Pi)), with("L_card", is(0)))
	left.Value = room - left.Value // what the card itself gives is counted above
	c.Takes = left.as(Lux)
}

// hide finds how much of each source the card hides from the aim point.
func (l *Light) hide(c *CardLight, face space.Face) {
	for i := range l.Sources {
		src := &l.Sources[i]
		if !src.emits() || src.bounce == c.Card {
			continue
		}
		m := &src.emitter
		if m.luminance == 0 { // a small source is seen or not
			if along, _, _, hit := face.Hit(space.Vec{}, m.place); hit && along < 1 {
				c.Hides = append(c.Hides, Shadow{i, 1})
				src.Hidden = 1
			}
			continue
		}
		part := photometry.Shadow(m.face, face, space.Vec{})
		toIt := m.place.Unit()
		share := photometry.Polygon(m.luminance, part, toIt) / m.facing(1)
		if !(share > 0) {
			continue
		}
		share = math.Min(1, share)
		c.Hides = append(c.Hides, Shadow{i, share})
		src.shadows = append(src.shadows, part)
		src.Hidden = math.Min(1, src.Hidden+share) // as if no two cards hid the same part
	}
}

// shadowed is what cards leave of a source's light on a plane.
func (l *SourceLight) shadowed(direct float64, normal space.Vec) float64 {
	if l.emitter.luminance == 0 {
		return float64(direct * (1 - l.Hidden))
	}
	for _, part := range l.shadows {
		direct -= photometry.Polygon(float64(l.y*l.emitter.luminance), part, normal)
	}
	return math.Max(0, direct)
}
