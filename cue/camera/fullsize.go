package camera

import "math"

// Factors is how the light at full size compares with the model's for the same
// exposure.
type Factors struct {
	Lux    float64 // of the illuminance
	Lumens float64 // of the flux: the areas are scale² larger
	Stops  float64 // of the illuminance
}

// FullSizeLight compares a full-size shoot with a model at 1:scale: effective
// f-numbers, times and sensitivities of either. A model that was shot with the
// depth of the full size (N_eff' = s·N_eff) burns the full size's lumens already,
// so the factor is then 1.
func FullSizeLight(scale, nModel, nFull, tModel, tFull, sModel, sFull float64) Factors {
	r := nFull / nModel
	f := Factors{Lux: r * r * (tModel / tFull) * (sModel / sFull)}
	f.Lumens, f.Stops = scale*scale*f.Lux, Stops(f.Lux)
	return f
}

// Enlarged is a source at full size.
type Enlarged struct {
	Width, Height, Distance float64 // in the unit they were given in
	Lumens, Watts           float64 // at the same luminance
	Subtense                float64 // degrees: as on the model
}

// FullSizeSource enlarges a source of a model at 1:scale: lengths by the scale,
// flux by its square, watts by the efficacies in lm/W of the lights of either.
func FullSizeSource(scale, width, height, distance, flux, power, efficacyModel, efficacyFull float64) Enlarged {
	return Enlarged{
		Width: scale * width, Height: scale * height, Distance: scale * distance,
		Lumens:   scale * scale * flux,
		Watts:    scale * scale * power * efficacyModel / efficacyFull,
		Subtense: degrees(2 * math.Atan(width/(2*distance))),
	}
}

// FullSizeRate is the frame rate at which a model's fall or splash looks full
// size, fps·√s, and what it costs in stops (Visual Effects Society Handbook,
// appendix A). Lights and a turning table need none of it.
func FullSizeRate(scale, fps float64) (rate, stops float64) {
	return fps * math.Sqrt(scale), math.Log2(scale) / 2
}

// ModelSpeed is how fast a model must travel, v/s · shot/played, in v's unit (the
// same handbook).
func ModelSpeed(v, scale, shot, played float64) float64 { return v / scale * shot / played }

// LightsNeeded is the flux for an illuminance on an area, of which a share
// utilisation arrives (0.2 to 0.4 of bounced or diffused light: common practice,
// no source), and how many lights of a flux give it.
func LightsNeeded(lux, area, perLight, utilisation float64) (lumens, lights float64) {
	lumens = lux * area / utilisation
	return lumens, math.Ceil(lumens / perLight)
}

// Orbit is where a camera, light, card or background goes at full size, where the
// subject stays: what the table turned the model by, in degrees counter-clockwise
// seen from above, they go the other way about the same axis. A source overhead
// turns too unless it looks the same from all sides.
func Orbit(x, y, turned float64) (xTo, yTo float64) {
	s, c := math.Sincos(-turned * math.Pi / 180)
	return c*x - s*y, s*x + c*y
}

func degrees(radians float64) float64 { return radians * 180 / math.Pi }
