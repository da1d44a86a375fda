package pace_test

import (
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// An output that comes back gets the present frame at once, though nothing changed;
// the operator hears once that it went and once that it is back.
func TestAnOutputThatComesBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		var events []pace.Event
		b := start(t, pace.Config{
			Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: still(77),
			OnEvent: func(e pace.Event) { events = append(events, e) },
		})
		b.until(74)
		out.Fail(errors.New("pulled; plug it in"))
		b.until(75) // the keep-alive, which fails
		if len(events) != 1 {
			t.Errorf("the operator does not hear of it at once: %+v", events)
		}
		b.until(200)
		before := len(out.Sent())
		out.Fail(nil)
		b.until(201)
		sent := out.Sent()
		if len(sent) != before+1 || sent[before].Frames[0][0] != 77 {
			t.Errorf("one frame after its return it has %d frames more", len(sent)-before)
		}
		b.until(300)
		if len(events) != 2 || events[0].Status.Up || events[0].Status.Text != "pulled; plug it in" || !events[1].Status.Up {
			t.Errorf("events %+v", events)
		}
		// It failed at the keep-alive of frame 75 and was offered every frame from then on.
		if c := b.loop.Counters().Outputs[0]; c.Errors != 200-75+1 {
			t.Errorf("%d errors", c.Errors)
		}
		b.mustEnd()
	})
}

// An output that is down from the start is told of, before the first command too; a new
// cause is told of, a flicker only once a second.
func TestEventsAreNotRepeated(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		out.Fail(errors.New("no such port"))
		var events []pace.Event
		b := start(t, pace.Config{
			Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out},
			Fill:    func(int64, []dmx.Frame) bool { return false },
			OnEvent: func(e pace.Event) { events = append(events, e) },
		})
		b.until(10 * 44)
		if len(events) != 1 || events[0].Status.Text != "no such port" {
			t.Fatalf("events %+v", events)
		}
		out.Fail(errors.New("permission denied"))
		b.until(12 * 44)
		if len(events) != 2 || events[1].Status.Text != "permission denied" {
			t.Fatalf("events %+v", events)
		}
		for k := int64(12 * 44); k < 15*44; k++ { // three seconds of flicker
			if k%2 == 0 {
				out.Fail(nil)
			} else {
				out.Fail(errors.New("loose contact"))
			}
			b.until(k)
		}
		if n := len(events); n > 2+4 {
			t.Errorf("three seconds of flicker told of %d times", n-2)
		}
		b.mustEnd()
	})
}

func TestAListenerThatDoesNotReturn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		out.Fail(errors.New("gone"))
		hang := make(chan struct{})
		b := start(t, pace.Config{
			Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: counting,
			OnEvent: func(pace.Event) { <-hang },
		})
		b.until(100)
		if c := b.loop.Counters(); c.Frames != 101 || c.Missed != 0 {
			t.Errorf("frames waited for a listener: %+v", c)
		}
		began := time.Now()
		b.mustEnd()
		checkBounded(t, began)
		close(hang)
	})
}
