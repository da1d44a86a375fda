package motion

import "math"

// DeadBand is how far a told azimuth may move and count as the same, degrees: encoders tremble.
const DeadBand = 0.05

// StaleAfter is how long a table may be silent, in seconds, before what it told last is held and that is said.
const StaleAfter = 0.5

// Follow is the azimuth of a table that tells where it is, sample by sample, in frames. Between samples it goes
// on evenly to what was told last, in the time that lay between the last two, so that
// twenty samples a second do not make steps of light. Its zero value has heard nothing. It is a
// small value: a copy is a state to come back to.
type Follow struct {
	rate  float64
	heard bool
	last  int64 // frame of the last sample

	from, way float64 // unwrapped, from the frame begun on
	begun     int64
	takes     int64 // frames; 0 = at once
}

// NewFollow follows a table on a grid of so many frames a second.
func NewFollow(rate int) Follow { return Follow{rate: float64(max(rate, 1))} }

// Hear takes what the table told at frame k: any azimuth, wrapped or not. What is no number is passed over.
func (f *Follow) Hear(k int64, azimuth float64) {
	if math.IsNaN(azimuth) || math.IsInf(azimuth, 0) {
		return
	}
	if !f.heard {
		f.heard, f.last, f.begun = true, k, k
		f.from, f.way, f.takes = math.Mod(azimuth, 360), 0, 0
		return
	}
	now, _ := f.At(k)
	gap := k - f.last
	stale := f.stale(k)
	f.last = max(k, f.last)
	target := f.from + f.way
	d := math.Remainder(azimuth-target, 360)
	if math.Abs(d) <= DeadBand {
		return
	}
	f.from, f.begun = now, k
	f.way = target + d - now
	f.takes = min(max(gap, 1), int64(math.Ceil(StaleAfter*f.rate)))
	if stale { // nobody knows how long it took
		f.takes = int64(math.Ceil(StaleAfter * f.rate))
	}
}

// At is the azimuth at frame k, unwrapped, and whether it is held because the table has been silent for
// too long. Before the first sample it is 0 and stale. It does not allocate.
func (f *Follow) At(k int64) (azimuth float64, stale bool) {
	if !f.heard {
		return 0, true
	}
	stale = f.stale(k)
	gone := k - f.begun
	switch {
	case gone >= f.takes:
		return f.from + f.way, stale
	case gone <= 0:
		return f.from, stale
	}
	return f.from + float64(f.way*(float64(gone)/float64(f.takes))), stale
}

func (f *Follow) stale(k int64) bool {
	return float64(k-f.last) > float64(StaleAfter*f.rate)
}

// Heard says whether the table has told anything yet.
func (f *Follow) Heard() bool { return f.heard }
