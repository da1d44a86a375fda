package cue

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Kinds of card.
const (
	CardWhite = "white" // bounces
	CardBlack = "black" // takes light away: negative fill
)

// Card is a passive panel, placed by hand.
type Card struct {
	fixtures.Origin
	Name string
	Kind string // CardWhite or CardBlack
	Note string

	Width, Height quantity.Length
	Reflectance   quantity.Percent // zero = that of its kind
}

// CardPlace is what a cue says of one card. In a Cue, what is not written is
// inherited; in a Resolved, it is complete.
type CardPlace struct {
	fixtures.Origin
	Card  int // index in Shoot.Cards
	Place fixtures.Place
	Mark  string // where it stands in the user's own words: "tape C"
	Out   bool   // taken away
}
