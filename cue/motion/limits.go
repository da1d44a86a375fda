package motion

import "math"

// Limits is what a table can do, and what is good for what stands on it.
type Limits struct {
	Speed    float64 // the most, degrees a second; above 0
	Accel    float64 // the most, degrees a second each second; above 0
	Backlash float64 // play of the gears, degrees; 0 = none
	Sense    float64 // in which every movement ends: below 0 clockwise, else counter-clockwise
	Settle   float64 // seconds from standing until it has stopped swinging
}

// Defaults are limits for a table nobody has measured: a turn takes 36 seconds, slow enough
// for fingers to get away, and full speed is reached in two (common practice, no source).
func Defaults() Limits { return Limits{Speed: 10, Accel: 5} }

// Bounds of limits, which keep a slip of the unit from moving a model off its table.
const (
	MaxSpeed    = 180.0 // degrees a second
	MaxAccel    = 360.0 // degrees a second each second
	MaxBacklash = 10.0  // degrees
	minSpeed    = 1e-3
	minAccel    = 1e-3
)

// sound is l within bounds; what is no number counts as the default.
func (l Limits) sound() Limits {
	d := Defaults()
	l.Speed = within(l.Speed, minSpeed, MaxSpeed, d.Speed)
	l.Accel = within(l.Accel, minAccel, MaxAccel, d.Accel)
	l.Backlash = within(l.Backlash, 0, MaxBacklash, 0)
	l.Settle = within(l.Settle, 0, math.MaxFloat32, 0)
	if l.Sense < 0 {
		l.Sense = -1
	} else {
		l.Sense = 1
	}
	return l
}

func within(v, low, high, fallback float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fallback
	}
	if v <= 0 && low > 0 {
		return fallback
	}
	return min(max(v, low), high)
}

// takeUp is how far beyond its end a movement from the wrong side goes: twice the play, as
// friction changes with what stands on the table.
func (l Limits) takeUp() float64 { return 2 * l.Backlash }
