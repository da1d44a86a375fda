package dial

import (
	"math"

	"limn/cue"
	"limn/fixtures/space"
)

// hull is the outline of the model from above with the table at 0, in metres: the
// bow toward the camera, its port side to camera right.
type hull struct {
	length, width float64
	outline       []space.Vec // going round from the bow by the port side
	deck          []space.Vec // within it
	well          []space.Vec // the cockpit, within that; nil where there is none
	pointed       bool        // the outline itself shows where the bow is
}

// The sizes between which a model is drawn, metres.
const leastModel, mostModel = 1e-3, 1e4

// steps of an outline from bow to stern.
const outlineSteps = 36

func hullOf(s *cue.Subject) hull {
	h := hull{length: finite(s.Length.Metres), width: finite(s.Width.Metres)}
	if h.length <= 0 {
		h.length = usualLength
	}
	if h.width <= 0 {
		h.width = h.length * usualBeam
	}
	h.length, h.width = min(max(h.length, leastModel), mostModel), min(max(h.width, leastModel), mostModel)
	half := launch
	const inset = 0.07 // of the deck's edge, shares of the length
	switch s.Form.Kind {
	case cue.FormBox:
		half = func(float64) float64 { return 1 }
	case cue.FormCylinder, cue.FormSphere:
		half = func(t float64) float64 { return math.Sqrt(max(1-(2*t-1)*(2*t-1), 0)) }
	case cue.FormHull:
		if len(s.Form.Sections) >= cue.MinSections {
			half = sections(s.Form.Sections)
		}
		h.pointed = true
	default:
		h.pointed = true
	}
	h.outline = h.around(half, 0, 1, 1)
	h.deck = h.around(half, inset, 1-inset*0.6, 0.82)
	if h.pointed {
		h.well = h.around(half, 0.46, 0.86, 0.52)
	}
	return h
}

// around is an outline of half widths between two shares of the length, narrowed.
func (h *hull) around(half func(t float64) float64, from, to, share float64) []space.Vec {
	var port, starboard []space.Vec
	for i := 0; i <= outlineSteps; i++ {
		u := (1 - math.Cos(math.Pi*float64(i)/outlineSteps)) / 2 // closer where it bends
		y := (from + (to-from)*u - 0.5) * h.length
		t := u
		if share < 1 && from > 0.3 { // the cockpit: its ends are straight
			t = from + (to-from)*u
		}
		x := min(max(finite(half(t)), 0), 1) * h.width / 2 * share
		port = append(port, space.Vec{X: x, Y: y})
		starboard = append(starboard, space.Vec{X: -x, Y: y})
	}
	for i := len(starboard) - 1; i >= 0; i-- {
		port = append(port, starboard[i])
	}
	return port
}

// launch is the half width of a motor launch along its length: a fine bow, the
// most beam a little abaft of the middle, a transom.
func launch(t float64) float64 {
	const middle = 0.58
	if t < middle {
		return math.Pow(math.Sin(math.Pi/2*t/middle), 0.72)
	}
	u := (t - middle) / (1 - middle)
	return 1 - 0.24*u*u
}

// sections is the half width of a hull told by its sections.
func sections(list []cue.Section) func(t float64) float64 {
	widest := func(s *cue.Section) float64 {
		w := 0.0
		for _, p := range s.Points {
			w = max(w, finite(p[0]))
		}
		return w
	}
	return func(t float64) float64 {
		for i := 1; i < len(list); i++ {
			a, b := &list[i-1], &list[i]
			if t <= b.At || i == len(list)-1 {
				u := 0.0
				if b.At > a.At {
					u = min(max((t-a.At)/(b.At-a.At), 0), 1)
				}
				return widest(a)*(1-u) + widest(b)*u
			}
		}
		return 0
	}
}
