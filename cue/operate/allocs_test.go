//go:build !race

package operate_test

import (
	"testing"

	"limn/cue"
	"limn/cue/operate"
)

// The frame path allocates nothing. (The race detector allocates on its own, so
// this is for ordinary runs.)
func TestFillAllocatesNothing(t *testing.T) {
	for _, c := range []struct {
		shoot   *cue.Shoot
		command operate.Command
	}{
		{shoot("bow", "beam"), operate.Command{Verb: operate.Next}},
		{kittiwake(t), operate.Command{Verb: operate.Go, Name: "bow at dusk"}}, // a ramp
	} {
		e := engine(t, c.shoot, operate.Options{})
		e.Do(c.command)
		out := frames(len(e.Universes()))
		k := int64(0)
		if n := testing.AllocsPerRun(300, func() {
			e.Fill(k, out)
			k++
		}); n > 0 {
			t.Errorf("%v: Fill allocates %g times a frame", c.command, n)
		}
	}
}
