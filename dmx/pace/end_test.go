package pace_test

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

func TestFarewell(t *testing.T) {
	for name, c := range map[string]struct{ farewell, want int }{"default": {0, 3}, "five": {5, 5}, "none": {-1, 0}} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				out := dmxtest.NewOutput("bench", 1)
				b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: counting, Farewell: c.farewell})
				b.until(30)
				before := len(out.Sent())
				b.mustEnd()
				rest := out.Sent()[before:]
				if len(rest) != c.want || out.Closed() != 1 {
					t.Fatalf("%d frames at the end, want %d; closed %d times", len(rest), c.want, out.Closed())
				}
				for i, s := range rest {
					if s.Frames[0][0] != 30 {
						t.Errorf("the farewell carries frame %d", s.Frames[0][0])
					}
					if i > 0 && s.At.Sub(rest[i-1].At) < pace.Offset(1) {
						t.Errorf("farewells %v apart: more than 44 a second", s.At.Sub(rest[i-1].At))
					}
				}
			})
		})
	}
}

// A stuck output holds the end up for a bounded time, is named, and neither
// sends nor stays open once it comes to itself.
func TestEndingWithAStuckOutput(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		stuck, well := dmxtest.NewOutput("stuck", 1), dmxtest.NewOutput("well", 1)
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{stuck, well}, Fill: counting})
		b.until(10)
		stuck.Stall()
		b.until(20)
		began := time.Now()
		err := b.end()
		if err == nil || !strings.Contains(err.Error(), `"stuck" is stuck`) || strings.Contains(err.Error(), `"well"`) {
			t.Errorf("ended with %v", err)
		}
		checkBounded(t, began)
		if well.Closed() != 1 || stuck.Closed() != 0 {
			t.Errorf("closed: well %d, stuck %d", well.Closed(), stuck.Closed())
		}
		before := len(stuck.Sent())
		stuck.Release()
		synctest.Wait()
		if n := len(stuck.Sent()) - before; n > 1 || stuck.Closed() != 1 {
			t.Errorf("come to itself, it sent %d frames more; closed %d times", n, stuck.Closed())
		}
	})
}

// checkBounded allows for the frame being slept for, and three seconds.
func checkBounded(t *testing.T, began time.Time) {
	t.Helper()
	const frame = time.Second/pace.Rate + 1 // the grid rounds down
	if took := time.Since(began); took > 3*time.Second+frame {
		t.Errorf("the end took %v", took)
	}
}
