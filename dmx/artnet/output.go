package artnet

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// Config is what an [Output] is made of. It sends to the nodes that To and Hosts name; if they name none, to those
// that Discovery finds.
type Config struct {
	Name  string
	To    []netip.AddrPort // nodes; each gets every universe
	Hosts []string         // nodes by name, "host" or "host:port", looked up again and again
	// Discovery finds nodes: without To and Hosts, each universe goes to every node that has an output for its
	// Port-Address, as they come, move and go. With them, it is only asked who else sends there. It is the
	// caller's to close, after the output.
	Discovery *Discovery
	Universes []dmx.Universe
	Offset    int // Port-Address = universe + Offset
	Sync      Sync
	// Broadcast lets To name a directed broadcast address, which the standard's present
	// revision does not allow for ArtDmx. Warnings says what it costs.
	Broadcast bool
	// NoSegments leaves out the fastest way to the system, which lets it cut one long message into the packets of many universes.
	// A system that cannot do it is found out without this; it is for a network card that claims to and does it wrong.
	NoSegments bool

	networks func() ([]Network, error)
	lookUp   func(ctx context.Context, host string) ([]netip.Addr, error)
	dial     func(netip.AddrPort) (udp.Socket, error)
}

// Sync says whether nodes are to show the universes of a frame together, by an ArtSync after each. It
// does nothing for a single universe.
type Sync byte

// Ways to send ArtSync.
const (
	NoSync Sync = iota
	// SyncBroadcast sends one to the whole network of the nodes, as the standard has it; to nodes on
	// no network of this computer, and on loopback, one each.
	SyncBroadcast
	// SyncUnicast sends one to each node: wireless networks deliver broadcasts late.
	SyncUnicast
)

// Output is dmx.Output over ArtDmx unicast, from an ephemeral port.
type Output struct {
	cfg       Config
	universes []dmx.Universe
	start     time.Time
	closing   context.CancelFunc
	helpers   sync.WaitGroup // goroutines that look up host names and networks
	leave     func()         // the discovery
	subscribe bool           // destinations come from the discovery

	sent atomic.Int64 // ArtDmx given to the system

	// sending is held while packets are made or destinations change: a node that appears is served from the
	// discovery's goroutine, between two calls of Send.
	sending sync.Mutex
	closed  bool
	live    bool // the packets hold slots
	failing bool // the last Send had an error
	dests   []*destination
	seen    int64          // number of the last view of the nodes
	syncs   []*destination // where ArtSync is broadcast
	lone    []*destination // who gets an ArtSync of his own
	// Parallel to universes. Each message points to its encoder's packet for good.
	encoders []*Encoder
	msgs     []udp.Message
	changed  []bool

	status status
}

var _ dmx.Output = (*Output)(nil)

var syncMessage = udp.Message{Buffers: [][]byte{AppendSync(nil)}}

// NewOutput checks the config. A node that cannot be reached is no error:
// Status says so, and sending tries again.
func NewOutput(cfg Config) (*Output, error) {
	if cfg.networks == nil {
		cfg.networks = Networks
	}
	if cfg.lookUp == nil {
		cfg.lookUp = lookUp
	}
	if cfg.dial == nil {
		cfg.dial = udp.Dial
		if cfg.NoSegments {
			cfg.dial = func(to netip.AddrPort) (udp.Socket, error) {
				s, err := udp.Dial(to)
				if err != nil {
					return nil, err
				}
				return udp.Plain(s), nil
			}
		}
	}
	o := &Output{cfg: cfg, universes: slices.Clone(cfg.Universes), start: time.Now(), changed: make([]bool, len(cfg.Universes))}
	if err := o.layOut(); err != nil {
		return nil, err
	}
	if err := o.name(); err != nil {
		return nil, err
	}
	now := o.now()
	for _, d := range o.dests {
		d.turn(func(int) bool { return true })
		_ = d.open(now) // Status tells
	}
	networks, _ := cfg.networks() // without them syncs go to each node
	for _, d := range o.dests {
		if d.to.IsValid() {
			_, d.local = networkOf(d.to.Addr(), networks)
		}
	}
	o.place(networks)
	o.tell()
	ctx, cancel := context.WithCancel(context.Background())
	o.closing = cancel
	o.lookUpHosts(ctx)
	if o.watchful() {
		o.helpers.Go(func() { o.watchNetworks(ctx) })
	}
	if cfg.Discovery != nil {
		o.leave = cfg.Discovery.follow(o.follow)
	}
	return o, nil
}

