package timeline

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestFrames(t *testing.T) {
	for _, c := range []struct {
		seconds float64
		want    int64
	}{
		{0, 0},
		{-1, 0},
		{math.NaN(), 0},
		{0.5, 22},
		{2.5, 110},
		{0.25, 11},
		{1, 44},
		{60, 2640},
		{0.001, 1},
		{0.1, 5},
		{0.4, 18},
		{2, 88},
		{1.0 / 44, 1},  // to the microsecond
		{0.022728, 2},  // just over a frame
		{3600, 158400}, // an hour
		{66, 2904},     // 1.1 min
		{86400, 24 * 158400},
	} {
		if got := Frames(c.seconds); got != c.want {
			t.Errorf("Frames(%g) = %d, want %d", c.seconds, got, c.want)
		}
	}
}

// Sums of written durations land where whole-number arithmetic says, whatever
// float64 makes of the fractions.
func TestSpansAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Int64Range(0, 1_000_000).Draw(t, "delay in ms")
		b := rapid.Int64Range(0, 1_000_000).Draw(t, "fade in ms")
		sum := seconds(float64(a)/1000) + seconds(float64(b)/1000)
		if got, want := sum.ceil(), ((a+b)*Rate+999)/1000; got != want {
			t.Fatalf("%d ms + %d ms end at frame %d, want %d", a, b, got, want)
		}
		if got, want := sum.floor(), (a+b)*Rate/1000; got != want {
			t.Fatalf("%d ms + %d ms: floor %d, want %d", a, b, got, want)
		}
	})
}

func TestSpansDoNotOverflow(t *testing.T) {
	long := seconds(math.Inf(1)) + seconds(math.MaxFloat64) + frames(math.MaxInt64)
	if long < 0 || long.ceil() < 0 {
		t.Errorf("the longest spans overflow: %d", long)
	}
}
