package pace

import (
	"encoding/json"
	"time"

	"limn/dmx"
)

// lateAfter is how late a frame must begin to be counted as late: well past what an
// idle machine does to the worst of our clocks.
const lateAfter = 2 * time.Millisecond

// Counters says how a loop has done since it started. As JSON, durations are whole nanoseconds.
type Counters struct {
	Frames int64 `json:"frames"` // asked for
	Late   int64 `json:"late"`   // of these, begun more than 2 ms after their time
	Missed int64 `json:"missed"` // skipped, because their time had passed altogether

	// Lateness of the beginning of frames: half of them, 99 of 100, the worst. A
	// percentile may be a thirty-second too high.
	P50 time.Duration `json:"lateness_p50_ns"`
	P99 time.Duration `json:"lateness_p99_ns"`
	Max time.Duration `json:"lateness_max_ns"`

	Outputs   []OutputCounters `json:"outputs"`   // in Config.Outputs order
	Scheduler string           `json:"scheduler"` // how the loop's thread is scheduled: "fifo", "slice", "plain"; empty before it runs
}

// OutputCounters counts frames (all universes of an output together are one).
type OutputCounters struct {
	Name     string     `json:"name"`
	Sent     int64      `json:"sent"`            // taken by the output without an error
	Repeated int64      `json:"repeated"`        // of these, with the content of the one before
	Dropped  int64      `json:"dropped"`         // overwritten before the output came to take them
	Errors   int64      `json:"errors"`          // refused by the output, or offered while it was down
	Paths    []string   `json:"paths,omitempty"` // how its packets are handed to the system, if it says so
	Status   dmx.Status `json:"status"`
}

// pathTeller is an output that says in words by which way its packets are handed to the system, a line for each
// receiver or group of receivers. It answers from any goroutine and never blocks for long.
type pathTeller interface{ Paths() []string }

// MarshalJSON writes the status as {"up", "where", "text"}.
func (c OutputCounters) MarshalJSON() ([]byte, error) {
	type status struct {
		Up    bool   `json:"up"`
		Where string `json:"where"`
		Text  string `json:"text,omitempty"`
	}
	type counters OutputCounters // without this method
	return json.Marshal(struct {
		counters
		Status status `json:"status"` // in place of the one within
	}{counters(c), status(c.Status)})
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
			Status: o.status(),
		}
		if p, ok := o.out.(pathTeller); ok {
			c.Outputs[i].Paths = p.Paths()
		}
	}
	return c
}