// layOut prepares a packet for each universe.
func (o *Output) layOut() error {
	if len(o.universes) == 0 {
		return errors.New("no universes to send; list at least one")
	}
	for i, u := range o.universes {
		if slices.Contains(o.universes[:i], u) {
			return fmt.Errorf("universe %d is listed twice; once is enough", u)
		}
		address, err := PortAddress(u, o.cfg.Offset)
		if err != nil {
			return err
		}
		e, err := NewEncoder(address, 0)
		if err != nil {
			return err
		}
		o.encoders = append(o.encoders, e)
		o.msgs = append(o.msgs, udp.Message{Buffers: [][]byte{e.packet}})
	}
	return nil
}

// name makes the destinations that the config names.
func (o *Output) name() error {
	networks, _ := o.cfg.networks()
	add := func(to netip.AddrPort, host string) error {
		if to.IsValid() || host == "" {
			to = netip.AddrPortFrom(to.Addr().Unmap(), to.Port())
			if err := checkDestination(to); err != nil {
				return err
			}
			if n, ok := networkOf(to.Addr(), networks); ok && n.Broadcast() == to.Addr() && n.Own.Bits() < 31 && !o.cfg.Broadcast {
				return fmt.Errorf("node %v means everybody on %s; list the nodes' own addresses, or ask for broadcast", to, n)
			}
		}
		if slices.ContainsFunc(o.dests, func(d *destination) bool { return d.to == to && d.host == host }) {
			return fmt.Errorf("node %v is named twice; once is enough", cmp.Or(host, to.String()))
		}
		d := o.newDestination(to)
		if d.host = host; host != "" {
			d.seek()
		}
		o.dests = append(o.dests, d)
		return nil
	}
	for _, to := range o.cfg.To {
		if err := add(to, ""); err != nil {
			return err
		}
	}
	for _, text := range o.cfg.Hosts {
		to, host, err := splitHost(text)
		if err != nil {
			return err
		}
		if err := add(to, host); err != nil {
			return err
		}
	}
	o.subscribe = len(o.dests) == 0
	if o.subscribe && o.cfg.Discovery == nil {
		return errors.New("no node to send to; name at least one address")
	}
	return nil
}

func (o *Output) newDestination(to netip.AddrPort) *destination {
	return &destination{to: to, dial: o.cfg.dial, feeds: make([]feed, len(o.universes))}
}

// now is monotonic: setting the clock moves nothing.
func (o *Output) now() time.Duration { return time.Since(o.start) }

// Name is the name given in the config.
func (o *Output) Name() string { return o.cfg.Name }

// Universes are those given in the config.
func (o *Output) Universes() []dmx.Universe { return o.universes }

// Send sends each universe that has changed to each node that takes it, and of the others those whose repeat or keep-alive
// is due. When none has changed, all are sent that are not fresh. It allocates nothing as long as all goes well.
// With discovery, a universe that no node takes is not sent; Status tells, and Send is content.
func (o *Output) Send(frames []dmx.Frame) error {
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed {
		return dmx.ErrClosed
	}
	why := repeat
	for i, e := range o.encoders {
		slots := e.packet[dataAt : dataAt+dmx.Slots]
		o.changed[i] = !o.live || !bytes.Equal(slots, frames[i][:])
		if o.changed[i] {
			copy(slots, frames[i][:])
			why = change
		}
	}
	o.live = true
	err := o.deliver(why)
	o.failing = err != nil
	return err
}

