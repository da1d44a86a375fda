package artnet

import (
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"sync"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

const (
	// pollEvery lies in the 2.5..3 s that the standard gives a controller.
	pollEvery = 2750 * time.Millisecond
	// lookEvery is how often silence and the interface's address are looked at: an output must be live
	// within a second of its network's return.
	lookEvery = 400 * time.Millisecond
	// gatherFor is how long news are gathered before they are passed on: a flood of answers must not cost a new
	// view each.
	gatherFor = 20 * time.Millisecond
	// maxEvents bounds the events that wait for a slow listener; the rest is dropped.
	maxEvents = 256
)

// DiscoveryConfig is what a [Discovery] is made of.
type DiscoveryConfig struct {
	// Interface is the name or the own address of the interface to look on; empty: the only one there is. Loopback
	// only with a port of one's own.
	Interface string
	// Port is the UDP port of all devices, 6454 when 0.
	Port uint16
	// Poll lists the addresses to ask, for devices that no broadcast reaches. When it is
	// empty, the whole network of the interface is asked by directed broadcast.
	Poll []netip.Addr
	// Diagnostics is the least priority of messages that nodes are asked for; 0: none.
	Diagnostics DiagPriority
	// Name is what others who poll are told; "limn" when empty. Firmware is the version they are told.
	Name     string
	Firmware uint16
	// OnEvent is told of nodes that come, move and go. All calls come from one goroutine; it must
	// not call Close, which waits for it. May be nil.
	OnEvent func(Event)
	// OnMessage is handed well-formed messages that discovery has no use for, such as those of RDM, from devices
	// of the network. b is valid until it returns. It may be called from two goroutines at once. May be nil.
	OnMessage func(op OpCode, from netip.AddrPort, b []byte)

	networks func() ([]Network, error)
	open     func(Network, uint16) ([]wire, error)
	delay    func() time.Duration // before an answer to a poll
}

// wire is what discovery needs of a UDP socket.
type wire interface {
	ReadFromUDPAddrPort(b []byte) (int, netip.AddrPort, error)
	WriteToUDPAddrPort(b []byte, to netip.AddrPort) (int, error)
	Close() error
}

// Discovery asks a network for its Art-Net devices, keeps book of them, and answers others who ask. It
// listens from [Discover] until Close.
type Discovery struct {
	cfg   DiscoveryConfig
	start time.Time
	poll  []byte

	stop    chan struct{}
	workers sync.WaitGroup
	wake    chan struct{} // the clockwork
	bell    chan struct{} // who tells of events

	mu        sync.Mutex
	network   Network
	wires     []wire // the first is the one that sends; none while there is no network
	readers   *sync.WaitGroup
	broken    bool // the socket has to be made anew
	down      error
	table     *table
	dirty     bool          // the table has news
	passed    time.Duration // when they were last passed on
	events    []Event
	answers   answers
	counters  DiscoveryCounters
	followers []*follower
}

// DiscoveryCounters counts datagrams.
type DiscoveryCounters struct {
	Polls     int64 // sent
	Replies   int64 // taken
	Answered  int64 // polls of others
	Malformed int64 // refused
	Strangers int64 // from outside the network, not looked at
	Overflow  int64 // replies for which there was no room
}

// Discover binds the port and starts to ask. It fails when the interface is not there or its port is taken; what happens to
// the network later is no error: Status says so, and asking goes on when it is back.
func Discover(cfg DiscoveryConfig) (*Discovery, error) {
	if cfg.Port == 0 {
		cfg.Port = Port
	}
	if cfg.Name == "" {
		cfg.Name = "limn"
	}
	if cfg.networks == nil {
		cfg.networks = Networks
	}
	if cfg.open == nil {
		cfg.open = openWires
	}
	if cfg.delay == nil {
		cfg.delay = answerDelay
	}
	for _, a := range cfg.Poll {
		if err := pollable(a); err != nil {
			return nil, err
		}
	}
	p := PollPacket{Flags: PollOnChange}
	if cfg.Diagnostics != 0 {
		p.Flags |= PollDiagnostics | PollDiagUnicast
		p.DiagPriority = cfg.Diagnostics
	}
	d := &Discovery{
		cfg: cfg, start: time.Now(), poll: p.AppendTo(nil), table: newTable(),
		stop: make(chan struct{}), wake: make(chan struct{}, 1), bell: make(chan struct{}, 1), readers: new(sync.WaitGroup),
	}
	d.mu.Lock()
	err := d.bind()
	d.mu.Unlock()
	if err != nil {
		return nil, err
	}
	d.workers.Go(d.run)
	if cfg.OnEvent != nil {
		d.workers.Go(d.report)
	}
	return d, nil
}

// pollable says what is wrong with an address to ask.
func pollable(a netip.Addr) error {
	return checkDestination(netip.AddrPortFrom(a.Unmap(), Port))
}

// bind makes the sockets. The caller holds the lock.
func (d *Discovery) bind() error {
	all, err := d.cfg.networks()
	if err != nil {
		return fmt.Errorf("this computer's networks cannot be listed: %w", err)
	}
	n, found := Network{}, false
	if d.cfg.Interface == "" && len(d.cfg.Poll) > 0 {
		n, found = networkOf(d.cfg.Poll[0], all) // the address says it
	}
	if !found {
		if n, err = choose(d.cfg.Interface, all); err != nil {
			return err
		}
	}
	if n.Loopback && d.cfg.Port == Port {
		return fmt.Errorf("%s is loopback, where no device is; name the interface the lights are on", n)
	}
	wires, err := d.cfg.open(n, d.cfg.Port)
	if err != nil {
		if udp.CauseOf(err) == udp.InUse {
			return fmt.Errorf("UDP port %d of %s is taken by another program; end it and try again", d.cfg.Port, n)
		}
		return fmt.Errorf("cannot listen on %s, UDP port %d: %w", n, d.cfg.Port, err)
	}
	d.network, d.wires, d.down, d.broken = n, wires, nil, false
	d.readers = new(sync.WaitGroup)
	for _, w := range wires {
		d.readers.Go(func() { d.read(w) })
	}
	return nil
}

// unbind closes the sockets and waits for who reads them. The caller holds no lock.
func (d *Discovery) unbind() error {
	d.mu.Lock()
	wires, readers := d.wires, d.readers
	d.wires = nil
	d.mu.Unlock()
	var errs []error
	for _, w := range wires {
		errs = append(errs, w.Close())
	}
	readers.Wait()
	return errors.Join(errs...)
}

func (d *Discovery) now() time.Duration { return time.Since(d.start) }

// run is the clockwork: it polls, answers, looks, and passes on.
func (d *Discovery) run() {
	var nextPoll, nextLook time.Duration
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		select {
		case <-d.stop:
			return
		case <-d.wake:
		case <-timer.C:
		}
		now := d.now()
		if now >= nextLook {
			if d.look(now) {
				nextPoll = now // a new network is asked at once
			}
			nextLook = now + lookEvery
		}
		if now >= nextPoll {
			d.ask()
			nextPoll = now + pollEvery
		}
		next := min(nextPoll, nextLook, d.answer(now), d.pass(now))
		timer.Reset(next - d.now())
	}
}

