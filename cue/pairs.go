package cue

import (
	"fmt"
	"math"

	"limn/fixtures"
)

// How far the places of two sources may lie from each other's mirror image, about the
// camera's axis, for them to be taken for a pair: what a tape measure and a look
// across the table give by hand. Common practice, no source.
const (
	PairAzimuth   = 12.0 // degrees
	PairElevation = 12.0 // degrees
	PairDistance  = 1.25 // ratio, either way
)

// Pairs says which source stands for which in the mirror, about the camera's
// axis: the one named by pair, or the nearest to the mirror image of its place; one on the axis
// stands for itself. Places are those of a resolved cue; nil counts as the rig's.
// A source whose twin is not known is its own, and is listed.
func (s *Shoot) Pairs(r *Resolved) (twin []int, unknown []int) {
	n := len(s.Rig.Sources)
	twin = make([]int, n)
	for i := range twin {
		twin[i] = -1
	}
	join := func(a, b int) { twin[a], twin[b] = b, a }
	for i := range s.Rig.Sources {
		if name := s.Rig.Sources[i].Pair; name != "" && twin[i] < 0 {
			if j := s.Rig.Index(name); j >= 0 && twin[j] < 0 {
				join(i, j)
			}
		}
	}
	for i := range twin {
		if twin[i] >= 0 {
			continue
		}
		best, least := -1, math.Inf(1)
		image := mirrored(s.placeOf(r, i))
		for j := range twin {
			if d := apart(image, s.placeOf(r, j)); twin[j] < 0 && d < least {
				best, least = j, d
			}
		}
		if best < 0 || !mutual(s, r, twin, i, best, least) {
			continue
		}
		join(i, best)
	}
	for i := range twin {
		if twin[i] < 0 {
			twin[i] = i
			unknown = append(unknown, i)
		}
	}
	return twin, unknown
}

// mutual says whether no other source is nearer to the image of b than a is.
func mutual(s *Shoot, r *Resolved, twin []int, a, b int, distance float64) bool {
	image := mirrored(s.placeOf(r, b))
	for j := range twin {
		if j != a && twin[j] < 0 && apart(image, s.placeOf(r, j)) < distance {
			return false
		}
	}
	return true
}

// placeOf is where a source stands in a resolved cue.
func (s *Shoot) placeOf(r *Resolved, i int) fixtures.Place {
	if p, moved := r.moved(i); moved {
		return p.Place
	}
	return s.Rig.Sources[i].Place
}

// mirrored is a place on the other side of the camera's axis.
func mirrored(p fixtures.Place) fixtures.Place {
	p.Azimuth = p.Azimuth.With(mirrorAngle(p.Azimuth.Degrees))
	return p
}

// mirrorAngle is the azimuth of the mirror image, written the way its own is:
// below nothing where it is above it and within half a turn, else within a turn.
func mirrorAngle(a float64) float64 {
	if a > -180 && a < 0 {
		return -a
	}
	m := math.Mod(360-a, 360)
	if m < 0 {
		m += 360
	}
	return m
}

// apart is how far apart two places are, 1 being as far as a pair may be;
// infinite where they are none.
func apart(a, b fixtures.Place) float64 {
	if !a.Known || !b.Known || a.Rides != b.Rides {
		return math.Inf(1)
	}
	azimuth := math.Abs(Turn(a.Azimuth.Degrees, b.Azimuth.Degrees)) *
		math.Cos(math.Min(math.Abs(a.Elevation.Degrees), 90)*math.Pi/180) / PairAzimuth // overhead, it says little
	elevation := math.Abs(a.Elevation.Degrees-b.Elevation.Degrees) / PairElevation
	distance := 0.0
	if x, y := a.Distance.Metres, b.Distance.Metres; x > 0 && y > 0 {
		distance = math.Abs(math.Log(x/y)) / math.Log(PairDistance)
	}
	if d := max(azimuth, elevation, distance); d <= 1 {
		return d
	}
	return math.Inf(1)
}

// checkPairs finds pairs that are none.
func (v *resolver) checkPairs() {
	sources := v.shoot.Rig.Sources
	for i := range sources {
		s := &sources[i]
		if s.Pair == "" {
			continue
		}
		switch j := v.shoot.Rig.Index(s.Pair); {
		case j < 0:
			v.missing(s.Origin, v.didYouMean("source", s.Pair, sourceNames), "the pair of %q is %q, but no source is called so", s.Name, s.Pair)
		case sources[j].Pair != "" && sources[j].Pair != s.Name:
			v.findings.err(s.Origin, fmt.Sprintf("write pair = %q at %q, or leave it out there", s.Name, s.Pair),
				"the pair of %q is %q, but that one's is %q", s.Name, s.Pair, sources[j].Pair)
		default:
			for k := range i {
				if sources[k].Pair == s.Pair && s.Pair != s.Name && k != j {
					v.findings.err(s.Origin, "name each source as the pair of one", "%q and %q are both paired with %q", sources[k].Name, s.Name, s.Pair)
				}
			}
		}
	}
}

func sourceNames(s *Shoot) []string {
	names := make([]string, len(s.Rig.Sources))
	for i := range names {
		names[i] = s.Rig.Sources[i].Name
	}
	return names
}
