package pace

import "time"

// Rate is the frame grid: frame k is due at t0 + k/44 s.
const Rate = 44

// Offset is frame k's time after t0: k/44 s in nanoseconds, rounded down. It is
// exact for every k, so frames never drift. k is not negative.
func Offset(k int64) time.Duration {
	// Whole seconds apart, or the product overflows after seven years of frames.
	return time.Duration(k/Rate)*time.Second + time.Duration(k%Rate)*time.Second/Rate
}

// frameAt is the inverse: the last frame that is due at time d after t0, not negative.
func frameAt(d time.Duration) int64 {
	k := int64(d/time.Second)*Rate + int64(d%time.Second*Rate/time.Second)
	if Offset(k+1) <= d { // Offset rounds down, so the next frame may be due within this nanosecond
		k++
	}
	return k
}
