//go:build unix

package journal

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lockFile takes the operating system's lock on f; false if another process has
// it. Where the file system knows no locks, the process before must be dead.
func lockFile(f *os.File, before int) (bool, error) {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case err == nil:
			return true, nil
		case errors.Is(err, unix.EINTR):
		case errors.Is(err, unix.EWOULDBLOCK):
			return false, nil
		case errors.Is(err, unix.ENOTSUP), errors.Is(err, unix.ENOSYS), errors.Is(err, unix.ENOLCK):
			return !alive(before), nil
		default:
			return false, &os.PathError{Op: "lock", Path: f.Name(), Err: err}
		}
	}
}

// alive tells whether a process of that number runs and is not this one.
func alive(pid int) bool {
	if pid <= 0 || pid == os.Getpid() {
		return false
	}
	err := unix.Kill(pid, 0)
	return err == nil || errors.Is(err, unix.EPERM)
}
