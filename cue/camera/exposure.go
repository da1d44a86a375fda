package camera

import "math"

// The constants of exposure meters in use, within what ISO 2720:1974 allows:
// K of reflected light 10.6 to 13.4, C of a flat receptor 240 to 400.
const (
	MeterC = 250.0 // incident light, flat receptor; domes are marked with 320 to 540
	MeterK = 12.5  // reflected light
)

// LuxPerFootcandle is one lumen on a square foot (0.3048 m exactly).
const LuxPerFootcandle = 1 / (0.3048 * 0.3048)

// EV is the exposure value of an aperture and a time, log2(N²/t) (APEX). It is a
// camera setting, no amount of light until a sensitivity is stated.
func EV(n, t float64) float64 { return math.Log2(n * n / t) }

// EV100 is the exposure value at ISO 100 of settings at ISO s: EV - log2(s/100).
func EV100(n, t, s float64) float64 { return EV(n, t) - math.Log2(s/100) }

// Lux is the illuminance for an exposure by the incident equation,
// E = C·N²/(t·S) (ISO 2720). n is the effective f-number where focus is close.
// It holds for steady light, not for flash.
func Lux(n, t, s, c float64) float64 { return c * n * n / (t * s) }

// FNumber is the effective f-number that an illuminance allows, √(E·t·S/C).
func FNumber(lux, t, s, c float64) float64 { return math.Sqrt(lux * t * s / c) }

// Luminance is the mid-tone luminance for an exposure by the reflected equation,
// L = K·N²/(t·S) (ISO 2720).
func Luminance(n, t, s, k float64) float64 { return k * n * n / (t * s) }

// LuxOfEV100 is the illuminance at which an incident meter reads an EV100:
// (C/100)·2^EV100.
func LuxOfEV100(ev, c float64) float64 { return c / 100 * math.Exp2(ev) }

// EV100OfLux is the inverse of LuxOfEV100.
func EV100OfLux(lux, c float64) float64 { return math.Log2(100 * lux / c) }

// EV100OfLuminance is what a reflected meter reads of a luminance: log2(100·L/K).
func EV100OfLuminance(cdm2, k float64) float64 { return math.Log2(100 * cdm2 / k) }

// Stops is a ratio of light in stops.
func Stops(ratio float64) float64 { return math.Log2(ratio) }

// ImpliedGrey is the reflectance at which incident and reflected meters agree,
// π·K/C: 15.7 % with the usual constants, so an 18 % card reads a fifth of a
// stop over the incident reading, which is nobody's mistake.
func ImpliedGrey(k, c float64) float64 { return math.Pi * k / c }

// Ratio is a lighting ratio in both conventions, which must always be named:
// key and fill together against fill, and key against fill alone. Key and fill
// are measured with the other off; they add, because light adds.
type Ratio struct {
	TogetherToFill, TogetherStops float64
	KeyToFill, KeyStops           float64
}

// LightingRatio is the ratio of key and fill in lux.
func LightingRatio(key, fill float64) Ratio {
	r := Ratio{TogetherToFill: (key + fill) / fill, KeyToFill: key / fill}
	r.TogetherStops, r.KeyStops = Stops(r.TogetherToFill), Stops(r.KeyToFill)
	return r
}

// Density is a neutral density: the share it lets through, and the loss.
type Density struct{ Transmittance, Stops, Factor float64 }

// ND is a neutral density filter of optical density d: 10^-d. A name such as
// "ND8" means a factor, "0.9" a density.
func ND(d float64) Density {
	t := math.Pow(10, -d)
	return Density{Transmittance: t, Stops: -math.Log2(t), Factor: 1 / t}
}

// TStop is the T-stop of a lens of f-number n and transmittance tau, N/√τ, and
// its loss in stops. Exposure goes by T, depth of field and diffraction by N.
func TStop(n, tau float64) (t, loss float64) { return n / math.Sqrt(tau), -math.Log2(tau) }

// Effective is the effective f-number at magnification m of a lens of pupil
// ratio p (exit pupil over entrance pupil; 1 where unknown), N·(1+m/p), and the
// loss in stops. Some cameras show the effective number already: apply it once.
func Effective(n, m, p float64) (effective, loss float64) {
	x := 1 + m/p
	return n * x, 2 * math.Log2(x)
}

// Marked is the f-number to set for an effective one.
func Marked(effective, m, p float64) float64 { return effective / (1 + m/p) }

// ShutterTime is the time a shutter angle opens at a frame rate, angle/(360·fps).
func ShutterTime(degrees, fps float64) float64 { return degrees / (360 * fps) }

// ShutterAngle is the angle that opens for a time at a frame rate.
func ShutterAngle(t, fps float64) float64 { return 360 * fps * t }

// saturationShare is the part of the saturation exposure that a mid-tone of
// ISO 12232 comes to: the lens' own q = 0.65, and the 78 of its saturation
// speed (from memory of the standard).
const (
	lensQ           = 0.65
	saturationSpeed = 78.0
)

// Headroom is the focal-plane exposure of a metered mid-tone in lux seconds,
// q·K/S, and the stops from there to clipping by the saturation speed of ISO
// 12232 (q = 0.65, 78/S; from memory of the standard). Cameras differ: a
// measured figure is better.
func Headroom(k, s float64) (midExposure, stops float64) {
	mid := lensQ * k / s
	return mid, math.Log2(saturationSpeed / s / mid)
}

// OverMid is how many stops a luminance lies over the mid-tone of the camera's
// settings.
func OverMid(cdm2, n, t, s, k float64) float64 { return math.Log2(cdm2 / Luminance(n, t, s, k)) }
