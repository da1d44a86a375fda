package sacn

import (
	"errors"
	"net"
	"net/netip"
	"sync"
	"time"
)

const (
	// readSize holds the longest packet and a little more, so that one that is too long is
	// seen to be, not cut down to a good one.
	readSize = 2048
	// readBuffer is what the system is asked to keep while nobody reads: a second
	// of 64 universes. It may grant less.
	readBuffer = 4 << 20
	// pauseOnError keeps a socket that fails at once from taking all the time there is.
	pauseOnError = 10 * time.Millisecond
)

// Datagram is a data packet as received.
type Datagram struct {
	From netip.AddrPort
	Data // valid until the handler returns
}

// ListenConfig says what a [Receiver] listens to.
type ListenConfig struct {
	// Addr is where packets for this computer come in: an own address, loopback in tests; port 0 picks one. With
	// Groups only its port counts, and 0 means the standard's.
	Addr netip.AddrPort
	// Groups joins multicast groups, which makes it listen on all of the computer's addresses.
	Groups Groups
	// Interface is where groups are joined: see [Config].
	Interface string
	// Universes are those to hear, as they are numbered on the wire; none means all that come, which with
	// Groups must be named.
	Universes []uint16
	// Discovery also joins the group that senders tell their universes to.
	Discovery bool

	interfaces func() ([]Interface, error)
}

// Receiver hears sACN.
type Receiver struct {
	conns   []*net.UDPConn
	start   time.Time
	wanted  map[uint16]bool // nil: all
	handle  func(*Datagram)
	readers sync.WaitGroup
	done    chan struct{}
	close   sync.Once

	handling sync.Mutex // several sockets, one handler at a time
	mu       sync.Mutex
	table    *table
}

// Listen opens the sockets and calls handle, from one goroutine at a time, for each data packet that is to drive
// light: levels, in order, not for preview, of the sender with the highest priority. handle may be nil and must not
// call Close.
func Listen(cfg ListenConfig, handle func(*Datagram)) (*Receiver, error) {
	conns, err := cfg.open()
	if err != nil {
		return nil, err
	}
	r := &Receiver{conns: conns, start: time.Now(), handle: handle, table: newTable(), done: make(chan struct{})}
	if len(cfg.Universes) > 0 {
		r.wanted = map[uint16]bool{}
		for _, u := range cfg.Universes {
			r.wanted[u] = true
		}
	}
	for _, c := range conns {
		_ = c.SetReadBuffer(readBuffer) // whatever it grants will do
		r.readers.Go(func() { r.read(c) })
	}
	if cfg.Groups != 0 {
		r.readers.Go(func() { cfg.stay(conns, r.done) })
	}
	return r, nil
}

func (r *Receiver) now() time.Duration { return time.Since(r.start) }

func (r *Receiver) read(c *net.UDPConn) {
	var room struct {
		Datagram
		Sync
		DiscoveryPage
	}
	buf := make([]byte, readSize)
	for {
		n, from, err := c.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil {
			// Some systems report here that an answer found nobody, or that the
			// datagram was longer than the buffer. Neither ends the listening.
			r.refuse()
			time.Sleep(pauseOnError)
			continue
		}
		room.From = netip.AddrPortFrom(from.Addr().Unmap(), from.Port())
		r.hear(buf[:n], &room.Datagram, &room.Sync, &room.DiscoveryPage)
	}
}

func (r *Receiver) refuse() {
	r.mu.Lock()
	r.table.counters.Malformed++
	r.mu.Unlock()
}

// hear takes one packet; d.From says who sent it, and the three are room to decode it.
func (r *Receiver) hear(b []byte, d *Datagram, s *Sync, p *DiscoveryPage) {
	kind, err := KindOf(b)
	if err == nil {
		switch kind {
		case KindData:
			err = d.Decode(b)
		case KindSync:
			err = s.Decode(b)
		case KindDiscovery:
			err = p.Decode(b)
		}
	}
	if err != nil {
		r.refuse()
		return
	}
	r.handling.Lock()
	defer r.handling.Unlock()
	if r.note(kind, d, s, p) && r.handle != nil {
		r.handle(d)
	}
}

// note puts a good packet into the table, and says whether it is to drive light.
func (r *Receiver) note(kind Kind, d *Datagram, s *Sync, p *DiscoveryPage) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	now := r.now()
	switch {
	case kind == KindSync:
		r.table.hearSync(s, now)
	case kind == KindDiscovery:
		r.table.counters.Discovery++
		if !r.table.discovered.hear(p, d.From, now) {
			r.table.counters.Overflow++
		}
	case r.wanted != nil && !r.wanted[d.Universe]: // the packet's, never the group's (9.1.1)
		r.table.counters.Unwanted++
	default:
		return r.table.hear(&d.Data, d.From, now)
	}
	return false
}

// Universes tells what is known of each universe. Safe from any goroutine.
func (r *Receiver) Universes() []Universe {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.table.report(r.now())
}

// Discovered tells of the senders that have told by universe discovery what they send.
func (r *Receiver) Discovered() []Discovered {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.table.discovered.report(r.now())
}

// Counters tells what was heard in all.
func (r *Receiver) Counters() Counters {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.table.counters
}

// Addr is where it listens; of several sockets the first.
func (r *Receiver) Addr() netip.AddrPort {
	a := r.conns[0].LocalAddr().(*net.UDPAddr).AddrPort()
	return netip.AddrPortFrom(a.Addr().Unmap(), a.Port())
}

// Close ends the listening, after the handler has returned. A second Close does nothing and returns nil.
func (r *Receiver) Close() error {
	var err error
	r.close.Do(func() {
		close(r.done)
		for _, c := range r.conns {
			err = errors.Join(err, c.Close())
		}
		r.readers.Wait()
	})
	return err
}
