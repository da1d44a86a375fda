package cue

import (
	"limn/cue/fade"
	"limn/fixtures/colour"
)

// Resolved is the complete light of a cue: nothing in it is inherited any more.
type Resolved struct {
	Name     string
	Angle    string  // "" when the azimuth was written as a number, or not at all
	Azimuth  float64 // of the table, degrees, as written
	HasAngle bool    // false: the table stays where it is
	Light    []Light // per source
	Cards    []CardPlace
	Places   []SourcePlace // of sources that stand elsewhere than the rig says, by source
	Camera   CameraChange  // what differs from the rig's

	// The cue's own timing, for what no source overrides; in seconds.
	Fade, Delay float64
	Curve       fade.Curve
	Path        fade.Path
}

// Light is one source's share of a cue. Of a ramp, all but Cells is told of the
// mean of the cells.
type Light struct {
	Level    string       // for the operator: as written, or reformatted in the same unit; "off". ParseLevel reads it
	Colour   string       // as written; of a ramp "6000 K to 3200 K"; "" for a source nobody named
	Asked    colour.XYZ   // Y = 1 the most the source gives, clipped to that; chromaticity as asked, not projected. Zero = off
	Cells    []colour.XYZ // the same for each cell of a ramp, of which Asked is the mean; nil = all cells alike. Read-only: shared
	Aim      colour.XY    // the nearest the source can make
	DeltaUV  float64      // Δu'v' from asked to Aim
	Lux      float64      // at the aim point; NaN when the source has no reading
	KeyStops float64      // stops against the key; -Inf when off, NaN when unknown

	// Timing, the cue's defaults already applied; in seconds.
	Fade, Delay float64
	Curve       fade.Curve
	Path        fade.Path
}
