package measure

import (
	"errors"
	"math"

	"limn/fixtures/colour"
	"limn/fixtures/fit"
)

// Card is what a picture of the grey card holds: the mean of the card in linear
// camera values, and how well that mean is known.
type Card struct {
	RGB   [3]float64
	Sigma [3]float64 // standard error of each mean
	// Exposure is t·ISO/N², so that RGB over it is light whatever the camera was set to.
	Exposure float64
}

// light is the card in camera values of one exposure.
func (c Card) light() (rgb, sigma [3]float64) {
	for i := range rgb {
		rgb[i], sigma[i] = c.RGB[i]/c.Exposure, c.Sigma[i]/c.Exposure
	}
	return rgb, sigma
}

// Known is a light whose reading is known, and its picture.
type Known struct {
	Card Card
	Dark Card // the same exposure with every light off; zero = none taken
	Lux  float64
	XY   colour.XY
}

// Camera turns linear camera values into light.
type Camera struct {
	Matrix fit.Matrix3
	Lights int     // known lights it was fitted to
	RMS    float64 // of what is left in Y, as a share of each known light; 0 with fewer than four
	// Blur is the same of their chromaticities, Δu'v': what lights of other spectra
	// than those known may be off by, and more if they are more saturated.
	Blur float64
	// Relative says that fewer than three colours were known: the camera's own colours
	// are only guessed, and lights like the known one compare well, others badly.
	Relative bool
}

// ErrCamera says that there is no known light, or a useless one.
var ErrCamera = errors.New("a camera needs a picture of at least one light whose reading is known, with light in red, green and blue")

// enoughLights is how many known lights leave an error to be seen.
const enoughLights = 4

// NewCamera finds how a camera sees, from lights that are known. Three or more of
// different colours give a matrix by least squares. With fewer, or all alike, base
// stands for it (the matrix of the file's colour space; see [SRGBBase]), scaled so
// that the known light comes out right: relative matching.
func NewCamera(known []Known, base fit.Matrix3) (*Camera, error) {
	if len(known) == 0 {
		return nil, ErrCamera
	}
	var rgbs, xyzs [][]float64
	for i := range known {
		k := &known[i]
		rgb := k.rgb()
		if !(rgb[0] > 0 && rgb[1] > 0 && rgb[2] > 0) && len(known) < 3 || !(k.Lux > 0) || !(k.XY.Y > 0) {
			return nil, ErrCamera
		}
		// Each light counts alike, however bright and of whatever colour: errors of u'
		// and v' go as those of XYZ over X + 15Y + 3Z.
		xyz := k.XY.XYZ(k.Lux)
		weight := 1 / (xyz.X + 15*xyz.Y + 3*xyz.Z)
		xyz = colour.XYZ{X: xyz.X * weight, Y: xyz.Y * weight, Z: xyz.Z * weight}
		for j := range rgb {
			rgb[j] *= weight
		}
		rgbs = append(rgbs, rgb[:])
		xyzs = append(xyzs, []float64{xyz.X, xyz.Y, xyz.Z})
	}
	if len(known) >= 3 {
		m, _, err := fit.Matrix(rgbs, xyzs)
		if err == nil {
			c := &Camera{Matrix: m, Lights: len(known)}
			if len(known) >= enoughLights {
				c.left(known)
			}
			return c, nil
		}
		if !errors.Is(err, fit.ErrAlike) {
			return nil, err
		}
	}
	return relative(known, base), nil
}

// left tells what the matrix leaves of the known lights. It has three numbers for
// each coordinate to choose, so of n lights only n - 3 tell.
func (c *Camera) left(known []Known) {
	sum, blur := 0.0, 0.0
	for i := range known {
		k := &known[i]
		xyz := c.Matrix.Apply(k.rgb())
		d := xyz[1]/k.Lux - 1
		sum += d * d
		if xy, ok := (colour.XYZ{X: xyz[0], Y: xyz[1], Z: xyz[2]}).XY(); ok {
			d := xy.UV().Distance(k.XY.UV())
			blur += d * d
		}
	}
	free := float64(len(known) - 3)
	c.RMS, c.Blur = math.Sqrt(sum/free), math.Sqrt(blur/free)
}

// rgb is the light of a known source without the room's.
func (k *Known) rgb() [3]float64 {
	rgb, _ := k.Card.light()
	if k.Dark.Exposure > 0 {
		dark, _ := k.Dark.light()
		for i := range rgb {
			rgb[i] -= dark[i]
		}
	}
	return rgb
}

// relative scales a base so that the known lights come out right in the mean.
func relative(known []Known, base fit.Matrix3) *Camera {
	var gain [3]float64
	for i := range known {
		k := &known[i]
		seen := base.Apply(k.rgb())
		xyz := k.XY.XYZ(k.Lux)
		for j, want := range [3]float64{xyz.X, xyz.Y, xyz.Z} {
			gain[j] += want / seen[j] / float64(len(known))
		}
	}
	c := &Camera{Matrix: base, Lights: len(known), Relative: true}
	for i := range c.Matrix {
		for j := range c.Matrix[i] {
			c.Matrix[i][j] *= gain[i]
		}
	}
	return c
}

// SRGBBase is the matrix of a picture in the colours of sRGB, linear.
func SRGBBase() fit.Matrix3 {
	var m fit.Matrix3
	for j := range 3 {
		var one [3]float64
		one[j] = 1
		xyz := colour.SRGB.XYZ(one)
		m[0][j], m[1][j], m[2][j] = xyz.X, xyz.Y, xyz.Z
	}
	return m
}

// Terms are what this camera adds to the error.
func (c *Camera) Terms() Terms {
	t := CameraTerms()
	t.Class, t.Colour = c.RMS, c.Blur
	if c.Relative || c.Lights < enoughLights {
		// Nothing is left over that would tell (common practice, no source: across
		// types of lamp, one camera is good to 3 to 5 %).
		t.Class, t.Colour = 0.05, 0.01
	}
	return t
}

// Read is the light of a card: lux (or whatever unit the known lights have), its
// chromaticity, and how well one reading repeats by the noise of the picture. The
// colour is zero where there is none. Source, control and level are the caller's.
func (c *Camera) Read(card Card) (q Reading) {
	rgb, sigma := card.light()
	xyz := c.Matrix.Apply(rgb)
	q.Level, q.After = math.NaN(), math.NaN()
	q.Lux = xyz[1]
	light := colour.XYZ{X: xyz[0], Y: xyz[1], Z: xyz[2]}
	spread := 0.0
	here, ok := light.XY()
	ok = ok && light.X > 0 && light.Y > 0 && light.Z > 0
	blur := 0.0
	for j := range 3 {
		spread = math.Hypot(spread, c.Matrix[1][j]*sigma[j])
		moved := rgb
		moved[j] += sigma[j]
		m := c.Matrix.Apply(moved)
		if there, fine := (colour.XYZ{X: m[0], Y: m[1], Z: m[2]}).XY(); ok && fine {
			blur = math.Hypot(blur, there.UV().Distance(here.UV()))
		}
	}
	if q.Lux > 0 {
		q.Error = spread / q.Lux
	}
	q.ColourError = blur
	if ok && colour.IsReal(here) {
		q.XY = here
	}
	return q
}
