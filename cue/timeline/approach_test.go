package timeline

import (
	"testing"

	"pgregory.net/rapid"
)

// One step at a time, never past the goal, and there after exactly walk steps.
func TestApproach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.IntRange(-300, 300).Draw(t, "a")
		b := rapid.IntRange(-300, 300).Draw(t, "b")
		steps := walk([]int{a}, []int{b})
		last := a
		for n := range steps + 3 {
			v := approach(a, b, n)
			if d := v - last; d > 1 || d < -1 {
				t.Fatalf("step %d goes from %d to %d", n, last, v)
			}
			if (v == b) != (n >= steps) {
				t.Fatalf("at step %d of %d: %d on the way to %d", n, steps, v, b)
			}
			last = v
		}
	})
}

func TestApproachBeforeItsStart(t *testing.T) {
	if got := approach(5, 0, -3); got != 5 {
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
