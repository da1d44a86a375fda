package sweep

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Sweep is the light over the whole turn. It is read-only: any number may ask at once.
type Sweep struct {
	knots   []float64 // azimuths 0..360, rising
	sources []ring
	strips  [][]ring // per source: cell by cell, of one whose cells differ anywhere
	cells   int      // most cells of a source
}

// New compiles a sweep from cues, each of which has an azimuth of its own. centre is the white that
// hue goes around. It fails with a message for the user where there is no cue, one has no
// azimuth, or two lie within [cue.DeadBand].
func New(cues []*cue.Resolved, centre colour.UV) (*Sweep, error) {
	if len(cues) == 0 {
		return nil, fmt.Errorf("there is no cue to turn through; name one or more in the sequence")
	}
	sorted := slices.Clone(cues)
	for _, r := range sorted {
		if !r.HasAngle {
			return nil, fmt.Errorf("cue %q has no angle; give it one to turn through it", r.Name)
		}
	}
	slices.SortStableFunc(sorted, func(a, b *cue.Resolved) int {
		switch x, y := around(a.Azimuth), around(b.Azimuth); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	s := &Sweep{}
	for i, r := range sorted {
		next := sorted[(i+1)%len(sorted)]
		if len(sorted) > 1 && math.Abs(cue.Turn(r.Azimuth, next.Azimuth)) <= cue.DeadBand {
			return nil, fmt.Errorf("cues %q and %q stand at the same angle; keep one of the two", r.Name, next.Name)
		}
		s.knots = append(s.knots, around(r.Azimuth))
	}
	n := len(sorted[0].Light)
	s.sources = make([]ring, n)
	s.strips = make([][]ring, n)
	points := make([]point, len(sorted))
	for i := range n {
		cells := 0
		for j, r := range sorted {
			l := &r.Light[i]
			points[j] = point{s.knots[j], l.Asked, l.Path}
			cells = max(cells, len(l.Cells))
		}
		s.sources[i] = newRing(points, centre)
		s.cells = max(s.cells, cells)
		for c := range cells {
			for j, r := range sorted {
				if l := &r.Light[i]; c < len(l.Cells) {
					points[j].light = l.Cells[c]
				} else {
					points[j].light = l.Asked // a plain light is a strip whose cells are alike
				}
			}
			s.strips[i] = append(s.strips[i], newRing(points, centre))
		}
	}
	return s, nil
}

// At fills the light of a state for an azimuth, any number of turns round: Light per source, and
// Cells of strips whose cells differ. Rows too short for that are not written. It does
// not allocate.
func (s *Sweep) At(azimuth float64, state *fixtures.State) {
	i, u := s.find(azimuth)
	for j := range min(len(s.sources), len(state.Light)) {
		state.Light[j] = s.sources[j].at(i, u)
		if j >= len(state.Cells) {
			continue
		}
		strip := s.strips[j]
		row := state.Cells[j][:0]
		if len(strip) > 0 && cap(row) >= len(strip) && !s.alike(i, u, j) {
			row = row[:len(strip)]
			for c := range strip {
				row[c] = strip[c].at(i, u)
			}
			state.Light[j] = fixtures.Mean(row)
		}
		state.Cells[j] = row
	}
}

// Light fills the light of each source, of a strip the mean, for an azimuth. It does not allocate.
func (s *Sweep) Light(azimuth float64, dst []colour.XYZ) {
	i, u := s.find(azimuth)
	for j := range min(len(s.sources), len(dst)) {
		dst[j] = s.sources[j].at(i, u)
		if strip := s.strips[j]; len(strip) > 0 {
			var mean fixtures.MeanLight
			for c := range strip {
				mean.Add(strip[c].at(i, u))
			}
			dst[j] = mean.Value()
		}
	}
}

// alike says that a strip lies exactly on a cue in which its cells are alike.
func (s *Sweep) alike(i int, u float64, source int) bool {
	if u != 0 {
		return false
	}
	strip := s.strips[source]
	first := strip[0].at(i, 0)
	for c := range strip {
		if strip[c].at(i, 0) != first {
			return false
		}
	}
	return true
}

// Cells is how many cells the rows of a state for At need, per source; 0 of what is no strip.
func (s *Sweep) Cells(source int) int { return len(s.strips[source]) }

// Knots lists the azimuths of the cues, 0..360, rising.
func (s *Sweep) Knots() []float64 { return slices.Clone(s.knots) }

// find is the stretch an azimuth lies in and the share of it that is over.
func (s *Sweep) find(azimuth float64) (stretch int, u float64) {
	a := around(azimuth)
	i, exact := slices.BinarySearch(s.knots, a)
	if exact {
		return i, 0
	}
	i-- // the knot before
	if i < 0 {
		i = len(s.knots) - 1
	}
	return i, min(ahead(s.knots[i], a)/s.width(i), 1)
}

// width is how far it is from a knot to the next, in degrees; a whole turn where there is one alone.
func (s *Sweep) width(i int) float64 { return width(s.knots[i], s.knots[(i+1)%len(s.knots)]) }

func width(from, to float64) float64 {
	if w := ahead(from, to); w > 0 {
		return w
	}
	return 360
}

// ahead is how far counter-clockwise b lies from a, both within 0..360.
func ahead(a, b float64) float64 {
	if d := b - a; d >= 0 {
		return d
	}
	return b - a + 360
}

// around brings an azimuth into 0..360; what is no number counts as 0.
func around(a float64) float64 {
	a = math.Mod(a, 360)
	if a < 0 {
		a += 360
	}
	if !(a < 360) { // a tiny negative angle rounds up to a whole turn
		return 0
	}
	return a
}
