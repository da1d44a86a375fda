package udp

import "golang.org/x/sys/windows"

var causes = []cause{
	{Refused, []error{windows.WSAECONNREFUSED, windows.WSAECONNRESET}},
	{HostUnreachable, []error{windows.WSAEHOSTUNREACH, windows.WSAEHOSTDOWN}},
	{NetUnreachable, []error{windows.WSAENETUNREACH, windows.WSAENETDOWN}},
	{NoBuffers, []error{windows.WSAENOBUFS, windows.WSAEWOULDBLOCK}},
	{Forbidden, []error{windows.WSAEACCES}},
	{AddressGone, []error{windows.WSAEADDRNOTAVAIL, windows.WSAEINVAL}},
	{InUse, []error{windows.WSAEADDRINUSE}},
	{PacketTooLong, []error{windows.WSAEMSGSIZE}},
	{TooManyOpenFiles, []error{windows.WSAEMFILE}},
}
