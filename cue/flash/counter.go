package flash

import "limn/fixtures/colour"

// window remembers the frames of the latest changes: one more within a second than these are never
// asked about.
type window struct {
	at    [tooMany]int64
	count int64
}

// add counts a change at frame k, and gives the number within the second that ends there, at
// most tooMany.
func (w *window) add(k int64, rate int64) int {
	w.at[w.count%tooMany] = k
	w.count++
	return w.within(k, rate)
}

func (w *window) within(k, rate int64) int {
	n := 0
	for i := range min(w.count, tooMany) {
		if k-w.at[i] < rate {
			n++
		}
	}
	return n
}

// level counts the changes of luminance: the legs of the zigzag whose turns are MinChange or more
// apart. Every leg counts once, at the frame from which it qualifies.
type level struct {
	window
	begun   bool
	low     float64 // least since the last turn
	high    float64 // most since
	rising  int8    // sense of the present leg; 0 before the first
	counted bool    // the present leg
}

func (l *level) add(k int64, y float64, rate int64) (counted bool) {
	if !l.begun {
		l.begun, l.low, l.high = true, y, y
		return false
	}
	switch {
	case l.rising >= 0 && l.high-y >= MinChange:
		l.rising, l.counted, l.low = -1, false, y // down from the highest
	case l.rising <= 0 && y-l.low >= MinChange:
		l.rising, l.counted, l.high = 1, false, y // up from the lowest
	}
	l.low, l.high = l.extremes(y)
	if l.rising == 0 || l.counted || l.low >= MaxDarker {
		return false
	}
	l.counted = true
	l.window.add(k, rate)
	return true
}

// extremes are those of the present leg: of one going up, low stays where it began.
func (l *level) extremes(y float64) (low, high float64) {
	switch {
	case l.rising > 0:
		return l.low, max(l.high, y)
	case l.rising < 0:
		return min(l.low, y), l.high
	}
	return min(l.low, y), max(l.high, y)
}

// red counts the changes into and out of saturated red. Of each stay in and out of it, the state
// farthest from the one before it stands for it.
type red struct {
	window
	begun bool
	past  colour.UV // what stood for the stay before; the red corner's opposite before the first
	now   state
}

func (r *red) add(k int64, s state, rate int64) (counted bool) {
	if !r.begun {
		r.begun, r.now = true, s
		r.past = redCorner
		if s.red {
			r.past = white
		}
		return false
	}
	switch {
	case s.red == r.now.red:
		if s.uv.Distance(r.past) > r.now.uv.Distance(r.past) {
			r.now.uv = s.uv
		}
	case s.uv.Distance(r.now.uv) > MinRedStep:
		r.past, r.now = r.now.uv, s
		r.window.add(k, rate)
		return true
	}
	return false
}

// redCorner is the red of sRGB.
var redCorner = colour.XY{X: 0.64, Y: 0.33}.UV()