// look finds what silence and the interface's state mean. It says that the sockets are new.
func (d *Discovery) look(now time.Duration) (fresh bool) {
	d.mu.Lock()
	d.dirty = d.table.expire(now, d.tell) || d.dirty
	network, bound, broken := d.network, len(d.wires) > 0, d.broken
	d.mu.Unlock()
	if bound && !broken {
		all, err := d.cfg.networks()
		if err == nil && slices.Contains(all, network) {
			return false
		}
	}
	_ = d.unbind() // what it was good for is over
	d.mu.Lock()
	defer d.mu.Unlock()
	d.down = d.bind()
	return d.down == nil
}

// ask sends a poll.
func (d *Discovery) ask() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.wires) == 0 {
		return
	}
	to := d.cfg.Poll
	if len(to) == 0 {
		to = []netip.Addr{d.network.Broadcast()}
	}
	sent := false
	for _, a := range to {
		_, err := d.wires[0].WriteToUDPAddrPort(d.poll, netip.AddrPortFrom(a, d.cfg.Port))
		if err != nil {
			d.fail(err)
			continue
		}
		sent = true
		d.counters.Polls++
	}
	if sent {
		d.down = nil
		d.table.polled()
	}
}

// fail notes that the socket does not send. The caller holds the lock.
func (d *Discovery) fail(err error) {
	t := troubleOf(err)
	d.down = fmt.Errorf("polls cannot be sent: %s", t.words)
	d.broken = !t.earlier && !t.passing
}

// Nodes lists the devices that have answered, by address and part, the gone ones included for some minutes.
func (d *Discovery) Nodes() []Node {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.table.view().nodes
}

// Network is the network it looks on.
func (d *Discovery) Network() Network {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.network
}

// Status says whether it can ask.
func (d *Discovery) Status() dmx.Status {
	d.mu.Lock()
	defer d.mu.Unlock()
	s := dmx.Status{Up: d.down == nil, Where: d.network.String()}
	if d.down != nil {
		s.Text = d.down.Error()
	}
	return s
}

// Counters may be asked at any time.
func (d *Discovery) Counters() DiscoveryCounters {
	d.mu.Lock()
	defer d.mu.Unlock()
	c := d.counters
	c.Overflow = d.table.overflow
	return c
}

// Send sends a message of another kind, such as one of RDM, to a device of the network, from the standard's port.
// It returns dmx.ErrDown while there is no network.
func (d *Discovery) Send(to netip.Addr, b []byte) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.wires) == 0 {
		return dmx.ErrDown
	}
	if !d.trusts(to) {
		return fmt.Errorf("%v is no device of the network %s", to, d.network)
	}
	_, err := d.wires[0].WriteToUDPAddrPort(b, netip.AddrPortFrom(to, d.cfg.Port))
	return err
}

// Close ends it. A second Close does nothing.
func (d *Discovery) Close() error {
	d.mu.Lock()
	select {
	case <-d.stop:
		d.mu.Unlock()
		return nil
	default:
		close(d.stop)
	}
	d.mu.Unlock()
	d.workers.Wait()
	return d.unbind()
}
