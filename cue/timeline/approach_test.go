package timeline

import (
	"testing"

	"pgregory.net/rapid"
)

// At most one code a step, never back, there after exactly walk steps, and
// never more than half a code off the straight line.
func TestApproach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		codes := rapid.SliceOfN(rapid.IntRange(-300, 300), 4, 4)
		a, b := codes.Draw(t, "a"), codes.Draw(t, "b")
		steps := walk(a, b)
		for j := range a {
			last := a[j]
			for n := range steps + 3 {
				v := approach(a[j], b[j], n, steps)
				if d := v - last; d > 1 || d < -1 || d*(b[j]-a[j]) < 0 {
					t.Fatalf("step %d goes from %d to %d, on the way from %d to %d", n, last, v, a[j], b[j])
				}
				if n >= steps && v != b[j] {
					t.Fatalf("after %d steps of %d: %d, want %d", n, steps, v, b[j])
				}
				if n < steps {
					// twice the distance from the line, in parts of steps
					off := 2 * (int64(v-a[j])*steps - int64(b[j]-a[j])*n)
					if off > steps || -off > steps {
						t.Fatalf("step %d of %d is at %d, off the line from %d to %d", n, steps, v, a[j], b[j])
					}
				}
				last = v
			}
		}
	})
}

// A hand-over back is the same way.
func TestApproachIsSymmetrical(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.IntRange(-300, 300).Draw(t, "a")
		steps := rapid.Int64Range(1, 400).Draw(t, "steps")
		n := rapid.Int64Range(0, steps).Draw(t, "n")
		if approach(a, 0, n, steps) != -approach(-a, 0, n, steps) {
			t.Fatal("the sign matters")
		}
	})
}

func TestApproachBeforeItsStart(t *testing.T) {
	if got := approach(5, 0, -3, 5); got != 5 {
		t.Errorf("before its start it is at %d", got)
	}
}

func TestWalkTakesNilForZeros(t *testing.T) {
	if got := walk(nil, []int{2, -7, 0}); got != 7 {
		t.Errorf("walk from nothing: %d, want 7", got)
	}
	if got := walk([]int{1, -3}, nil); got != 3 {
		t.Errorf("walk to nothing: %d, want 3", got)
	}
	if nilIfZero([]int{0, 0}) != nil || nilIfZero([]int{0, 1}) == nil {
		t.Error("nilIfZero")
	}
}
