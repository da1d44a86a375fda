package pace

import (
	"fmt"
	"runtime"
	"testing"

	"golang.org/x/sys/unix"
)

// What raise reports is what the kernel reports for the thread, and threads
// that come after it are ordinary.
func TestRaiseTellsTheTruth(t *testing.T) {
	type answer struct {
		said string
		is   *unix.SchedAttr
		err  error
	}
	got := make(chan answer)
	go func() { // the thread is never unlocked, so it ends here
		runtime.LockOSThread()
		a := answer{said: raise()}
		a.is, a.err = unix.SchedGetAttr(0, 0)
		got <- a
	}()
	a := <-got
	if a.err != nil {
		t.Fatal(a.err)
	}
	want := map[string]uint32{fifo: unix.SCHED_FIFO, slice: unix.SCHED_NORMAL, plain: unix.SCHED_NORMAL}
	policy, known := want[a.said]
	if !known || a.is.Policy != policy {
		t.Errorf("said %q, and the policy is %d", a.said, a.is.Policy)
	}
	if a.said == fifo && a.is.Priority != fifoPriority {
		t.Errorf("priority %d", a.is.Priority)
	}
	if a.said == slice && a.is.Runtime != sliceLength {
		t.Errorf("slice %d ns", a.is.Runtime)
	}
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		is, err := unix.SchedGetAttr(0, 0)
		got <- answer{is: is, err: err}
	}()
	if a := <-got; a.err != nil || a.is.Policy != unix.SCHED_NORMAL {
		t.Errorf("a thread that asked for nothing has policy %d (%v)", a.is.Policy, a.err)
	}
}

// Asking for short turns leaves the thread's niceness alone.
func TestOrdinaryStaysAsNice(t *testing.T) {
	const nice = 5
	got := make(chan error)
	go func() { // the thread is never unlocked, so it ends here
		runtime.LockOSThread()
		if err := unix.Setpriority(unix.PRIO_PROCESS, 0, nice); err != nil {
			got <- err
			return
		}
		said := ordinary()
		is, err := unix.SchedGetAttr(0, 0)
		if err == nil && (is.Nice != nice || is.Policy != unix.SCHED_NORMAL) {
			err = fmt.Errorf("said %q, and is %d nice under policy %d", said, is.Nice, is.Policy)
		}
		got <- err
	}()
	if err := <-got; err != nil {
		t.Error(err)
	}
}
