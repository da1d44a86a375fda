package flash

import "limn/fixtures/colour"

// The rule, by W3C WCAG 2.2 and ITU-R BT.1702.
const (
	// MaxFlashes is how many flashes any one second may have.
	MaxFlashes = 3
	// MinChange is the least change of luminance that counts, of the maximum.
	MinChange = 0.10
	// MaxDarker is the luminance the darker state must be below.
	MaxDarker = 0.80
	// MinRedShare is the least R/(R+G+B) of a saturated red.
	MinRedShare = 0.8
	// MinRedStep is the least distance in u'v' between the two states of a red change.
	MinRedStep = 0.2
	// minRed is the least R-G-B of a red that is no darkness: 20/320.
	minRed = 1.0 / 16

	// tooMany is the least number of changes in one second that is more than MaxFlashes.
	tooMany = 2*MaxFlashes + 1
)

// Caution is what the operator is told where something flashes too often.
const Caution = "This flashes more than three times a second. It can trigger seizures. Warn everyone present and get consent before running it."

// state is what the red rule sees of a light.
type state struct {
	uv  colour.UV
	red bool
}

// white is the chromaticity of darkness: D65, the white of sRGB.
var white = colour.XY{X: 0.3127, Y: 0.3290}.UV()

// see is a light as the red rule sees it.
func see(c colour.XYZ) state {
	xy, lit := c.XY()
	if !lit {
		return state{uv: white}
	}
	// Linear sRGB by IEC 61966-2-1; outside its gamut a part that is negative is none.
	r := max(float64(3.2406*c.X)-float64(1.5372*c.Y)-float64(0.4986*c.Z), 0)
	g := max(float64(-0.9689*c.X)+float64(1.8758*c.Y)+float64(0.0415*c.Z), 0)
	b := max(float64(0.0557*c.X)-float64(0.2040*c.Y)+float64(1.0570*c.Z), 0)
	s := state{uv: xy.UV()}
	if r >= MinRedShare*(r+g+b) {
		if r-g-b > minRed {
			s.red = true
		} else {
			s.uv = white
		}
	}
	return s
}
