package motion

import "math"

// Shot is a moving shot: its run goes from the first mark to the last at constant speed, with a
// stretch before to get to speed and one after to stop.
type Shot struct {
	Run   *Move   // from the standing start to rest beyond the last mark
	Start float64 // where the table stands before it
	First float64 // the azimuth of the first mark,
	Last  float64 // and of the last
	Speed float64 // degrees a second, signed

	// In seconds after the run began.
	AtFirst, AtLast float64

	limits Limits
}

// DryRunSpeed is the share of its speed at which a moving shot is tried out.
const DryRunSpeed = 0.25

// NewShot plans a moving shot of so many degrees (signed) from the first mark, at a
// speed, the table running at full speed for preRoll seconds before the mark. Its speed is
// no more than the limits allow.
func NewShot(first, travel, speed, preRoll float64, l Limits) *Shot {
	l = l.sound()
	sense := math.Copysign(1, travel)
	speed = min(math.Abs(speed), l.Speed)
	ramp := speed / l.Accel
	need := float64(speed*ramp) / 2
	preRoll = max(preRoll, 0)
	runUp := need + float64(speed*preRoll)
	s := &Shot{
		Start: first - float64(sense*runUp), First: first, Last: first + travel, Speed: sense * speed,
		AtFirst: ramp + preRoll, limits: l,
	}
	s.AtLast = s.AtFirst + math.Abs(travel)/speed
	end := s.Last + float64(sense*need)
	b := builder{move: Move{from: s.Start, to: end, settle: l.Settle}, at: s.Start, limits: l}
	b.leg(s.Start+float64(sense*need), ramp, 0, s.Speed)
	b.leg(first, preRoll, s.Speed, s.Speed)
	b.leg(s.Last, math.Abs(travel)/speed, s.Speed, s.Speed)
	b.leg(end, ramp, s.Speed, 0)
	s.Run = b.done()
	return s
}

// Approach is the way from where the table stands to the start of the run, by the shorter way, so that the
// play is taken up in the sense of the run.
func (s *Shot) Approach(from float64, slack bool) *Move {
	l := s.limits
	l.Sense = s.Speed
	return To(from, s.Start, l, slack)
}

// Back is the way from where the table stands, unwrapped, to the start of the run: it
// turns back the way it came, so that cables unwind. One that stands where the run began stays.
func (s *Shot) Back(from float64) *Move {
	l := s.limits
	l.Sense = s.Speed
	return By(from, s.Start-from, l, true)
}

// Dry is the same shot, slowly, to try it out.
func (s *Shot) Dry() *Shot {
	preRoll := s.AtFirst - math.Abs(s.Speed)/s.limits.Accel
	return NewShot(s.First, s.Last-s.First, s.Speed*DryRunSpeed, preRoll, s.limits)
}
