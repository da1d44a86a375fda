//go:build !windows

package artnet

import "syscall"

// shareAddress lets several sockets hear the same broadcasts.
func shareAddress(_, _ string, c syscall.RawConn) error {
	var err error
	if e := c.Control(func(fd uintptr) {
		err = syscall.SetsockoptInt(int(fd), syscall.SOL_SOCKET, syscall.SO_REUSEADDR, 1)
	}); e != nil {
		return e
	}
	return err
}
