package dial

import (
	"fmt"
	"math"

	"limn/fixtures/colour"
)

// palette is how a theme looks. Text stands at 4.5:1 or more on its ground, marks
// and frames that mean something at 3:1 or more (WCAG 2.2, 1.4.3 and 1.4.11).
type palette struct {
	ground, raised          string // of the picture, and of tiles
	text, dim, line, faint  string // faint is decoration
	hull, deck, rim         string
	accent                  string // what comes next, the needle, the bow
	table                   string
	glows                   bool    // light is drawn as light; else as tints
	brightest               float64 // of swatches: a screen is a light on the set
	mono                    bool    // swatches in the theme's own colour alone
	white, black, blackEdge string  // cards
}

var palettes = map[Theme]*palette{
	Dark: {
		ground: "#0d0f12", raised: "#181b20", text: "#e9e3d8", dim: "#a39d92", line: "#777a80", faint: "#2b2f36",
		hull: "#3b2617", deck: "#58391f", rim: "#b98551", accent: "#f0ab58", table: "#14171b",
		glows: true, brightest: 0.92, white: "#d8d4cb", black: "#000000", blackEdge: "#8b8e94",
	},
	Ink: {
		ground: "#ffffff", raised: "#f6f2ea", text: "#1a1c1f", dim: "#55595f", line: "#80848a", faint: "#dcd9d2",
		hull: "#efe0cb", deck: "#f8efe0", rim: "#5f3c1c", accent: "#8f4700", table: "#faf8f4",
		brightest: 1, white: "#ffffff", black: "#1a1c1f", blackEdge: "#1a1c1f",
	},
	Amber: {
		ground: "#0a0402", raised: "#170903", text: "#ff9447", dim: "#c76a2c", line: "#9a5424", faint: "#351a0a",
		hull: "#261004", deck: "#3a1a08", rim: "#b0612a", accent: "#ffb066", table: "#100602",
		glows: true, brightest: 0.85, mono: true, white: "#c76a2c", black: "#000000", blackEdge: "#9a5424",
	},
}

func paletteOf(t Theme) *palette {
	if p := palettes[t]; p != nil {
		return p
	}
	return palettes[Dark]
}

// onScreen is a chromaticity as it looks beside the camera's white, as codes of
// sRGB 0..1, as bright as it can be shown; what a screen cannot show is moved
// toward its white.
func onScreen(xy, white colour.XY) [3]float64 {
	c := xy.XYZ(1)
	if white != (colour.XY{}) {
		c = colour.Bradford.Adapt(c, white, colour.SRGB.White, 1)
	}
	rgb := colour.SRGB.Linear(c)
	low, top := min(rgb[0], rgb[1], rgb[2], 0), 0.0
	for i := range rgb {
		rgb[i] -= low
		top = max(top, rgb[i])
	}
	if !(top > 0) || math.IsInf(top, 0) {
		return [3]float64{0.5, 0.5, 0.5}
	}
	for i := range rgb {
		rgb[i] = colour.SRGB.Encode(rgb[i] / top)
	}
	return rgb
}

// swatch is the colour of a light on the picture; "" without light.
func (p *palette) swatch(light colour.XYZ, white colour.XY) string {
	xy, ok := light.XY()
	if !ok {
		return ""
	}
	rgb := onScreen(xy, white)
	if p.mono {
		y := 0.2126*rgb[0] + 0.7152*rgb[1] + 0.0722*rgb[2]
		rgb = [3]float64{1 * y, 0.62 * y, 0.32 * y}
	}
	return hexOf(rgb, p.brightest)
}

func hexOf(rgb [3]float64, scale float64) string {
	var code [3]uint8
	for i, v := range rgb {
		code[i] = uint8(math.Round(255 * min(max(v*scale, 0), 1)))
	}
	return fmt.Sprintf("#%02x%02x%02x", code[0], code[1], code[2])
}
