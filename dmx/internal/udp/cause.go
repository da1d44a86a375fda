package udp

import (
	"errors"
	"slices"
)

// Cause is what an error of a socket comes of.
type Cause byte

// Causes.
const (
	Other            Cause = iota
	Refused                // nobody listens there; news of an earlier packet
	HostUnreachable        // nobody answers to that address; news of an earlier packet
	NetUnreachable         // no route, or the network is down
	NoBuffers              // a queue is full; this packet is lost, the socket is good
	Forbidden              // a firewall, or a right that is missing
	AddressGone            // our own address is no more
	InterfaceGone          // the interface is no more
	InUse                  // another socket has the port
	PacketTooLong          // it does not fit on that network
	TooManyOpenFiles       // no more sockets
)

// CauseOf says what an error comes of.
func CauseOf(err error) Cause {
	for _, c := range causes {
		if slices.ContainsFunc(c.errs, func(e error) bool { return errors.Is(err, e) }) {
			return c.cause
		}
	}
	return Other
}

type cause struct {
	cause Cause
	errs  []error
}
