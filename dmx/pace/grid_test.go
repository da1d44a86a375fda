package pace

import (
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// exact is floor(k * 1e9 / 44) by arithmetic that cannot overflow.
func exact(k int64) time.Duration {
	n := new(big.Int).Mul(big.NewInt(k), big.NewInt(int64(time.Second)))
	return time.Duration(n.Div(n, big.NewInt(Rate)).Int64())
}

// The last frame whose time fits into 64 bits of nanoseconds: 292 years on.
const lastK = int64(1<<63-1)/int64(time.Second)*Rate - 1

func TestOffsetIsExact(t *testing.T) {
	for _, k := range []int64{0, 1, 2, 43, 44, 45, 2639, 44 * 3600 * 24, 9_223_372_036, 9_300_000_000, lastK} {
		if got, want := Offset(k), exact(k); got != want {
			t.Errorf("Offset(%d) = %d, want %d", k, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Int64Range(0, lastK).Draw(t, "k")
		if got, want := Offset(k), exact(k); got != want {
			t.Fatalf("Offset(%d) = %d, want %d", k, got, want)
		}
	})
}

// A second holds 44 frames and an hour 158400, to the nanosecond.
func TestGridDoesNotDrift(t *testing.T) {
	if got := Offset(44 * 3600 * 1000); got != 1000*time.Hour {
		t.Errorf("a thousand hours of frames end at %v", got)
	}
}

func TestFrameAtInvertsOffset(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(0, int64(Offset(lastK))).Draw(t, "d"))
		k := frameAt(d)
		if Offset(k) > d || Offset(k+1) <= d {
			t.Fatalf("frameAt(%d) = %d, which runs from %d to %d", d, k, Offset(k), Offset(k+1))
		}
	})
	for k := range int64(200) { // the edges, where rounding would show
		if got := frameAt(Offset(k)); got != k {
			t.Errorf("frameAt(Offset(%d)) = %d", k, got)
		}
		if k > 0 && frameAt(Offset(k)-1) != k-1 {
			t.Errorf("a nanosecond before frame %d is frame %d", k, frameAt(Offset(k)-1))
		}
	}
}
