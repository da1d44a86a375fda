package pace

import (
	"os"
	"runtime"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// The runtime preempts threads by a signal, which cuts a sleep short; the
// deadline holds all the same.
func TestSleepOutlastsSignals(t *testing.T) {
	asleep, awake := make(chan int), make(chan time.Duration)
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		c := newMachineClock()
		deadline := c.Now() + 30*time.Millisecond
		asleep <- unix.Gettid()
		c.SleepUntil(deadline)
		awake <- c.Now() - deadline
	}()
	thread := <-asleep
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case late := <-awake:
			if late < 0 {
				t.Errorf("woke %v before the deadline", -late)
			}
			return
		case <-tick.C:
			if err := unix.Tgkill(os.Getpid(), thread, unix.SIGURG); err != nil {
				t.Error(err)
			}
		}
	}
}

// Setting the computer's clock moves no frame: the loop's is the one that nobody can set (clock_gettime(2):
// CLOCK_MONOTONIC), neither the clock of the day nor one that counts a suspended computer's sleep.
func TestTheClockCannotBeSet(t *testing.T) {
	c := newMachineClock()
	for range 100 {
		var before, after unix.Timespec
		if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &before); err != nil {
			t.Fatal(err)
		}
		now := c.Now()
		if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &after); err != nil {
			t.Fatal(err)
		}
		if now < time.Duration(before.Nano()) || now > time.Duration(after.Nano()) {
			t.Fatalf("the clock says %v, the monotonic one %v to %v", now, time.Duration(before.Nano()), time.Duration(after.Nano()))
		}
	}
}
