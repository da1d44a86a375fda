package main

import (
	"fmt"
	"math"
	"strings"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// whiteDuv is how far from the Planckian locus a light is still read as a white
// with a tint; beyond it a kelvin says little and xy is shown. The quadrangles of
// ANSI C78.377 reach 0.006, and a panel of two whites sags to 0.0055 between them.
const whiteDuv = 0.007

// nearWhite gives the white a chromaticity reads as; ok is false for a colour.
func nearWhite(xy colour.XY) (colour.White, bool) {
	w, ok := xy.White()
	return w, ok && math.Abs(w.Duv) <= whiteDuv
}

// lightColour is the colour of a light as the operator reads it.
func lightColour(c colour.XYZ) string {
	xy, ok := c.XY()
	if !ok {
		return "off"
	}
	if w, ok := nearWhite(xy); ok {
		return whiteText(w)
	}
	return fmt.Sprintf("xy %.4f %.4f", xy.X, xy.Y)
}

// share is a light as a share of the most its source gives at that colour: 0
// for no light, NaN where the source gives none at that colour.
func share(r *fixtures.Renderer, i int, c colour.XYZ) float64 {
	xy, ok := c.XY()
	if !ok {
		return 0
	}
	return c.Y / r.Reach(i, xy).MaxY
}

func shareText(s float64) string {
	switch {
	case s == 0:
		return "off"
	case math.IsNaN(s) || math.IsInf(s, 0):
		return "?"
	}
	return fmt.Sprintf("%.1f %%", 100*s)
}

// stopsText is a distance to the key in stops.
func stopsText(stops float64, key bool) string {
	switch {
	case key:
		return "key"
	case math.IsNaN(stops):
		return "?" // no meter reading to compare by
	case math.IsInf(stops, -1):
		return "off"
	}
	if s := fmt.Sprintf("%+.1f", stops); s != "-0.0" {
		return s
	}
	return "+0.0"
}

// turnText is a table azimuth in degrees.
func turnText(azimuth float64) string { return fmt.Sprintf("%g°", math.Round(azimuth*10)/10) }

// whiteText is a white as it is read aloud on a set; no tint goes unsaid.
func whiteText(w colour.White) string {
	if tintless(w) {
		return fmt.Sprintf("%.0f K", w.Kelvin)
	}
	return fmt.Sprintf("%.0f K %s", w.Kelvin, w.Tint())
}

// shortWhite is whiteText for a narrow column.
func shortWhite(w colour.White) string { return strings.Replace(whiteText(w), "tint ", "", 1) }

// tintless says whether a tint is too small to be written with four decimals.
func tintless(w colour.White) bool { return math.Abs(w.Duv) < 0.5e-4 }
