//go:build !windows

package udp

import "syscall"

var causes = []cause{
	{Refused, []error{syscall.ECONNREFUSED}},
	{HostUnreachable, []error{syscall.EHOSTUNREACH, syscall.EHOSTDOWN}},
	{NetUnreachable, []error{syscall.ENETUNREACH, syscall.ENETDOWN}},
	{NoBuffers, []error{syscall.ENOBUFS, syscall.ENOMEM, syscall.EAGAIN}},
	{Forbidden, []error{syscall.EPERM, syscall.EACCES}},
	{AddressGone, []error{syscall.EADDRNOTAVAIL, syscall.EINVAL}},
	{InterfaceGone, []error{syscall.ENODEV, syscall.ENXIO}},
	{InUse, []error{syscall.EADDRINUSE}},
	{PacketTooLong, []error{syscall.EMSGSIZE}},
	{TooManyOpenFiles, []error{syscall.EMFILE, syscall.ENFILE}},
}
