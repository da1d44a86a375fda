package dial

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"limn/fixtures/colour"
)

// maxMarks is the most combining marks that one character keeps: what no
// language needs more of, stacked marks would run over the lines above and below.
const maxMarks = 2

// clean makes any text safe to show: one line, without what hides, turns or
// joins characters, which screens do not agree about the width of.
func clean(text string) string {
	var b strings.Builder
	marks := maxMarks // no base yet: none may come
	for _, r := range strings.ToValidUTF8(text, string(utf8.RuneError)) {
		switch {
		case unicode.IsSpace(r):
			r = ' '
		case unicode.Is(unicode.Variation_Selector, r), r == 0xad:
			continue
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r), r >= 0xfff9 && r <= 0xffff && r != utf8.RuneError:
			if unicode.Is(unicode.Cf, r) {
				continue
			}
			r = utf8.RuneError
		}
		if combines(r) {
			if marks >= maxMarks {
				continue
			}
			marks++
		} else {
			marks = 0
		}
		b.WriteRune(r)
	}
	return strings.TrimSpace(b.String())
}

// combines says whether a character stands on the one before it.
func combines(r rune) bool { return unicode.In(r, unicode.Mn, unicode.Me) }

// minus is the sign of the trade and of print, as wide as a digit.
const minus = "−"

// thirds are the fractions in which exposure is counted.
var thirds = [3]string{"", "1/3", "2/3"}

// nearThird is how far from a third of a stop a figure may lie and be called it.
const nearThird = 0.02

// mostStops is the most stops that are told: further off, nothing is seen.
const mostStops = 99

// stopsWords is a number of stops: in thirds where it is one, else to a tenth.
func stopsWords(stops float64) string {
	if math.IsNaN(stops) {
		return "?"
	}
	size := min(math.Abs(stops), mostStops)
	var text string
	if n := math.Round(size * 3); math.Abs(size-n/3) <= nearThird {
		whole, part := int(n)/3, thirds[int(n)%3]
		switch {
		case part == "":
			text = strconv.Itoa(whole)
		case whole == 0:
			text = part
		default:
			text = fmt.Sprintf("%d %s", whole, part)
		}
	} else {
		text = strconv.FormatFloat(size, 'f', 1, 64)
	}
	switch {
	case text == "0" || text == "0.0":
		return "±0"
	case stops < 0:
		return minus + text
	}
	return "+" + text
}

// degreesWords is an azimuth to a tenth of a degree, 0 to 360.
func degreesWords(azimuth float64) string {
	d := math.Mod(math.Round(azimuth*10)/10, 360)
	switch {
	case math.IsNaN(d):
		return "?"
	case d < 0:
		d += 360
	}
	return strconv.FormatFloat(math.Round(d*10)/10+0, 'f', -1, 64) + "°"
}

// percentWords is a share in whole percent.
func percentWords(share float64) string {
	if math.IsNaN(share) {
		return "?"
	}
	return strconv.Itoa(int(math.Round(100*min(max(share, 0), 1)))) + " %"
}

// luxWords is an illuminance with as many figures as a meter has.
func luxWords(lux float64) string {
	if !(lux > 0) || math.IsInf(lux, 0) {
		return ""
	}
	digits := 0
	if lux < 10 {
		digits = 1
	}
	if lux >= 1e6 {
		return strconv.FormatFloat(lux, 'g', 3, 64) + " lx"
	}
	return strconv.FormatFloat(lux, 'f', digits, 64) + " lx"
}

// whiteDuv is how far from the Planckian locus a light is still told in kelvin:
// a panel of two whites sags to 0.0055 between them; beyond, kelvin say little.
const whiteDuv = 0.007

// whiteKelvin is the highest temperature that is told: beyond, it is a blue, and
// kelvin run up without end.
const whiteKelvin = 10_000

// noLight is the colour of what is off.
const noLight = "no light"

// colourWords is the colour of a light: kelvin and tint, or the name of its hue
// with its chromaticity.
func colourWords(light colour.XYZ, white colour.XY) string {
	xy, ok := light.XY()
	if !ok {
		return noLight
	}
	if w, ok := xy.White(); ok && math.Abs(w.Duv) <= whiteDuv && w.Kelvin <= whiteKelvin {
		kelvin := strconv.FormatFloat(math.Round(w.Kelvin/10)*10, 'f', 0, 64) + " K"
		if math.Abs(w.Duv) < minTint {
			return kelvin
		}
		return kelvin + " " + colour.White{Kelvin: w.Kelvin, Duv: math.Round(w.Duv*1e4) / 1e4}.Tint()
	}
	return fmt.Sprintf("%s, xy %.3f %.3f", hueName(xy, white), xy.X, xy.Y)
}

// minTint is the least tint that is told: a third of the step in which it is trimmed.
const minTint = 0.0003

// hues are names for twelfths of the way round, from red on.
var hues = [12]string{
	"red", "orange", "yellow", "lime", "green", "sea green",
	"cyan", "sky blue", "blue", "violet", "magenta", "rose",
}

// hueName names a chromaticity as it looks beside the camera's white.
func hueName(xy, white colour.XY) string {
	rgb := onScreen(xy, white)
	top, low := max(rgb[0], rgb[1], rgb[2]), min(rgb[0], rgb[1], rgb[2])
	span := top - low
	if !(span > 0.04) {
		return "white"
	}
	var h float64
	switch top {
	case rgb[0]:
		h = math.Mod((rgb[1]-rgb[2])/span+6, 6)
	case rgb[1]:
		h = (rgb[2]-rgb[0])/span + 2
	default:
		h = (rgb[0]-rgb[1])/span + 4
	}
	name := hues[int(math.Round(h*2))%12]
	if span < pale {
		return "pale " + name
	}
	return name
}

// pale is the spread between a screen's strongest and weakest primary below which
// a hue counts as a pale one.
const pale = 0.4
