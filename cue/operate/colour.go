package operate

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"limn/fixtures/colour"
)

// shifted is a colour moved by mired (+ warmer) and by Duv (+ greener), written the
// way it was: a kelvin stays a kelvin, the camera's white stays the camera's
// white with a shift. What is no white has no mired and no tint to move; what is
// refused is said, and in the notices what had to be written another way.
func shifted(of string, spec colour.Spec, camera colour.White, mired, tint float64) (out colour.Spec, notice string, refused string) {
	xy := spec.Resolve(camera)
	white, ok := colour.IsWhite(xy)
	if !ok {
		return spec, "", fmt.Sprintf("%s is %s, which is no white: mired and tint move whites; give it a colour, as in trim %s colour %s",
			of, spec, of, "2700 K")
	}
	moved := white.Shift(mired)
	moved.Duv += tint
	if over := math.Abs(moved.Duv) > colour.MaxDuv; over {
		return spec, "", fmt.Sprintf("%s would have a tint of %+.4g, and beyond %g is no white", of, moved.Duv, colour.MaxDuv)
	}
	text, notice := reworded(spec, camera, white, moved, mired, tint)
	out, err := colour.ParseSpec(text)
	if err == nil {
		err = out.Check(camera)
	}
	switch {
	case err != nil:
		return spec, "", fmt.Sprintf("%s cannot be moved so far: %v", of, err)
	case out.String() == spec.String():
		return spec, "", fmt.Sprintf("%s is at the end of what can be written, %s", of, spec)
	}
	if math.Abs(moved.Mired()-white.Mired()-mired) > 0.5 {
		notice = fmt.Sprintf("%s is at the end of the whites: %s", of, out)
	}
	return out, notice, ""
}

// The ways of writing a white that keep their words when it moves.
var (
	cameraWay = regexp.MustCompile(`^white(?: ?([+-]?[0-9.]+) ?mired)?(?: tint ([+-]?[0-9.]+))?$`)
	kelvinWay = regexp.MustCompile(`^([0-9.]+) ?k(?: ?([+-][0-9.]+) ?mired)?(?: tint ([+-]?[0-9.]+))?$`)
	pointWay  = regexp.MustCompile(`^(xy|u'v')[ ]`)
	hexWay    = regexp.MustCompile(`^#`)
)

// reworded writes a moved white the way it was written before.
func reworded(spec colour.Spec, camera, white, moved colour.White, mired, tint float64) (text, notice string) {
	said := plainWords(spec.String())
	if m := cameraWay.FindStringSubmatch(said); m != nil {
		return "white" + miredWords(number(m[1])+mired) + tintWords(number(m[2])+tint), ""
	}
	if m := kelvinWay.FindStringSubmatch(said); m != nil {
		if m[2] != "" {
			return m[1] + " K" + miredWords(number(m[2])+mired) + tintWords(number(m[3])+tint), ""
		}
		kelvin := m[1]
		if mired != 0 {
			kelvin = strconv.FormatFloat(moved.Kelvin, 'f', 0, 64)
		}
		return kelvin + " K" + tintWords(number(m[3])+tint), ""
	}
	xy := moved.XY()
	if m := pointWay.FindStringSubmatch(said); m != nil {
		if m[1] == "xy" {
			return xyWords(xy), ""
		}
		uv := xy.UV()
		return fmt.Sprintf("u'v' %.4f %.4f", uv.U, uv.V), ""
	}
	if hexWay.MatchString(said) {
		if hex := hexOf(xy); hex != said {
			if h, err := colour.ParseSpec(hex); err == nil && colour.Steps(h.Resolve(camera), xy) <= 1 {
				return hex, ""
			}
		}
		return xyWords(xy), fmt.Sprintf("%s has no code near enough, so it is written as xy", spec)
	}
	return xyWords(xy), fmt.Sprintf("%s is written as xy from here on", spec)
}

// plainWords is a colour as written, in small letters, with plain signs and single spaces.
func plainWords(text string) string {
	text = strings.ToLower(strings.Join(strings.FieldsFunc(text, isBlank), " "))
	for _, r := range signs[2:] {
		text = strings.ReplaceAll(text, string(r), "-")
	}
	return strings.NewReplacer("- ", "-", "+ ", "+").Replace(text)
}

func number(text string) float64 {
	v, _ := parseNumber(text)
	return v
}

// Steps of what is written of a white: a twentieth of what anybody sees.
const (
	miredStep = 0.1
	duvStep   = 0.0001
)

func miredWords(v float64) string {
	if v = math.Round(v/miredStep) * miredStep; v == 0 {
		return ""
	}
	return " " + signedRound(v, 1) + " mired"
}

func tintWords(v float64) string {
	if v = math.Round(v/duvStep) * duvStep; v == 0 {
		return ""
	}
	return " tint " + signedRound(v, 4)
}

// signedRound is a number with its sign and at most so many decimals.
func signedRound(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if v > 0 {
		return "+" + text
	}
	return text
}

func xyWords(c colour.XY) string { return fmt.Sprintf("xy %.4f %.4f", c.X, c.Y) }

// hexOf is the brightest sRGB code of a chromaticity.
func hexOf(c colour.XY) string {
	rgb := colour.SRGB.Linear(c.XYZ(1))
	most := max(rgb[0], rgb[1], rgb[2])
	var code [3]int
	for i, v := range rgb {
		code[i] = int(math.Round(255 * colour.SRGB.Encode(max(0, v/most))))
	}
	return fmt.Sprintf("#%02x%02x%02x", code[0], code[1], code[2])
}