// deliver sends what is due. The caller holds the lock.
func (o *Output) deliver(why occasion) (first error) {
	now := o.now()
	news, any := false, false
	for _, d := range o.dests {
		if d.gone {
			continue
		}
		o.fill(d, why, o.failing, now)
		if len(d.msgs) == 0 {
			continue
		}
		any = true
		o.number(d)
		err := o.give(d, now, &news)
		if first == nil {
			first = err
		}
	}
	if any && o.cfg.Sync != NoSync && len(o.universes) > 1 {
		if err := o.sync(now, &news); first == nil {
			first = err
		}
	}
	if news {
		o.tell()
	}
	return first
}

// give sends what d was filled with.
func (o *Output) give(d *destination, now time.Duration, news *bool) error {
	before := d.trouble
	sent, err := d.send(now)
	if len(d.of) > 0 && d.of[0] != notFeed {
		o.sent.Add(int64(sent))
	}
	*news = *news || d.trouble != before
	return err
}

// sync sends an ArtSync after all ArtDmx of a frame.
func (o *Output) sync(now time.Duration, news *bool) (first error) {
	for _, all := range [2][]*destination{o.syncs, o.lone} {
		for _, d := range all {
			if d.gone {
				continue
			}
			d.msgs, d.of = append(d.msgs[:0], syncMessage), append(d.of[:0], notFeed)
			if err := o.give(d, now, news); first == nil {
				first = err
			}
		}
	}
	return first
}

// place finds where ArtSync goes. The caller holds the lock, or is alone.
func (o *Output) place(networks []Network) {
	old := o.syncs
	o.syncs, o.lone = nil, nil
	for _, d := range o.dests {
		if d.gone {
			continue
		}
		n, ok := Network{}, false
		if d.to.IsValid() {
			n, ok = networkOf(d.to.Addr(), networks)
		}
		if !ok || n.Loopback || o.cfg.Sync != SyncBroadcast {
			o.lone = append(o.lone, d)
			continue
		}
		to := netip.AddrPortFrom(n.Broadcast(), d.to.Port())
		same := func(s *destination) bool { return s.to == to }
		if slices.ContainsFunc(o.syncs, same) {
			continue
		}
		if i := slices.IndexFunc(old, same); i >= 0 {
			o.syncs = append(o.syncs, old[i])
			continue
		}
		s := o.newDestination(to)
		s.turn(func(int) bool { return false })
		o.syncs = append(o.syncs, s)
	}
	for _, s := range old {
		if !slices.Contains(o.syncs, s) {
			s.close()
		}
	}
}

// Paths says in words, for each node that there is a socket for, how packets are handed to the system:
// "10.0.0.5:6454: segmentation by the system". Any goroutine may ask.
func (o *Output) Paths() []string {
	o.sending.Lock() // never held for long: nothing under it waits
	defer o.sending.Unlock()
	var out []string
	for _, d := range append(slices.Clone(o.dests), o.syncs...) {
		if d.sock != nil {
			out = append(out, d.name()+": "+d.sock.Path())
		}
	}
	return out
}

// Sent counts the ArtDmx given to the system.
func (o *Output) Sent() int64 { return o.sent.Load() }

// Close closes the sockets.
func (o *Output) Close() error {
	o.sending.Lock()
	if o.closed {
		o.sending.Unlock()
		return nil
	}
	o.closed = true
	var errs []error
	for _, d := range append(slices.Clone(o.dests), o.syncs...) {
		errs = append(errs, d.close())
	}
	o.status.close()
	o.sending.Unlock()
	o.closing()
	if o.leave != nil {
		o.leave()
	}
	o.helpers.Wait()
	return errors.Join(errs...)
}
