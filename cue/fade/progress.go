package fade

import "math"

// maxStops bounds the ratio the stops curve is built on: from or to black it
// would be endless, and below 8 stops the eye and the codes see nothing.
const maxStops = 8

// progress is how much of the light has changed (0..1) when the share u of the
// way is over, for a change of luminance from a to b.
//
//	linear  s = u
//	ease    s = u²(3-2u)
//	stops   s = (r^u - 1)/(r - 1), r = b/a within 2^±8: equal stops in equal parts
func progress(curve Curve, u, a, b float64) float64 {
	switch {
	case u <= 0:
		return 0
	case u >= 1:
		return 1
	}
	switch curve {
	case Ease:
		u = float64(float64(u*u) * (3 - float64(2*u)))
	case Stops:
		u = equalStops(u, a, b)
	}
	return min(max(u, 0), 1)
}

func equalStops(u, a, b float64) float64 {
	ln := lnRatio(a, b)
	if ln == 0 {
		return u
	}
	// expm1 keeps the digits where r is near 1.
	return math.Expm1(float64(u*ln)) / math.Expm1(ln)
}

// lnRatio is ln(b/a) within ±8 stops; black counts as far below.
func lnRatio(a, b float64) float64 {
	const most = maxStops * math.Ln2
	switch {
	case a <= 0 && b <= 0:
		return 0
	case a <= 0:
		return most
	case b <= 0:
		return -most
	}
	return min(max(math.Log(b)-math.Log(a), -most), most)
}

// between is a*(1-s) + b*s, kept between a and b whatever the rounding does.
func between(a, b, s float64) float64 {
	v := float64(a*(1-s)) + float64(b*s)
	return min(max(v, min(a, b)), max(a, b))
}
