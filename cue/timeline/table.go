package timeline

import (
	"math"

	"limn/cue"
	"limn/cue/motion"
)

// creepShare is the least share of its speed that a table is told while it turns
// and settles: one that lags behind what it is told would else be stopped short
// of its mark. Common practice, no source.
const creepShare = 0.1

// A drive is what turns the table.
type drive struct {
	motor  bool
	limits motion.Limits
}

func newDrive(shoot *cue.Shoot) drive {
	if shoot.Turntable.Hand || shoot.Rig.Index(shoot.Turntable.Drive) < 0 {
		return drive{}
	}
	d := drive{motor: true}
	l := &d.limits
	l.Speed, l.Accel, l.Backlash, l.Settle = shoot.TableLimits()
	if shoot.Turntable.Speed == 0 && l.Speed > cue.DefaultTableSpeed { // what a table can do is not what is good for a model
		l.Accel *= cue.DefaultTableSpeed / l.Speed
		l.Speed = cue.DefaultTableSpeed
	}
	return d
}

// TableKnown says whether it is known where the table stands: of a motor, once
// somebody has confirmed it.
func (p *Player) TableKnown() bool { return !p.drive.motor || p.turned }

// settle is how long the table swings once it has arrived.
func (d *drive) settle() span { return seconds(d.limits.Settle) }

// A turn is one movement of the table, or its standing still. Frames are the
// player's own count.
type turn struct {
	move  *motion.Move // nil: it stands
	to    float64      // azimuth 0..360
	begun int64
	there int64 // first frame at which to is reached
	quiet int64 // first frame at which it has settled there

	creep  float64 // degrees a second, signed as its last stretch
	pushed bool    // once there, the play of its gears is taken up
}

// standingAt stands at an azimuth from frame f on; nobody knows how its gears lie.
func standingAt(azimuth float64, f int64) turn {
	return turn{to: around360(azimuth), begun: f, there: f, quiet: f}
}

// stopped is t standing, from frame f on, where it is.
func (t *turn) stopped(f int64) turn {
	s := standingAt(t.azimuth(f), f)
	s.pushed = t.pushed && f >= t.there
	return s
}

// turned is t going on from frame f to an azimuth by the shorter way,
// counter-clockwise where both are equal: within the drive's limits, and its play
// taken up. A table that is moving goes over into the new movement.
func (t *turn) turned(to float64, f int64, d *drive) turn {
	from := t.azimuth(f)
	n := turn{to: around360(to), begun: f, pushed: true}
	if t.move != nil && f < t.there {
		at, _ := t.move.At(t.seconds(f))
		n.move = t.move.Redirect(t.seconds(f), at+cue.Turn(at, to), d.limits)
	} else {
		n.move = motion.To(from, to, d.limits, !t.pushed)
	}
	n.there = f + seconds(n.move.Lasts()).ceil()
	n.quiet = n.there
	if n.there == f {
		n.move = nil
		return n
	}
	n.quiet += d.settle().ceil()
	_, last := n.move.At(n.move.Lasts() - 0.5/Rate)
	n.creep = math.Copysign(creepShare*d.limits.Speed, last)
	return n
}

// seconds is how long the movement runs at frame f.
func (t *turn) seconds(f int64) float64 { return float64(f-t.begun) / Rate }

// azimuth is where the table is told to be at frame f.
func (t *turn) azimuth(f int64) float64 {
	if t.move == nil || f >= t.there {
		return t.to
	}
	at, _ := t.move.At(t.seconds(f))
	return around360(at)
}

// speedAt is the speed the table is told at frame f: that of the middle of the
// frame, and at least a creep until it has settled.
func (t *turn) speedAt(f int64) float64 {
	switch {
	case t.move == nil || f >= t.quiet:
		return 0
	case f >= t.there:
		return t.creep
	}
	_, speed := t.move.At(t.seconds(f) + 0.5/Rate)
	if creep := math.Abs(t.creep); math.Abs(speed) < creep {
		if speed == 0 {
			speed = t.creep
		}
		return math.Copysign(creep, speed)
	}
	return speed
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
