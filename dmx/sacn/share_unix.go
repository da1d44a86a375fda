//go:build !windows && !linux

package sacn

import (
	"syscall"

	"golang.org/x/sys/unix"
)

// shareGroups lets several programs hear the same groups.
func shareGroups(_, _ string, c syscall.RawConn) error {
	var err error
	if e := c.Control(func(fd uintptr) {
		if err = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_REUSEADDR, 1); err == nil {
			err = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_REUSEPORT, 1)
		}
	}); e != nil {
		return e
	}
	return err
}
