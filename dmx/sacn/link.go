package sacn

import (
	"fmt"
	"net"
	"net/netip"
	"slices"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// retryEvery is how long after a socket failed the next is tried: well within the
// second in which light must be back.
const retryEvery = 250 * time.Millisecond

// link is one way that packets leave by: to a single address, or to the groups of one IP
// version. Whoever holds the output's lock may use it.
type link struct {
	to     netip.AddrPort // of a unicast link; invalid while a host's address is not known
	host   string         // the name it was given by, if it was
	groups Groups         // of a multicast link: one version
	by     Interface      // where multicast leaves, as far as is known
	sock   udp.Socket     // nil while there is none
	dial   func(*link) (udp.Socket, error)

	// Messages that point to the output's packets for good.
	data      []udp.Message // parallel to the output's universes
	sync      udp.Message
	discovery []udp.Message

	batch []udp.Message // what the next send is made of

	// behind: something was not sent, so that all is sent next time, with the numbers
	// it has: who has heard it drops it, as any packet that comes twice.
	behind  bool
	tried   time.Duration
	retryAt time.Duration
	trouble saying
	cable   string        // words while the cable is out, though the system takes what is sent
	wellAt  time.Duration // when the last trouble ended
	rations bool          // its refusals come so rarely that they do not follow each other
	down    error         // what Send returns while there is no socket
}

// name is how the operator is told of it.
func (l *link) name() string {
	switch {
	case l.groups == Groups4 && l.by.Name != "":
		return "multicast on " + l.by.Name
	case l.groups == Groups6 && l.by.Name != "":
		return "IPv6 multicast on " + l.by.Name
	case l.groups != 0:
		return "multicast"
	case l.host == "":
		return l.to.String()
	case !l.to.Addr().IsValid():
		return l.host
	}
	return fmt.Sprintf("%s (%v)", l.host, l.to)
}

// aim makes the messages. packets are the output's data packets, wires their universes.
func (l *link) aim(cfg *Config, packets [][]byte, sync []byte, discovery [][]byte) {
	at := func(universe uint16) net.Addr {
		switch l.groups {
		case Groups4:
			return net.UDPAddrFromAddrPort(netip.AddrPortFrom(Group4(universe), cfg.port))
		case Groups6:
			return net.UDPAddrFromAddrPort(netip.AddrPortFrom(Group6(universe), cfg.port))
		}
		return nil // connected
	}
	message := func(b []byte, universe uint16) udp.Message {
		return udp.Message{Buffers: [][]byte{b}, Addr: at(universe)}
	}
	for i, b := range packets {
		l.data = append(l.data, message(b, cfg.wire(i)))
	}
	if cfg.Sync != 0 {
		l.sync = message(sync, cfg.Sync)
	}
	for _, b := range discovery {
		l.discovery = append(l.discovery, message(b, DiscoveryUniverse))
	}
	l.batch = make([]udp.Message, 0, len(l.data))
}

// open makes a socket if there is none and it is time.
func (l *link) open(now time.Duration) error {
	switch {
	case l.sock != nil:
		return nil
	case l.groups == 0 && !l.to.Addr().IsValid(), now < l.retryAt:
		return l.down
	}
	sock, err := l.dial(l)
	if err != nil {
		l.suffer(troubleOf(err), now)
		l.drop(now)
		return err
	}
	l.sock = sock
	return nil
}

// send gives messages to the system. Its error is the first there was; it goes on with the
// rest as long as the socket is good.
func (l *link) send(msgs []udp.Message, now time.Duration) (sent int, first error) {
	l.tried = now
	if err := l.open(now); err != nil {
		l.behind = true
		return 0, err
	}
	for again := false; len(msgs) > 0; {
		count, err := l.sock.Write(msgs)
		if err == nil {
			msgs = msgs[count:]
			sent += count
			again = false
			continue
		}
		if first == nil {
			first = err
		}
		what := troubleOf(err)
		l.suffer(what, now)
		l.behind = true
		switch {
		case what.earlier && !again:
			again = true // asking cleared the error; the same message once more
		case what.earlier || what.passing:
			msgs = msgs[1:]
			again = false
		default:
			l.close()
			l.drop(now)
			return sent, first
		}
	}
	if first == nil && (l.trouble.open || l.trouble.words != "" && now > l.trouble.until) {
		l.trouble = saying{}
		l.wellAt = now
	}
	return sent, first
}

// suffer notes trouble.
func (l *link) suffer(what trouble, now time.Duration) {
	hold := what.hold
	if what.earlier && hold < rationedHold {
		// Declared well too early: the refusals of this peer are rationed.
		if l.trouble.words == "" && l.wellAt > 0 && now-l.wellAt < rationedWithin {
			l.rations = true
		}
		if l.rations {
			hold = rationedHold
		}
	}
	l.trouble = saying{words: what.words, until: now + hold, open: hold == 0}
}

// drop waits with the next socket.
func (l *link) drop(now time.Duration) {
	l.retryAt = now + retryEvery
	l.trouble.open = true
	l.down = fmt.Errorf("%w: %s: %s", dmx.ErrDown, l.name(), l.trouble.words)
}

func (l *link) close() error {
	if l.sock == nil {
		return nil
	}
	err := l.sock.Close()
	l.sock = nil
	return err
}

// move gives it another address or interface.
func (l *link) move() {
	l.close()
	l.retryAt = 0
	l.trouble = saying{}
	l.rations = false
	l.behind = true
}

// told is the trouble to tell of, empty when all is well.
func (l *link) told() saying {
	if l.trouble.words == "" && l.cable != "" {
		return saying{words: l.cable, open: true}
	}
	return l.trouble
}

// see takes what the system says of the interface that multicast leaves by.
func (l *link) see(by Interface, err error, now time.Duration) {
	switch {
	case err != nil:
		if l.sock != nil || l.trouble.words != err.Error() {
			l.close()
			l.trouble = saying{words: err.Error()}
			l.drop(now)
			l.behind = true
		}
	case by.Index != l.by.Index || by.Name != l.by.Name:
		l.by = by
		l.move()
	default:
		// The socket takes the interface's present address by itself; what went out meanwhile may have been lost.
		moved := !slices.Equal(by.Addrs, l.by.Addrs)
		was := l.cable
		l.cable = ""
		if !by.connected() {
			l.cable = errCableOut.Error()
		}
		l.behind = l.behind || moved || was != "" && l.cable == ""
		l.by = by
	}
}

// checkAddress says what is wrong with a single address to send to.
func checkAddress(to netip.AddrPort) error {
	a := to.Addr()
	switch {
	case !a.IsValid():
		return fmt.Errorf("a receiver's address is missing; write it in numbers, or its name")
	case a.IsUnspecified():
		return fmt.Errorf("receiver %v is no address; write the receiver's own", to)
	case a.IsMulticast():
		return fmt.Errorf("receiver %v is a group; without receivers, each universe goes to its own group", to)
	case a == everybody:
		return fmt.Errorf("receiver %v means everybody; multicast does that and disturbs nobody else", to)
	case to.Port() == 0:
		return fmt.Errorf("receiver %v has no port; the usual one is %d", a, Port)
	}
	return nil
}

// everybody is the limited broadcast address, which sACN never uses.
var everybody = netip.AddrFrom4([4]byte{255, 255, 255, 255})
