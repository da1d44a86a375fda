package camera

import "math"

// TableFrames is what each of a number of frames of one turn, played at fps,
// turns by, how long it plays, and the speed it seems to have.
func TableFrames(count, fps float64) (degreesEach, seconds, rpm float64) {
	seconds = count / fps
	return 360 / count, seconds, 60 / seconds
}

// TableSteps is what a stepping motor does in a turn of the table and in one of
// so many frames, and its step in seconds of arc. Where a frame's steps are not
// whole, round the place to go to, never the increment.
func TableSteps(motorSteps, microsteps, gear, count float64) (perTurn, perFrame, arcSeconds float64) {
	perTurn = motorSteps * microsteps * gear
	return perTurn, perTurn / count, 360 * 3600 / perTurn
}

// Turning is a speed of the table.
type Turning struct{ RadiansPerSecond, DegreesPerSecond, RPM, SecondsPerTurn float64 }

// TurningAt is a speed of so many radians a second.
func TurningAt(rad float64) Turning {
	return Turning{rad, degrees(rad), rad * 60 / (2 * math.Pi), 2 * math.Pi / rad}
}

// FastestTurn is the speed at which a point at a radius (m) is blurred by no more
// than so many pixels (of a pitch in m) in an exposure of t, seen at
// magnification m. What is mirrored in the subject moves further: see MirrorBlur.
func FastestTurn(radius, m, t, pixel, pixels float64) Turning {
	return TurningAt(pixels * pixel / (radius * m * t))
}

// MirrorBlur is how far, in pixels, the mirror image of a source at distance d in
// a flat panel on the axis moves during t, with the camera at u from the panel
// (metres): 2ωt·d·u/(u+d)·m/pixel.
func MirrorBlur(rpm, d, u, m, t, pixel float64) float64 {
	omega := rpm * 2 * math.Pi / 60
	return 2 * omega * t * d * u / (u + d) * m / pixel
}

// SettleTime is how long a swing of amplitude a takes to fall to tol, for a
// damping ratio below 0.3 and a natural frequency in Hz: ln(a/tol)/(ζ·2π·f).
func SettleTime(a, tol, damping, natural float64) float64 {
	return math.Log(a/tol) / (damping * 2 * math.Pi * natural)
}

// Captures is how many pictures a series of light passes at so many angles takes,
// and how long.
func Captures(angles, move, settle, passes, each float64) (count, seconds float64) {
	return angles * passes, angles * (move + settle + passes*each)
}
