package cue

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Kinds of form a subject may have.
const (
	FormBox      = "box"
	FormCylinder = "cylinder" // upright about the table's axis
	FormSphere   = "sphere"
	FormHull     = "hull" // fair, through sections
	FormMesh     = "mesh" // from a file in the shoot's folder
)

// FormKinds lists the kinds of form.
func FormKinds() []string {
	return []string{FormBox, FormCylinder, FormSphere, FormHull, FormMesh}
}

// What a form may have.
const (
	MinSections, MaxSections = 2, 200
	MaxOutline               = 200
)

// Form is the shape of the subject; its size is the subject's length, width and height.
type Form struct {
	fixtures.Origin
	Kind     string // FormBox ...; "" = not written, which reports take for the bounding box
	Sections []Section

	// Of a mesh: its file, by its name alone, and which way its own axes look, as
	// "x", "+y" or "-z"; "" = bow along -y, up along z.
	File, Bow, Up string
}

// Section is the outline of a hull at one place of its length.
type Section struct {
	At     float64      // share of the length: 0 = bow, 1 = stern
	Points [][2]float64 // from the keel up: half width as a share of width/2, height as a share of the height
}

// Surface is what the subject is finished with. What is zero was not written.
type Surface struct {
	Gloss       quantity.Degrees // how far what is mirrored is spread; see Glossy
	Glossy      bool             // Gloss was written
	Matt        bool             // gloss = "matt": nothing is mirrored
	Index       float64          // of refraction of its clear coat
	Reflectance quantity.Percent // of the body below the coat
	Body        [3]float64       // the same as linear sRGB where it was written as a colour
	HasBody     bool             // Reflectance, and Body, were written
}

// Spreads of gloss that have a word, in degrees (common practice, no source).
var Spreads = []struct {
	Word    string
	Degrees float64
}{{"mirror", 0}, {"gloss", 0.2}, {"satin", 5}}

// The ranges of what a subject's surface is told in.
const (
	MaxGloss           = 45.0 // degrees; more is matt
	MinIndex, MaxIndex = 1.0, 4.0
)
