package pace

import "golang.org/x/sys/unix"

const (
	// Below what the kernel's own threads use, above everything ordinary.
	fifoPriority = 50
	// The shortest slice the kernel grants (Linux 6.12 and later); shorter slices have earlier deadlines.
	sliceLength = 100_000 // ns
)

// raise gives the calling thread the best scheduling it may have and says
// which. The thread must be locked, or the runtime would use it for others too.
func raise() string {
	// Children of this thread start ordinary again.
	attr := unix.SchedAttr{Policy: unix.SCHED_FIFO, Priority: fifoPriority, Flags: unix.SCHED_FLAG_RESET_ON_FORK}
	if unix.SchedSetAttr(0, &attr, 0) == nil {
		return fifo
	}
	return ordinary()
}

// ordinary is the best that needs no privilege.
func ordinary() string {
	attr, err := unix.SchedGetAttr(0, 0)
	if err != nil {
		return plain
	}
	attr.Runtime = sliceLength // and the niceness stays what somebody has made it
	if unix.SchedSetAttr(0, attr, 0) != nil {
		return plain
	}
	// Older kernels take the request and forget it.
	if got, err := unix.SchedGetAttr(0, 0); err == nil && got.Runtime == sliceLength {
		return slice
	}
	return plain
}
