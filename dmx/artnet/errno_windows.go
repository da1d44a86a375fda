package artnet

import "golang.org/x/sys/windows"

var (
	refused         = []error{windows.WSAECONNREFUSED, windows.WSAECONNRESET}
	hostUnreachable = []error{windows.WSAEHOSTUNREACH, windows.WSAEHOSTDOWN}
	netUnreachable  = []error{windows.WSAENETUNREACH, windows.WSAENETDOWN}
	noBuffers       = []error{windows.WSAENOBUFS}
	forbidden       = []error{windows.WSAEACCES}
	inUse           = []error{windows.WSAEADDRINUSE}
	addressGone     = []error{windows.WSAEADDRNOTAVAIL, windows.WSAEINVAL}
)
