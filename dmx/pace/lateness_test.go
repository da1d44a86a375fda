package pace

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Buckets cover every duration once, in order.
func TestBucketsAreWhole(t *testing.T) {
	low := time.Duration(0)
	for b := range buckets {
		high := top(b)
		if high < low {
			t.Fatalf("bucket %d ends at %d, before it begins at %d", b, high, low)
		}
		if bucket(low) != b || bucket(high) != b {
			t.Fatalf("bucket %d is %d..%d, but these fall into %d and %d", b, low, high, bucket(low), bucket(high))
		}
		low = high + 1
	}
	if top(buckets-1) != math.MaxInt64 {
		t.Errorf("the last bucket ends at %d", top(buckets-1))
	}
}

func TestPercentilesAgainstASortedList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		durations := rapid.SliceOfN(rapid.Int64Range(0, int64(time.Minute)), 1, 400).Draw(t, "lateness")
		var l lateness
		for _, d := range durations {
			l.add(time.Duration(d))
		}
		slices.Sort(durations)
		at, most := l.percentiles([2]float64{0.5, 0.99})
		if int64(most) != durations[len(durations)-1] {
			t.Fatalf("most is %d, want %d", most, durations[len(durations)-1])
		}
		for i, share := range []float64{0.5, 0.99} {
			want := durations[int(math.Ceil(share*float64(len(durations))))-1]
			if got := int64(at[i]); got < want || got > want+want/fineSteps+1 {
				t.Fatalf("percentile %v is %d, want %d to a thirty-second", share, got, want)
			}
		}
	})
}

func TestNoFrameIsEarly(t *testing.T) {
	var l lateness
	l.add(-5)
	if at, most := l.percentiles([2]float64{0.5, 0.99}); at[1] != 0 || most != 0 {
		t.Errorf("a frame before its time counts as %v late, most %v", at[1], most)
	}
	if at, most := new(lateness).percentiles([2]float64{0.5, 0.99}); at[0] != 0 || most != 0 {
		t.Errorf("without frames: %v, %v", at, most)
	}
}
