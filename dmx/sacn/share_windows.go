package sacn

import (
	"syscall"

	"golang.org/x/sys/windows"
)

// shareGroups lets several programs hear the same groups.
func shareGroups(_, _ string, c syscall.RawConn) error {
	var err error
	if e := c.Control(func(fd uintptr) {
		err = windows.SetsockoptInt(windows.Handle(fd), windows.SOL_SOCKET, windows.SO_REUSEADDR, 1)
	}); e != nil {
		return e
	}
	return err
}
