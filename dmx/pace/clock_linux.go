package pace

import (
	"time"

	"golang.org/x/sys/unix"
)

// machineClock is the kernel's monotonic clock. Go's own timers are up to a
// millisecond late even on an idle machine, because the runtime's poller sleeps in
// whole milliseconds; this sleep is late by a tenth of that.
type machineClock struct {
	at unix.Timespec // here, so that a sleep allocates nothing
}

func newMachineClock() Clock { return &machineClock{} }

func (c *machineClock) Now() time.Duration {
	var t unix.Timespec
	// It fails only for a clock that does not exist.
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &t); err != nil {
		panic(err)
	}
	return time.Duration(t.Nano())
}

func (c *machineClock) SleepUntil(t time.Duration) {
	c.at = unix.NsecToTimespec(int64(t))
	for {
		// A signal cuts the sleep short (the runtime's own preemption is one);
		// the deadline is absolute, so sleeping again loses nothing.
		switch unix.ClockNanosleep(unix.CLOCK_MONOTONIC, unix.TIMER_ABSTIME, &c.at, nil) {
		case nil:
			return
		case unix.EINTR:
		default: // a sandbox that forbids the call; better late than spinning
			time.Sleep(t - c.Now())
			return
		}
	}
}
