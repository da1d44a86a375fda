//go:build !race

package operate_test

import (
	"testing"

	"limn/cue/operate"
)

// The frame path allocates nothing. (The race detector allocates on its own, so
// this is for ordinary runs.)
func TestFillAllocatesNothing(t *testing.T) {
	e := engine(t, shoot("bow", "beam"), operate.Options{})
	do(t, e, "next")
	out := frames(2)
	k := int64(0)
	if n := testing.AllocsPerRun(300, func() {
		e.Fill(k, out)
		k++
	}); n > 0 {
		t.Errorf("Fill allocates %g times a frame", n)
	}
}
