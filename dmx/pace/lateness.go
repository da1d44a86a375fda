package pace

import (
	"math"
	"math/bits"
	"sync/atomic"
	"time"
)

// Buckets of the lateness histogram: nanoseconds below fineSteps exactly, then fineSteps
// steps to every doubling, so a percentile is at most a thirty-second too high and never too low.
const (
	fineBits  = 5
	fineSteps = 1 << fineBits
	buckets   = (63-fineBits)*fineSteps + fineSteps
)

// lateness counts how late frames began. Its size is fixed; one goroutine adds, any may read.
type lateness struct {
	count [buckets]atomic.Int64
	max   atomic.Int64
}

func (l *lateness) add(d time.Duration) {
	d = max(d, 0)
	l.count[bucket(d)].Add(1)
	if int64(d) > l.max.Load() {
		l.max.Store(int64(d))
	}
}

func bucket(d time.Duration) int {
	v := uint64(d)
	if v < fineSteps {
		return int(v)
	}
	shift := bits.Len64(v) - 1 - fineBits
	return (shift+1)*fineSteps + int(v>>shift)&(fineSteps-1)
}

// top is the greatest lateness that falls into a bucket.
func top(b int) time.Duration {
	if b < fineSteps {
		return time.Duration(b)
	}
	shift := b/fineSteps - 1
	return time.Duration((uint64(fineSteps+b%fineSteps)+1)<<shift - 1)
}

// percentiles gives for each share 0..1 the lateness that this share of the
// frames did not exceed (nearest rank), and the greatest of all.
func (l *lateness) percentiles(shares [2]float64) (at [2]time.Duration, most time.Duration) {
	var counts [buckets]int64
	var total int64
	for i := range counts {
		counts[i] = l.count[i].Load()
		total += counts[i]
	}
	most = time.Duration(l.max.Load())
	if total == 0 {
		return at, most
	}
	for s, share := range shares {
		rank := max(int64(math.Ceil(share*float64(total))), 1)
		var seen int64
		for i, n := range counts {
			if seen += n; seen >= rank {
				at[s] = min(top(i), most)
				break
			}
		}
	}
	return at, most
}
