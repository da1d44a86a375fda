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
