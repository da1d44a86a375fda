package dial

import (
	"math"

	"limn/cue"
	"limn/fixtures/space"
)

// projection lays the room onto the picture, seen from above.
type projection struct {
	centre point
	radius float64 // of the outer ring, pixels
	scale  float64 // pixels a metre
	turn   float64 // of the room on the picture, degrees counter-clockwise
}

// The share of the ring's radius that half the hull takes: what stands far away
// must not make it small, and nothing around it must not make it fill the dial.
const (
	leastHull = 0.36
	mostHull  = 0.62
)

func newProjection(v *view, h *hull, centre point, radius float64, frame Frame) projection {
	far := 0.0
	reach := func(s *stand) {
		if d := s.across(); s.placed() && d > far {
			far = d
		}
	}
	for i := range v.lamps {
		reach(&v.lamps[i].stand)
	}
	for i := range v.cards {
		reach(&v.cards[i].stand)
	}
	half := max(h.length, h.width) / 2
	share := mostHull
	if far > 0 {
		share = min(max(half/(far*1.04), leastHull), mostHull)
	}
	p := projection{centre: centre, radius: radius, scale: radius * share / half}
	if frame == Boat {
		p.turn = 180 - v.azimuth
	}
	return p
}

// placed says whether both the direction and the distance were told.
func (s *stand) placed() bool {
	return s.place.Known && s.place.Distance.Metres > 0 && finite(s.place.Distance.Metres) == s.place.Distance.Metres
}

// across is the distance from the table's axis as seen from above, metres.
func (s *stand) across() float64 {
	return s.place.Distance.Metres * math.Abs(math.Cos(finite(s.place.Elevation.Degrees)*math.Pi/180))
}

// at is a place of the room on the picture.
func (p *projection) at(v space.Vec) point {
	w := v.Turn(p.turn)
	return point{p.centre.x + w.X*p.scale, p.centre.y - w.Y*p.scale}
}

// way is a direction of the room on the picture, of length 1.
func (p *projection) way(azimuth float64) point {
	w := space.At(finite(azimuth), 0, 1).Turn(p.turn)
	return point{w.X, -w.Y}
}

// on is a point at an azimuth of the room and a radius in pixels.
func (p *projection) on(azimuth, radius float64) point {
	return p.centre.add(p.way(azimuth).mul(radius))
}

// arc is points along a circle, from one azimuth counter-clockwise to another.
func (p *projection) arc(from, to, radius float64) []point {
	n := max(int(math.Abs(to-from)/4), 1)
	out := make([]point, 0, n+1)
	for i := 0; i <= n; i++ {
		out = append(out, p.on(from+(to-from)*float64(i)/float64(n), radius))
	}
	return out
}

// seen is where something stands on the picture.
type seen struct {
	face     [4]point
	middle   point
	overhead bool // steeply above or below the model
	far      bool // beyond the ring, drawn on it
	way      point
}

// overheadFrom is the elevation from which a source is drawn as an outline over
// the model, degrees.
const overheadFrom = 55

func (p *projection) see(s *stand, azimuth float64) seen {
	a := finite(s.place.Azimuth.Degrees)
	if s.place.Rides {
		a += azimuth
	}
	e, d := finite(s.place.Elevation.Degrees), s.place.Distance.Metres
	out := seen{way: p.way(a), overhead: math.Abs(e) >= overheadFrom}
	if !s.placed() || s.across()*p.scale > p.radius*1.001 {
		out.far, out.overhead = true, false
		d = p.radius / p.scale
		e = 0
	}
	face := space.Facing(space.At(a, e, d), space.Vec{}, min(s.width, 2*p.radius/p.scale), min(s.height, 2*p.radius/p.scale))
	for i, c := range face.Corners() {
		out.face[i] = p.at(c)
	}
	out.middle = p.at(face.Middle)
	return out
}

// bow is the outline of a hull turned by an azimuth of the table.
func (p *projection) outline(points []space.Vec, azimuth float64) []point {
	out := make([]point, len(points))
	for i, v := range points {
		out[i] = p.at(v.Turn(azimuth))
	}
	return out
}

// markOf is where on the room's circle the mark of an angle stands, so that it
// comes to the camera's pointer when the table stands at that angle.
func markOf(table, azimuth float64) float64 { return cue.Turn(azimuth, table) }
