package timeline

import (
	"math"

	"limn/cue"
	"limn/fixtures"
)

// motorSpeed is how fast a motor table turns, in degrees a second, unless its
// profile allows less: 36 seconds a turn, slow enough for a model that only
// stands on the table and for fingers to get away.
const motorSpeed = 10.0

// A drive is what turns the table.
type drive struct {
	motor  bool
	speed  float64 // degrees a second, above 0
	settle span
}

func newDrive(shoot *cue.Shoot) drive {
	i := -1
	if !shoot.Turntable.Hand {
		i = shoot.Rig.Index(shoot.Turntable.Drive)
	}
	if i < 0 {
		return drive{}
	}
	s := &shoot.Rig.Sources[i]
	return drive{motor: true, speed: speedOf(s.Profile), settle: seconds(s.SettleSeconds())}
}

// speedOf is the constant speed of a table of this make.
func speedOf(p *fixtures.Profile) float64 {
	if p == nil {
		return motorSpeed
	}
	for i := range p.Slots {
		if s := &p.Slots[i]; s.Kind == fixtures.SlotSpeed {
			if most := max(math.Abs(s.From), math.Abs(s.To)); most > 0 {
				return min(motorSpeed, most)
			}
		}
	}
	return motorSpeed
}

// A turn is one movement of the table, or its standing still. Frames are the
// player's own count.
type turn struct {
	from, to float64 // azimuth 0..360
	way      float64 // degrees from one to the other, signed
	speed    float64 // degrees a second, signed; 0 = it stands
	begun    int64
	there    int64 // first frame at which to is reached
	quiet    int64 // first frame at which it has settled there
}

func standingAt(azimuth float64, f int64) turn {
	azimuth = around360(azimuth)
	return turn{from: azimuth, to: azimuth, begun: f, there: f, quiet: f}
}

// newTurn goes from one azimuth to the other by the shorter way,
// counter-clockwise where both are equal, at constant speed.
func newTurn(from, to float64, f int64, d drive) turn {
	t := standingAt(from, f)
	t.to = around360(to)
	t.way = cue.Turn(t.from, t.to)
	if t.way == 0 {
		return t
	}
	t.speed = math.Copysign(d.speed, t.way)
	t.there = f + int64(math.Ceil(math.Abs(t.way)/d.speed*Rate))
	t.quiet = t.there + d.settle.ceil()
	return t
}

// azimuth is where the table is told to be at frame f.
func (t *turn) azimuth(f int64) float64 {
	switch {
	case f >= t.there:
		return t.to
	case f <= t.begun:
		return t.from
	}
	gone := float64(t.speed*float64(f-t.begun)) / Rate
	return around360(t.from + min(max(gone, -math.Abs(t.way)), math.Abs(t.way)))
}

// speedAt is the speed the table is told at frame f. It is kept up until the
// table has settled: one that lags behind what it is told would else be stopped
// short of its mark.
func (t *turn) speedAt(f int64) float64 {
	if f >= t.quiet {
		return 0
	}
	return t.speed
}

// around360 brings an azimuth into 0..360.
func around360(a float64) float64 {
	a = math.Mod(a, 360)
	if a < 0 {
		a += 360
	}
	if a >= 360 { // a tiny negative angle rounds up to a whole turn
		a = 0
	}
	return a
}
