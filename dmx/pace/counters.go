package pace

import (
	"time"

	"limn/dmx"
)

// lateAfter is how late a frame must begin to be counted as late: well past what an
// idle machine does to the worst of our clocks.
const lateAfter = 2 * time.Millisecond

// Counters says how a loop has done since it started.
type Counters struct {
	Frames int64 // asked for
	Late   int64 // of these, begun more than 2 ms after their time
	Missed int64 // skipped, because their time had passed altogether

	// Lateness of the beginning of frames: half of them, 99 of 100, the worst. A
	// percentile may be an eighth too high.
	P50, P99, Max time.Duration

	Outputs   []OutputCounters // in Config.Outputs order
	Scheduler string           // how the loop's thread is scheduled: "fifo", "slice", "plain"; empty before it runs
}

// OutputCounters counts frames (all universes of an output together are one).
type OutputCounters struct {
	Name     string
	Sent     int64 // taken by the output without an error
	Repeated int64 // of these, with the content of the one before
	Dropped  int64 // overwritten before the output came to take them
	Errors   int64 // refused by the output, or offered while it was down
	Status   dmx.Status
}

// Counters may be asked from any goroutine, at any time.
func (l *Loop) Counters() Counters {
	at, most := l.lateness.percentiles([2]float64{0.5, 0.99})
	c := Counters{
		Frames: l.framesRun.Load(), Late: l.late.Load(), Missed: l.missed.Load(),
		P50: at[0], P99: at[1], Max: most,
		Outputs: make([]OutputCounters, len(l.outlets)),
	}
	if s := l.scheduler.Load(); s != nil {
		c.Scheduler = *s
	}
	for i, o := range l.outlets {
		c.Outputs[i] = OutputCounters{
			Name: o.out.Name(),
			Sent: o.sent.Load(), Repeated: o.repeated.Load(), Dropped: o.dropped.Load(), Errors: o.errors.Load(),
			Status: o.status(l.clock.Now()),
		}
	}
	return c
}
