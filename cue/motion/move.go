package motion

import "math"

// Move is one movement of a table, or its standing still. It is read-only.
type Move struct {
	legs   []leg
	from   float64
	to     float64
	settle float64
}

// leg is a stretch of constant acceleration.
type leg struct {
	begun, lasts float64 // seconds
	from         float64 // degrees
	to           float64 // degrees, reached at its end
	speed, last  float64 // at its beginning and at its end
	accel        float64
}

// Stand is no movement: the table stands at an azimuth.
func Stand(azimuth float64) *Move { return &Move{from: azimuth, to: azimuth} }

// To goes from where the table stands to an azimuth by the shorter way, counter-clockwise where both
// are equal. Its end is the azimuth, perhaps some turns round. slack says that the play has not been taken up
// yet, as before the first movement: then even a table that stands right is pushed there anew.
func To(from, to float64, l Limits, slack bool) *Move {
	d := math.Mod(to-from, 360)
	switch {
	case d <= -180:
		d += 360
	case d > 180:
		d -= 360
	}
	return By(from, d, l, slack)
}

// By goes so many degrees from where the table stands, positive counter-clockwise.
func By(from, degrees float64, l Limits, slack bool) *Move {
	l = l.sound()
	b := builder{move: Move{from: from, to: from + degrees, settle: l.Settle}, at: from, limits: l}
	b.arrive(from+degrees, slack)
	return b.done()
}

// arrive goes to an azimuth so that the play is taken up.
func (b *builder) arrive(to float64, slack bool) {
	way := to - b.at
	beyond := b.limits.takeUp()
	if beyond > 0 && (way*b.limits.Sense < 0 || (slack && math.Abs(way) < beyond)) {
		b.run(to-float64(b.limits.Sense*beyond), b.limits.Speed)
	}
	b.run(to, b.limits.Speed)
}

// Stop leaves off from what the movement does at t: as gently as the limits say, the table comes to
// rest where it can. Its play is taken up only if it was moving in the limits' sense.
func (m *Move) Stop(t float64, l Limits) *Move {
	l = l.sound()
	at, speed := m.At(t)
	b := builder{move: Move{from: at, settle: l.Settle}, at: at, limits: l}
	b.brake(speed)
	b.move.to = b.at
	return b.done()
}

// Redirect goes on from what the movement does at t to another azimuth, unwrapped. A table that moves the other
// way, or too fast to stop there, comes to rest first.
func (m *Move) Redirect(t, to float64, l Limits) *Move {
	l = l.sound()
	at, speed := m.At(t)
	b := builder{move: Move{from: at, to: to, settle: l.Settle}, at: at, limits: l}
	b.brake(speed)
	b.arrive(to, true)
	return b.done()
}

// At is where the table is, t seconds after the movement began, and how fast it
// turns. It does not allocate.
func (m *Move) At(t float64) (azimuth, speed float64) {
	if len(m.legs) == 0 || !(t > 0) {
		if len(m.legs) > 0 {
			return m.from, m.legs[0].speed
		}
		return m.to, 0
	}
	for i := range m.legs {
		if g := &m.legs[i]; t < g.begun+g.lasts {
			return g.at(max(t-g.begun, 0))
		}
	}
	return m.to, 0
}

func (g *leg) at(t float64) (azimuth, speed float64) {
	// From the nearer end, so that both ends are exact.
	if t <= g.lasts/2 {
		azimuth = g.from + float64(g.speed*t) + float64(float64(g.accel*t)*t)/2
	} else {
		back := g.lasts - t
		azimuth = g.to - float64(g.last*back) + float64(float64(g.accel*back)*back)/2
	}
	lo, hi := min(g.speed, g.last), max(g.speed, g.last)
	return min(max(azimuth, min(g.from, g.to)), max(g.from, g.to)), min(max(g.speed+float64(g.accel*t), lo), hi)
}

// From is where it begins, End where it ends.
func (m *Move) From() float64 { return m.from }

// End is where the table stands in the end.
func (m *Move) End() float64 { return m.to }

// Lasts is how long the table moves, in seconds.
func (m *Move) Lasts() float64 {
	if len(m.legs) == 0 {
		return 0
	}
	g := &m.legs[len(m.legs)-1]
	return g.begun + g.lasts
}

// Quiet is when it has moved and stopped swinging, in seconds.
func (m *Move) Quiet() float64 {
	if len(m.legs) == 0 {
		return 0
	}
	return m.Lasts() + m.settle
}

// builder strings legs together.
type builder struct {
	move   Move
	at     float64
	clock  float64
	limits Limits
}

func (b *builder) done() *Move {
	m := b.move
	return &m
}

// leg adds a stretch that goes to an azimuth, from one speed to another.
func (b *builder) leg(to, lasts, speed, last float64) {
	if !(lasts > 0) || to == b.at {
		return
	}
	b.move.legs = append(b.move.legs, leg{
		begun: b.clock, lasts: lasts, from: b.at, to: to,
		speed: speed, last: last, accel: (last - speed) / lasts,
	})
	b.at, b.clock = to, b.clock+lasts
}

// run goes from rest to rest with no more than a speed.
func (b *builder) run(to, most float64) {
	way := to - b.at
	if way == 0 {
		return
	}
	sense := math.Copysign(1, way)
	way = math.Abs(way)
	a := b.limits.Accel
	peak := min(most, math.Sqrt(float64(a*way)))
	ramp := peak / a // seconds to get to speed, and from it
	need := float64(peak*ramp) / 2
	from := b.at
	cruise := way - float64(2*need)
	if cruise <= 0 || peak < most { // no time at full speed
		middle := from + float64(sense*(way/2))
		b.leg(middle, ramp, 0, sense*peak)
		b.leg(to, ramp, sense*peak, 0)
	} else {
		b.leg(from+float64(sense*need), ramp, 0, sense*peak)
		b.leg(to-float64(sense*need), cruise/peak, sense*peak, sense*peak)
		b.leg(to, ramp, sense*peak, 0)
	}
	b.at = to
}

// brake comes to rest from a speed.
func (b *builder) brake(speed float64) {
	lasts := math.Abs(speed) / b.limits.Accel
	b.leg(b.at+float64(speed*lasts)/2, lasts, speed, 0)
}
