package pace_test

import (
	"errors"
	"math/rand/v2"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// runChurn runs a loop for a time of a bubble among outputs that fail, stall, slow down and heal, each when it likes. Nothing
// that it counts goes missing, the well output never notices, and memory and goroutines stay what they were after a tenth of it.
func runChurn(t *testing.T, d time.Duration) {
	synctest.Test(t, func(t *testing.T) {
		r := rand.New(rand.NewPCG(5, 44))
		well := dmxtest.NewOutput("well", 1, 2)
		well.Quiet()
		var sick []*dmxtest.Output
		outputs := []dmx.Output{well}
		for _, name := range []string{"a", "b", "c", "d"} {
			o := dmxtest.NewOutput(name, 2, 1)
			o.Quiet()
			sick, outputs = append(sick, o), append(outputs, o)
		}
		told := 0
		b := start(t, pace.Config{Universes: []dmx.Universe{1, 2}, Outputs: outputs, Fill: counting, OnEvent: func(pace.Event) { told++ }})
		size := func() (heap uint64, goroutines int) {
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			return m.HeapAlloc, runtime.NumGoroutine()
		}
		loose := errors.New("loose contact")
		var firstHeap uint64
		var firstRoutines int
		for passed := time.Duration(0); passed < d; passed += time.Second {
			time.Sleep(time.Second)
			for _, o := range sick {
				switch r.IntN(20) {
				case 0:
					o.Fail(loose)
				case 1:
					o.Stall()
				case 2:
					o.Take(time.Duration(r.IntN(100)) * time.Millisecond)
				case 3, 4:
					o.Fail(nil)
					o.Release()
					o.Take(0)
				}
			}
			if firstHeap == 0 && passed >= d/10 {
				firstHeap, firstRoutines = size()
			}
		}
		synctest.Wait()
		heap, routines := size()
		if heap > firstHeap+firstHeap/4 || routines > firstRoutines {
			t.Errorf("%d bytes and %d goroutines, after a tenth %d and %d", heap, routines, firstHeap, firstRoutines)
		}
		for _, o := range sick {
			o.Fail(nil)
			o.Release()
			o.Take(0)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		c := b.loop.Counters()
		b.mustEnd()
		if c.Missed != 0 || c.Frames != b.loop.NextK() || c.Frames < int64(d/time.Second)*pace.Rate {
			t.Errorf("of %d frames %d were run, %d missed", b.loop.NextK(), c.Frames, c.Missed)
		}
		if w := c.Outputs[0]; w.Sent != c.Frames || w.Dropped != 0 || w.Errors != 0 {
			t.Errorf("the well output of %d frames: %+v", c.Frames, w)
		}
		for _, o := range c.Outputs {
			// Every frame changes, so every frame was offered.
			if o.Sent+o.Dropped+o.Errors != c.Frames || !o.Status.Up {
				t.Errorf("of %d frames: %+v", c.Frames, o)
			}
		}
		if told == 0 {
			t.Error("nobody was told of anything")
		}
	})
}

func TestChurn(t *testing.T) { runChurn(t, 10*time.Minute) }
