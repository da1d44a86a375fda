package pace_test

import (
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// sleeper is a clock that jumps, as the clock of a computer that has been asleep does on systems
// where it runs on meanwhile.
type sleeper struct {
	*dmxtest.Clock
	asleep atomic.Int64
}

func (c *sleeper) Now() time.Duration { return c.Clock.Now() + time.Duration(c.asleep.Load()) }

func (c *sleeper) SleepUntil(t time.Duration) { time.Sleep(t - c.Now()) }

// Awake again, the loop goes on at the frame of the hour: one frame, not those of the night, and no faster than before. Light
// that was moving is where it would have been.
func TestSleepAndWake(t *testing.T) {
	const night = 8 * time.Hour
	synctest.Test(t, func(t *testing.T) {
		clock := &sleeper{Clock: dmxtest.NewClock()}
		out := dmxtest.NewOutput("bench", 1)
		var ks []int64
		var at []time.Duration
		var events []pace.Event
		l, err := pace.New(pace.Config{
			Clock: clock, Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out},
			Fill: func(k int64, frames []dmx.Frame) bool {
				ks, at = append(ks, k), append(at, clock.Now())
				return counting(k, frames)
			},
			OnEvent: func(e pace.Event) { events = append(events, e) },
		})
		if err != nil {
			t.Fatal(err)
		}
		b := runBench(t, l)
		b.until(10)
		time.Sleep(pace.Offset(1) / 2) // between two frames
		clock.asleep.Add(int64(night))
		b.until(20)
		b.mustEnd()

		const slept = int64(night/time.Second) * pace.Rate
		want := []int64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
		for k := int64(11); k <= 20; k++ {
			want = append(want, k+slept)
		}
		if !slices.Equal(ks, want) {
			t.Fatalf("frames %d, want %d", ks, want)
		}
		for i, k := range ks {
			if at[i] != pace.Offset(k) {
				t.Errorf("frame %d was asked for at %v, want %v", k, at[i], pace.Offset(k))
			}
		}
		sent := out.Sent()
		for i, s := range sent[:len(ks)] {
			if s.Frames[0][0] != byte(ks[i]) {
				t.Errorf("the output got %d for frame %d", s.Frames[0][0], ks[i])
			}
			if i > 0 && s.At.Sub(sent[i-1].At) < pace.Offset(1) {
				t.Errorf("frames %d and %d went out %v apart", ks[i-1], ks[i], s.At.Sub(sent[i-1].At))
			}
		}
		c := l.Counters()
		if c.Missed != slept || c.Frames != 21 || c.Outputs[0].Dropped != 0 || c.Outputs[0].Errors != 0 || len(events) != 0 {
			t.Errorf("counters %+v, events %+v", c, events)
		}
	})
}
