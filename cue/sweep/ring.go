package sweep

import (
	"math"

	"limn/cue/fade"
	"limn/fixtures/colour"
)

// point is the light of one source, or of one cell, in one cue.
type point struct {
	azimuth float64
	light   colour.XYZ
	path    fade.Path
}

// ring is one source's light over the turn: a stretch from each point to the next.
type ring []stretch

// stretch is the way from one point to the next. Progress p runs from 0 to 1 in stops along a cubic
// with the slopes m at its ends; in light where one end is off.
type stretch struct {
	way fade.Fade
	ln  float64 // ln of the ratio of light; NaN where one end is off
	m   [2]float64
}

func newRing(points []point, centre colour.UV) ring {
	n := len(points)
	r := make(ring, n)
	wide := make([]float64, n)
	for i := range points {
		a, b := &points[i], &points[(i+1)%n]
		wide[i] = width(a.azimuth, b.azimuth)
		r[i] = stretch{way: fade.New(fade.Linear, b.path, a.light, b.light, centre), ln: math.NaN()}
		if a.light.Y > 0 && b.light.Y > 0 {
			r[i].ln = math.Log(b.light.Y) - math.Log(a.light.Y)
		}
	}
	for i := range r {
		// Slopes in stops a degree at both ends, then in the stretch's own progress and share.
		if ln := r[i].ln; ln != 0 && !math.IsNaN(ln) {
			before, after := (i+n-1)%n, (i+1)%n
			r[i].m[0] = slope(r[before].ln/wide[before], ln/wide[i], wide[before], wide[i]) * wide[i] / ln
			r[i].m[1] = slope(ln/wide[i], r[after].ln/wide[after], wide[i], wide[after]) * wide[i] / ln
		}
	}
	return r
}

// slope is how steep the curve is at a point, from the secants d before and after it and their widths h:
// none where they differ in sign, else the weighted harmonic mean (Fritsch and Butland 1984).
// Beside a stretch that has no stops, it is that of the other one.
func slope(d0, d1, h0, h1 float64) float64 {
	switch {
	case math.IsNaN(d0):
		return d1
	case math.IsNaN(d1):
		return d0
	case d0 == 0 || d1 == 0 || (d0 > 0) != (d1 > 0):
		return 0
	}
	w0, w1 := 2*h1+h0, h1+2*h0
	return (w0 + w1) / (w0/d0 + w1/d1)
}

// at is the light when the share u of stretch i is over.
func (r ring) at(i int, u float64) colour.XYZ {
	s := &r[i]
	return s.way.Along(u, s.progress(u))
}

// progress is the share of the light that has changed.
func (s *stretch) progress(u float64) float64 {
	if math.IsNaN(s.ln) {
		return u
	}
	if s.ln == 0 {
		return u
	}
	p := cubic(s.m[0], s.m[1], u)
	// (r^p - 1)/(r - 1): expm1 keeps the digits where r is near 1, and on the
	// rising side the other way of writing it never overflows.
	if s.ln > 0 {
		return math.Exp(float64((p-1)*s.ln)) * (math.Expm1(-float64(p*s.ln)) / math.Expm1(-s.ln))
	}
	return math.Expm1(float64(p*s.ln)) / math.Expm1(s.ln)
}

// cubic goes from 0 to 1 with the slopes m0 and m1 at its ends. With both within 0..3 it is monotone
// (Fritsch and Carlson, SIAM J. Numer. Anal. 17, 1980).
func cubic(m0, m1, u float64) float64 {
	v := 1 - u
	p := float64(u*u)*(u+float64(3*v)) + float64(float64(m0*u)*float64(v*v)) - float64(float64(m1*v)*float64(u*u))
	return min(max(p, 0), 1)
}
