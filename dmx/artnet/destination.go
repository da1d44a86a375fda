package artnet

import (
	"fmt"
	"net/netip"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// retryEvery is how long after a socket failed the next is tried: well within the
// second in which light must be back.
const retryEvery = 250 * time.Millisecond

// feed is what one universe of an output is to one destination.
type feed struct {
	on       bool // it is sent there
	fresh    bool // the present slots have gone out
	owed     int8 // more times they go out, as a datagram may be lost
	sequence byte // of the last
	at       time.Duration
}

// destination is where an output sends, and its socket. Whoever holds the output's lock may use it.
type destination struct {
	to   netip.AddrPort // invalid while a host's address is not known
	host string         // the name it was given by, if it was
	dial func(netip.AddrPort) (udp.Socket, error)
	sock udp.Socket // nil while there is none
	gone bool       // a discovered node that is no more; only its numbers are kept

	local bool // it has been on a network of ours
	cut   bool // that network is not there now

	feeds []feed // parallel to the output's universes
	on    []int  // the feeds that are on

	// What the next send is made of: messages, and the feed of each, or notFeed.
	msgs []udp.Message
	of   []int

	retryAt time.Duration
	trouble saying
	wellAt  time.Duration // when the last trouble ended
	rations bool          // its refusals come so rarely that they do not follow each other
	down    error         // what Send returns while there is no socket
}

const notFeed = -1

// saying is trouble as the operator is told of it.
type saying struct {
	words string // empty when all is well
	until time.Duration
	// open: it lasts until a send goes well; else it ends by itself.
	open bool
}

func (s saying) holds(now time.Duration) bool { return s.words != "" && (s.open || now <= s.until) }

// name is how the operator is told of it.
func (d *destination) name() string {
	switch {
	case d.host == "":
		return d.to.String()
	case !d.to.IsValid():
		return d.host
	}
	return fmt.Sprintf("%s (%v)", d.host, d.to)
}

// turn makes it carry the universes that on says, and keeps the numbers of the others.
func (d *destination) turn(on func(i int) bool) (changed bool) {
	d.on = d.on[:0]
	for i := range d.feeds {
		f := &d.feeds[i]
		want := on(i)
		if want && !f.on {
			f.fresh = false
			changed = true
		}
		changed = changed || f.on != want
		f.on = want
		if want {
			d.on = append(d.on, i)
		}
	}
	if cap(d.msgs) <= len(d.on) { // one more for an ArtSync
		d.msgs = make([]udp.Message, 0, len(d.on)+1)
		d.of = make([]int, 0, len(d.on)+1)
	}
	return changed
}

// open makes a socket if there is none and it is time.
func (d *destination) open(now time.Duration) error {
	if d.sock != nil {
		return nil
	}
	if !d.to.IsValid() {
		return d.down
	}
	if now < d.retryAt {
		return d.down
	}
	sock, err := d.dial(d.to)
	if err != nil {
		d.suffer(troubleOf(err), now)
		d.drop(now)
		return err
	}
	d.sock = sock
	return nil
}

// send gives the messages to the system. Its error is the first there was; it goes on
// with the rest as long as the socket is good.
func (d *destination) send(now time.Duration) (sent int, first error) {
	if err := d.open(now); err != nil {
		d.lost(d.of)
		return 0, err
	}
	msgs, of := d.msgs, d.of
	for again := false; len(msgs) > 0; {
		count, err := d.sock.Write(msgs)
		if err == nil {
			msgs, of = msgs[count:], of[count:]
			sent += count
			again = false
			continue
		}
		if first == nil {
			first = err
		}
		what := troubleOf(err)
		d.suffer(what, now)
		switch {
		case what.earlier && !again:
			again = true // asking cleared the error; the same message once more
		case what.earlier || what.passing:
			d.lost(of[:1])
			msgs, of = msgs[1:], of[1:]
			again = false
		default:
			d.lost(of)
			d.lose()
			d.close()
			d.drop(now)
			return sent, first
		}
	}
	if first == nil && (d.trouble.open || d.trouble.words != "" && now > d.trouble.until) {
		d.trouble = saying{}
		d.wellAt = now
	}
	return sent, first
}

// lost notes that messages did not go out. Their numbers go to those that will: a node that sees a jump of
// half the circle takes what follows for old.
func (d *destination) lost(of []int) {
	for _, i := range of {
		if i == notFeed {
			continue
		}
		f := &d.feeds[i]
		f.fresh = false
		if f.sequence--; f.sequence == 0 {
			f.sequence = sequences
		}
	}
}

// lose makes everything go out again.
func (d *destination) lose() {
	for _, i := range d.on {
		d.feeds[i].fresh = false
	}
}

// suffer notes trouble.
func (d *destination) suffer(what trouble, now time.Duration) {
	hold := what.hold
	if what.earlier && hold < rationedHold {
		// Declared well too early: the refusals of this peer are rationed.
		if d.trouble.words == "" && d.wellAt > 0 && now-d.wellAt < rationedWithin {
			d.rations = true
		}
		if d.rations {
			hold = rationedHold
		}
	}
	d.trouble = saying{words: what.words, until: now + hold, open: hold == 0}
}

// drop waits with the next socket.
func (d *destination) drop(now time.Duration) {
	d.retryAt = now + retryEvery
	d.trouble.open = true
	d.down = fmt.Errorf("%w: %s: %s", dmx.ErrDown, d.name(), d.trouble.words)
}

func (d *destination) close() error {
	if d.sock == nil {
		return nil
	}
	err := d.sock.Close()
	d.sock = nil
	return err
}

// move gives it another address.
func (d *destination) move(to netip.AddrPort) {
	d.close()
	d.to = to
	d.retryAt = 0
	d.trouble = saying{}
	d.rations, d.local, d.cut = false, false, false
	d.lose()
}

// checkDestination says what is wrong with an address to send to.
func checkDestination(to netip.AddrPort) error {
	a := to.Addr()
	switch {
	case !a.Is4():
		return fmt.Errorf("node %v is not an IPv4 address; Art-Net knows no other", to)
	case a.IsUnspecified():
		return fmt.Errorf("node %v is no address; write the node's own", to)
	case a.IsMulticast(), a == everybody:
		return fmt.Errorf("node %v means many; ArtDmx goes to single nodes, so list their addresses", to)
	case to.Port() == 0:
		return fmt.Errorf("node %v has no port; the usual one is %d", a, Port)
	}
	return nil
}

// everybody is the limited broadcast address, which Art-Net never uses.
var everybody = netip.AddrFrom4([4]byte{255, 255, 255, 255})
