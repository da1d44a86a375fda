package artnet

import (
	"fmt"
	"net/netip"
	"time"

	"golang.org/x/net/ipv4"

	"limn/dmx"
)

// retryEvery is how long after a socket failed the next is tried: well within the
// second in which light must be back.
const retryEvery = 250 * time.Millisecond

// node is one destination and its socket. Its output's goroutine alone uses it.
type node struct {
	to      netip.AddrPort
	dial    func(netip.AddrPort) (socket, error)
	sock    socket // nil while there is none
	retryAt time.Time

	words string    // of its trouble; empty when it is well
	until time.Time // the trouble lasts at least
	down  error     // what Send returns while there is no socket
}

// open makes a socket if there is none and it is time.
func (n *node) open(now time.Time) error {
	if n.sock != nil {
		return nil
	}
	if now.Before(n.retryAt) {
		return n.down
	}
	sock, err := n.dial(n.to)
	if err != nil {
		n.suffer(troubleOf(err), now)
		n.drop(now)
		return err
	}
	n.sock = sock
	return nil
}

// send gives the messages to the system. Its error is the first there was; it goes on
// with the rest as long as the socket is good.
func (n *node) send(msgs []ipv4.Message, now time.Time) error {
	if err := n.open(now); err != nil {
		return err
	}
	var first error
	for again := false; len(msgs) > 0; {
		count, err := n.sock.write(msgs)
		if err == nil {
			msgs = msgs[count:]
			again = false
			continue
		}
		if first == nil {
			first = err
		}
		what := troubleOf(err)
		n.suffer(what, now)
		switch {
		case what.earlier && !again:
			again = true // asking cleared the error; the same message once more
		case what.earlier || what.passing:
			msgs = msgs[1:]
			again = false
		default:
			n.sock.Close()
			n.sock = nil
			n.drop(now)
			return first
		}
	}
	if first == nil && now.After(n.until) {
		n.words = ""
	}
	return first
}

// suffer notes trouble.
func (n *node) suffer(what trouble, now time.Time) {
	n.words = what.words
	n.until = now.Add(what.hold)
}

// drop waits with the next socket.
func (n *node) drop(now time.Time) {
	n.retryAt = now.Add(retryEvery)
	n.down = fmt.Errorf("%w: %v: %s", dmx.ErrDown, n.to, n.words)
}

func (n *node) close() error {
	if n.sock == nil {
		return nil
	}
	err := n.sock.Close()
	n.sock = nil
	return err
}
