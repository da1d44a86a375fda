package plan

import (
	"math"

	"limn/cue"
	"limn/fixtures/space"
)

// extent is how far the subject reaches to either side of the aim point.
type extent struct {
	toward, away float64 // along a direction and against it, metres
}

const (
	needLength = `[subject] length, as length = "0.62 m"`
	needWidth  = `[subject] width, as width = "0.21 m"`
	needHeight = `[subject] height, as height = "0.18 m"`
)

// extentOf is how far the form reaches along a direction of the room, with the
// table at an azimuth. low and high are the bounds of a mesh that was read.
func extentOf(s *cue.Subject, bounds *[2]space.Vec, azimuth float64, way space.Vec) (extent, string) {
	way = way.Turn(-azimuth) // into the subject's own axes
	l, w, h := s.Length.Metres, s.Width.Metres, s.Height.Metres
	if bounds != nil {
		return boxExtent(bounds[0], bounds[1], way), ""
	}
	switch s.Form.Kind {
	case cue.FormSphere:
		if d := max(l, w, h); d > 0 {
			return extent{d / 2, d / 2}, ""
		}
		return extent{}, needLength
	case cue.FormCylinder:
		if d := max(l, w); d > 0 {
			flat := math.Hypot(way.X, way.Y)
			r := float64(flat*d/2) + float64(math.Abs(way.Z)*h/2)
			return extent{r, r}, missingIf(h == 0, needHeight)
		}
		return extent{}, needLength
	}
	missing := missingOf([]term{with("", written(l, needLength)), with("", written(w, needWidth)), with("", written(h, needHeight))})
	if missing != "" {
		return extent{}, missing
	}
	if s.Form.Kind == cue.FormHull {
		return hullExtent(s, way), ""
	}
	half := space.Vec{X: w / 2, Y: l / 2, Z: h / 2}
	return boxExtent(half.Mul(-1), half, way), ""
}

func missingIf(is bool, what string) string {
	if is {
		return what
	}
	return ""
}

// boxExtent is that of a box between two corners.
func boxExtent(low, high, way space.Vec) extent {
	var e extent
	for _, a := range [3][3]float64{{low.X, high.X, way.X}, {low.Y, high.Y, way.Y}, {low.Z, high.Z, way.Z}} {
		p, q := a[0]*a[2], a[1]*a[2]
		e.toward += max(p, q)
		e.away += max(-p, -q)
	}
	return e
}

// hullExtent is that of a hull's sections: a fair surface through them stays
// about within them.
func hullExtent(s *cue.Subject, way space.Vec) extent {
	e := extent{math.Inf(-1), math.Inf(-1)}
	for _, section := range s.Form.Sections {
		y := s.Length.Metres * (section.At - 0.5)
		for _, p := range section.Points {
			x, z := p[0]*s.Width.Metres/2, s.Height.Metres*(p[1]-0.5)
			for _, side := range [2]float64{-x, x} {
				d := space.Vec{X: side, Y: y, Z: z}.Dot(way)
				e.toward, e.away = max(e.toward, d), max(e.away, -d)
			}
		}
	}
	return e
}
