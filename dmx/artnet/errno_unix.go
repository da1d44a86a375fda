//go:build !windows

package artnet

import "syscall"

var (
	refused         = []error{syscall.ECONNREFUSED}
	hostUnreachable = []error{syscall.EHOSTUNREACH, syscall.EHOSTDOWN}
	netUnreachable  = []error{syscall.ENETUNREACH, syscall.ENETDOWN}
	noBuffers       = []error{syscall.ENOBUFS, syscall.ENOMEM}
	forbidden       = []error{syscall.EPERM, syscall.EACCES}
	inUse           = []error{syscall.EADDRINUSE}
	addressGone     = []error{syscall.EADDRNOTAVAIL, syscall.EINVAL}
)
