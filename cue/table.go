package cue

import (
	"math"

	"limn/fixtures"
)

// What a motor table does where nobody says otherwise: a turn takes 36 seconds, slow enough for a model
// that only stands there and for fingers to get away (common practice, no source).
const (
	DefaultTableSpeed = 10.0 // degrees a second
	DefaultTableRamp  = 2.0  // seconds from standing to that speed
)

// MaxBacklash is the most play of a table's gears, degrees, MaxTableRamp the longest
// time to its speed, seconds.
const (
	MaxBacklash  = 10.0
	MaxTableRamp = 60.0
)

// TableLimits is what a motor table may do: its speed in degrees a second, its acceleration in degrees a
// second each second, the play of its gears in degrees and the seconds until it stops swinging. The speed is the
// one written, no more than the profile allows; where none is written DefaultTableSpeed or less. A moving shot
// may be faster than that: see TableMost.
func (s *Shoot) TableLimits() (speed, accel, backlash, settle float64) {
	t := &s.Turntable
	speed = DefaultTableSpeed
	if most := s.TableMost(); most > 0 && (t.Speed > 0 || most < speed) {
		speed = most
	}
	ramp := t.Ramp.Seconds
	if ramp == 0 {
		ramp = DefaultTableRamp
	}
	if i := s.tableSource(); i >= 0 {
		settle = s.Rig.Sources[i].SettleSeconds()
	}
	return speed, speed / ramp, t.Backlash.Degrees, settle
}

// tableSource is the source that turns the table, -1 if hands do.
func (s *Shoot) tableSource() int {
	if s.Turntable.Hand || s.Rig == nil {
		return -1
	}
	return s.Rig.Index(s.Turntable.Drive)
}

// TableMost is the most that a moving shot may turn a motor table, in degrees a second: as written, no more
// than the profile allows; 0 where neither says.
func (s *Shoot) TableMost() float64 {
	written, made := s.Turntable.Speed, s.TableSpeed()
	if written > 0 && made > 0 {
		return min(written, made)
	}
	return max(written, made)
}

// TableSpeed is the most a motor table turns by its profile, in degrees a second;
// 0 where there is none, or its profile does not say.
func (s *Shoot) TableSpeed() float64 {
	i := s.tableSource()
	if i < 0 || s.Rig.Sources[i].Profile == nil {
		return 0
	}
	slots := s.Rig.Sources[i].Profile.Slots
	for j := range slots {
		if slots[j].Kind == fixtures.SlotSpeed {
			return max(math.Abs(slots[j].From), math.Abs(slots[j].To))
		}
	}
	return 0
}
