package sacn

import (
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
)

// shareGroups lets several programs hear the same groups, and this socket only those it has joined: else
// it would also get what others on this computer join.
func shareGroups(network, _ string, c syscall.RawConn) error {
	var err error
	if e := c.Control(func(fd uintptr) {
		if err = unix.SetsockoptInt(int(fd), unix.SOL_SOCKET, unix.SO_REUSEADDR, 1); err != nil {
			return
		}
		if strings.HasSuffix(network, "6") {
			err = unix.SetsockoptInt(int(fd), unix.IPPROTO_IPV6, unix.IPV6_MULTICAST_ALL, 0)
		} else {
			err = unix.SetsockoptInt(int(fd), unix.IPPROTO_IP, unix.IP_MULTICAST_ALL, 0)
		}
	}); e != nil {
		return e
	}
	return err
}
