package cue

import (
	"fmt"
	"math"
	"strconv"
)

// DeadBand is how far apart two azimuths may lie and still count as the same,
// degrees: less than a hand can set.
const DeadBand = 0.05

// Turn is the shortest way from one azimuth to another in degrees, positive
// counter-clockwise seen from above; half a turn goes counter-clockwise.
func Turn(from, to float64) float64 {
	d := math.Mod(to-from, 360)
	switch {
	case d <= -180:
		d += 360
	case d > 180:
		d -= 360
	}
	return d
}

// TurnPrompt tells how to turn the model from one azimuth of the table to
// another, and where the bow goes: "turn the model from 35° to 80°,
// counter-clockwise 45: bow goes camera right". It is "" where there is nothing
// to turn.
func TurnPrompt(from, to float64) string {
	d := Turn(from, to)
	if math.Abs(d) <= DeadBand {
		return ""
	}
	sense := "counter-clockwise"
	if d < 0 {
		sense = "clockwise"
	}
	return fmt.Sprintf("turn the model from %s° to %s°, %s %s: bow goes %s",
		degrees(from), degrees(to), sense, degrees(math.Abs(d)), bowGoes(from, d))
}

// standPrompt tells how to put the model when nobody knows how it stands.
func standPrompt(to float64) string {
	return fmt.Sprintf("turn the model to %s°: bow %s", degrees(to), bowPoints[eighth(to)])
}

// sideways is the least share of a movement across the camera's view that makes
// it a movement to the right or left; below, it is one toward or away. Half
// means within 60° of straight across.
const sideways = 0.5

// bowGoes says where the bow goes in a turn of d degrees that begins at azimuth
// from, as the camera sees it. With the bow at azimuth a it stands sin a to the
// camera's right and cos a toward the camera; over a turn it moves at right
// angles to where it points midway.
func bowGoes(from, d float64) string {
	middle := from + d/2
	sin, cos := math.Sincos(middle * math.Pi / 180)
	if math.Abs(d) > 90 { // too far round to be a direction: say by which way
		switch {
		case sin >= math.Sqrt2/2:
			return "round by camera right"
		case sin <= -math.Sqrt2/2:
			return "round by camera left"
		case cos > 0:
			return "round past the camera"
		}
		return "round the far side"
	}
	right, near := cos, -sin
	if d < 0 {
		right, near = -right, -near
	}
	switch {
	case right >= sideways:
		return "camera right"
	case right <= -sideways:
		return "camera left"
	case near > 0:
		return "toward the camera"
	}
	return "away from the camera"
}

// bowPoints says where the bow points, stands where a thing stands, to the
// nearest eighth of a turn from the camera's side on.
var (
	bowPoints = [8]string{
		"toward the camera", "toward the camera and right", "to camera right", "away and right",
		"away from the camera", "away and left", "to camera left", "toward the camera and left",
	}
	stands = [8]string{
		"on the camera side", "on the camera side, right", "camera right", "behind, right",
		"behind the model", "behind, left", "camera left", "on the camera side, left",
	}
)

// eighth is the nearest eighth of a turn, 0..7.
func eighth(azimuth float64) int {
	e := int(math.Round(math.Mod(azimuth, 360)/45)) % 8
	return (e + 8) % 8
}

// degrees prints an angle to a tenth of a degree.
func degrees(d float64) string {
	return strconv.FormatFloat(math.Round(d*10)/10+0, 'f', -1, 64)
}
