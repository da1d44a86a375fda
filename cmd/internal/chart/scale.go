package chart

import "limn/fixtures/colour"

// scale lays a range of values out along an axis, either way round.
type scale struct{ from, to, start, end float64 }

// at is the pixel of a value.
func (s scale) at(v float64) float64 {
	return s.start + (v-s.from)/(s.to-s.from)*(s.end-s.start)
}

// clamp is at, kept within the axis.
func (s scale) clamp(v float64) float64 {
	return s.at(min(max(v, min(s.from, s.to)), max(s.from, s.to)))
}

// plane lays u'v' out with one scale for both axes, so that step circles are round.
type plane struct {
	left, bottom float64 // pixel of u, v
	u, v         float64
	perUnit      float64
}

func (p plane) at(c colour.UV) point {
	return point{p.left + (c.U-p.u)*p.perUnit, p.bottom - (c.V-p.v)*p.perUnit}
}

func (p plane) all(cs []colour.UV) []point {
	points := make([]point, len(cs))
	for i, c := range cs {
		points[i] = p.at(c)
	}
	return points
}
