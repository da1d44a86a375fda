package dmxtest

import "time"

// Clock is a clock for the send loop that sleeps by the time package, so that in a
// bubble of testing/synctest it runs on the bubble's time.
type Clock struct{ start time.Time }

// NewClock makes a clock that begins now.
func NewClock() *Clock { return &Clock{start: time.Now()} }

// Now is the time since the clock was made.
func (c *Clock) Now() time.Duration { return time.Since(c.start) }

// SleepUntil returns at t.
func (c *Clock) SleepUntil(t time.Duration) { time.Sleep(t - c.Now()) }
