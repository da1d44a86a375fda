package chart

import (
	"limn/fixtures/colour"
)

// Ends of the spectrum locus as drawn: beyond them chromaticities crowd on a spot.
const (
	firstNM = 400
	lastNM  = 700
	stepNM  = 2
)

// spectral is the chromaticity of a wavelength within the drawn ends.
func spectral(nm int) colour.XY {
	c, _ := colour.Spectral(float64(nm))
	return c
}

// markedNM are the wavelengths that get a mark and a number.
var markedNM = []int{450, 470, 480, 490, 500, 510, 520, 540, 560, 580, 600, 620, 650}

// Ends of the loci of whites as drawn, in mired: 1500 K to the coolest.
const (
	warmMired = 1e6 / 1500
	coolMired = 1e6 / colour.MaxKelvin
	locusStep = 2 // mired
)

// planckian is the locus of whites without tint.
func planckian() (locus []colour.UV) {
	for m := warmMired; m > coolMired; m -= locusStep {
		locus = append(locus, colour.FromMired(m, 0).XY().UV())
	}
	return append(locus, colour.FromMired(coolMired, 0).XY().UV())
}

// daylight is the locus of CIE daylight.
func daylight() (locus []colour.UV) {
	for m := 1e6 / colour.MinDaylight; m >= 1e6/colour.MaxDaylight; m -= locusStep {
		if c, err := colour.DaylightXY(min(max(1e6/m, colour.MinDaylight), colour.MaxDaylight)); err == nil {
			locus = append(locus, c.UV())
		}
	}
	return locus
}

// isotherm is a short line across the Planckian locus: whites of one CCT from
// pink to green, whose ends are so far off in Duv.
func isotherm(kelvin, duv float64) (pink, green colour.UV) {
	return colour.White{Kelvin: kelvin, Duv: -duv}.XY().UV(), colour.White{Kelvin: kelvin, Duv: duv}.XY().UV()
}
