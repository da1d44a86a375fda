//go:build !linux

package pace

import "time"

// spin is how long before a deadline sleeping turns into spinning: timers of
// the runtime may be a millisecond late.
const spin = 1500 * time.Microsecond

// machineClock is the runtime's monotonic clock, slept on and then spun on.
type machineClock struct{ start time.Time }

func newMachineClock() Clock { return &machineClock{start: time.Now()} }

func (c *machineClock) Now() time.Duration { return time.Since(c.start) }

func (c *machineClock) SleepUntil(t time.Duration) {
	time.Sleep(t - spin - c.Now()) // a negative sleep returns at once
	for c.Now() < t {
	}
}
