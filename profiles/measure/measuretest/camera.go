package measuretest

import (
	"image"
	"math"

	"limn/fixtures/colour"
)

// Camera photographs the grey card.
type Camera struct {
	Width, Height int
	Card          image.Rectangle
	Sensor        [3][3]float64 // XYZ of one lux to linear values, at exposure 1
	Exposure      float64       // t·ISO/N²
	Noise         float64       // of one pixel, a share of its value
	Black         float64       // noise of one pixel that is always there, of full
	Flicker       float64       // (highest - lowest)/mean of the light over the rows
	Bands         float64       // number of bands in the height of the picture
	Around        float64       // reflectance of what stands around, of the card's
}

// NewCamera is a camera whose sensor sees by a mixture of XYZ, as a good one does.
func NewCamera() *Camera {
	return &Camera{
		Width: 360, Height: 260, Card: image.Rect(80, 50, 290, 210),
		Sensor: [3][3]float64{{0.9, 0.25, -0.12}, {-0.28, 1.15, 0.14}, {0.02, -0.005, 0.75}},
		// 1000 lx come to half of full.
		Exposure: 0.5 / 1000, Noise: 0.01, Black: 1e-4, Around: 0.1,
	}
}

// Values are the linear values of a light, noise apart.
func (c *Camera) Values(l colour.XYZ) (v [3]float64) {
	for i, row := range c.Sensor {
		v[i] = max(0, (row[0]*l.X+row[1]*l.Y+row[2]*l.Z)*c.Exposure)
	}
	return v
}

// Shoot photographs the card in the light that now falls on it.
func (s *Set) Shoot(c *Camera) *image.RGBA64 {
	img := image.NewRGBA64(image.Rect(0, 0, c.Width, c.Height))
	card := c.Values(s.Light())
	for y := range c.Height {
		beat := 1 + c.Flicker/2*math.Sin(2*math.Pi*c.Bands*float64(y)/float64(c.Height))
		for x := range c.Width {
			k := beat
			if !(image.Point{x, y}).In(c.Card) {
				k *= c.Around
			}
			at := img.PixOffset(x, y)
			for i := range card {
				v := card[i] * k * (1 + c.Noise*s.noise.NormFloat64())
				v += c.Black * s.noise.NormFloat64()
				code := uint16(math.Round(min(max(v, 0), 1) * math.MaxUint16))
				img.Pix[at+2*i], img.Pix[at+2*i+1] = byte(code>>8), byte(code)
			}
			img.Pix[at+6], img.Pix[at+7] = 0xff, 0xff
		}
	}
	return img
}
