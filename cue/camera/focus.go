package camera

import "math"

// Depth is where a subject looks sharp, mm from the entrance pupil. Far is +Inf
// where there is no limit.
type Depth struct{ Near, Far float64 }

// Total is how deep that is.
func (d Depth) Total() float64 { return d.Far - d.Near }

// Hyperfocal is the focus distance beyond which everything is sharp,
// f²/(N·c) + f. Tables that leave out the +f are that much shorter.
func Hyperfocal(f, n, c float64) float64 { return f*f/(n*c) + f }

// DepthOfField is exact for a thin lens of focal length f at f-number n focused
// at u, with blur c allowed on the sensor: with k = c·N·(u-f)/f², near u/(1+k)
// and far u/(1-k).
func DepthOfField(f, n, c, u float64) Depth {
	if !(u > f) || !(f > 0) {
		return Depth{math.NaN(), math.NaN()}
	}
	k := c * n * (u - f) / (f * f)
	d := Depth{Near: u / (1 + k), Far: math.Inf(1)}
	if k < 1 {
		d.Far = u / (1 - k)
	}
	return d
}

// CloseDepth is the depth of field at magnification m, 2·N·c·(1+m/p)/m². It
// holds where it is small against the distance; the focal length then hardly
// matters.
func CloseDepth(n, c, m, p float64) float64 {
	effective, _ := Effective(n, m, p)
	return 2 * effective * c / (m * m)
}

// AllowedBlur is the diagonal of a sensor over a divisor, 1500 by the usual
// convention (common practice; 1730 in older tables).
func AllowedBlur(width, height, divisor float64) (diagonal, c float64) {
	diagonal = math.Hypot(width, height)
	return diagonal, diagonal / divisor
}

// BlurDivisor is the usual divisor of AllowedBlur.
const BlurDivisor = 1500.0

// Blur of a point z behind (or, negative, before) a focus plane at u: in that
// plane A·|z|/(u+z) with A = f/N, and on the sensor m times that. Exact for any
// lens whose u is from the entrance pupil.
func Blur(f, n, u, z, m float64) (object, sensor float64) {
	object = f / n * math.Abs(z) / (u + z)
	return object, m * object
}

// Magnification of a thin lens of focal length f focused at u from the entrance
// pupil: f/(u-f).
func Magnification(f, u float64) float64 { return f / (u - f) }

// Airy is the diameter of the first dark ring of diffraction in mm,
// 2.44·λ·N_eff. It holds for a round aperture; n is the effective number.
func Airy(wavelength, effective float64) float64 {
	return airyFactor * wavelength * mmPerNM * effective
}

const (
	airyFactor = 2.44
	mmPerNM    = 1e-6
)

// Wavelength is that of green light in nm, by which diffraction is reckoned.
const Wavelength = 550.0

// TotalBlur adds defocus and diffraction as root of squares: a careful
// convention, not physics (Hansma; Peterson). Do not show many digits of it.
func TotalBlur(defocus, diffraction float64) float64 { return math.Hypot(defocus, diffraction) }

// Spread is how far apart on the image side two subject distances come to a
// focus, in mm: f²/(near-f) - f²/(far-f).
func Spread(f, near, far float64) float64 { return f*f/(near-f) - f*f/(far-f) }

// Midway is the focus distance whose image lies midway between those of two
// distances.
func Midway(f, near, far float64) float64 {
	v := f + (f*f/(near-f)+f*f/(far-f))/2
	return f * v / (v - f)
}

// BestAperture is the effective f-number at which defocus at the ends of a
// spread equals diffraction, √(ΔV/(4.88·λ)), and the blur then in mm, √2 times
// either (from memory of the view camera's rule √(375·ΔV)).
func BestAperture(spread, wavelength float64) (effective, blur float64) {
	effective = math.Sqrt(spread / (2 * airyFactor * wavelength * mmPerNM))
	return effective, math.Sqrt2 * Airy(wavelength, effective)
}

// MostAperture is the effective f-number at which diffraction alone fills the
// allowed blur: c/(2.44·λ).
func MostAperture(c, wavelength float64) float64 { return c / (airyFactor * wavelength * mmPerNM) }

// NeededAperture is the effective f-number at which a spread stays within the
// allowed blur at both ends: ΔV/(2·c).
func NeededAperture(spread, c float64) float64 { return spread / (2 * c) }
