package chart

import (
	"fmt"
	"math"

	"limn/fixtures/colour"
)

// swatch is an idea of a chromaticity on a screen, for decoration: sRGB, as
// bright as it can be shown, what a screen cannot show moved toward its white.
func swatch(c colour.XY) string {
	rgb := colour.SRGB.Linear(c.XYZ(1))
	low := min(rgb[0], rgb[1], rgb[2], 0)
	top := 0.0
	for i := range rgb {
		rgb[i] -= low
		top = max(top, rgb[i])
	}
	if !(top > 0) || math.IsInf(top, 0) {
		return "#808080"
	}
	var code [3]uint8
	for i := range rgb {
		code[i] = uint8(math.Round(255 * colour.SRGB.Encode(rgb[i]/top)))
	}
	return fmt.Sprintf("#%02x%02x%02x", code[0], code[1], code[2])
}
