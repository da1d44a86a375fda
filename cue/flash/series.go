package flash

// Series is what a series of levels comes to by the general flash rule.
type Series struct {
	Changes int  // that count
	Worst   int  // most of them in any one second
	Flashes int  // in that second: pairs of opposing changes
	Pass    bool // no more than MaxFlashes, in whole and half ones
}

// Count judges relative luminances, 0 to 1, that stand from the given times on,
// seconds in rising order. A second is half open, as in the package's rule. Times
// and levels are parallel.
func Count(times, levels []float64) Series {
	var l level
	var at []float64
	for i, y := range levels[:min(len(levels), len(times))] {
		if l.add(0, y, 1) {
			at = append(at, times[i])
		}
	}
	s := Series{Changes: len(at)}
	first := 0
	for i, t := range at {
		for t-at[first] >= 1-sameTime {
			first++
		}
		s.Worst = max(s.Worst, i-first+1)
	}
	s.Flashes = s.Worst / 2
	s.Pass = s.Worst < tooMany
	return s
}

// sameTime is how near to a whole second, in seconds, two times are taken to lie one
// second apart: what decimals cannot tell.
const sameTime = 1e-9
