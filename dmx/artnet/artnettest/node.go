package artnettest

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"sync"
	"time"

	"limn/dmx"
	"limn/dmx/artnet"
)

const (
	readSize = 2048
	perReply = 4 // ports
	oldReply = 207
)

// Config is what a [Node] is made of.
type Config struct {
	Addr netip.AddrPort // where it listens: one of 127.0.0.0/8; port 0 picks one
	// Name is at most 17 characters long.
	Name, LongName string
	// Outputs are the Port-Addresses of its outputs. Each is a part of its own, with an
	// answer of its own, unless Grouped.
	Outputs []uint16
	// Grouped puts up to four outputs into one answer; they must share Net and Sub-Net.
	Grouped bool
	// Old makes it answer in the 207 bytes of earlier revisions.
	Old bool
	// Delay is how long it waits before it answers.
	Delay time.Duration
	// OnDmx is told of each ArtDmx, also for Port-Addresses that are not the node's; its data are valid until
	// it returns. May be nil.
	OnDmx func(*artnet.Datagram)
	// OnDatagram is told of everything that arrives, before it is looked at. May be nil.
	OnDatagram func(from netip.AddrPort, b []byte)
}

// Node is a virtual node. Its methods may be called from any goroutine.
type Node struct {
	cfg  Config
	addr netip.AddrPort

	mu      sync.Mutex
	conns   []*net.UDPConn // none while it is switched off
	readers *sync.WaitGroup
	stop    chan struct{}
	outputs []output
	poller  netip.AddrPort // the last who asked
	answers int64
	syncs   int64
}

type output struct {
	address  uint16
	merging  bool
	frame    dmx.Frame
	received int64
	sequence byte
}

// New makes a node and switches it on.
func New(cfg Config) (*Node, error) {
	if !cfg.Addr.Addr().IsLoopback() {
		return nil, fmt.Errorf("a virtual node listens on loopback only, not on %v", cfg.Addr)
	}
	n := &Node{cfg: cfg, addr: cfg.Addr}
	for _, a := range cfg.Outputs {
		n.outputs = append(n.outputs, output{address: a})
	}
	if err := n.Return(); err != nil {
		return nil, err
	}
	return n, nil
}

// Addr is where it listens.
func (n *Node) Addr() netip.AddrPort { return n.addr }

// Return switches it on again, at the same place. Its slots are gone, as those of a device are.
func (n *Node) Return() error {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.conns != nil {
		return nil
	}
	conns, err := artnet.Open(artnet.Network{Own: netip.PrefixFrom(n.addr.Addr(), 8), Loopback: true}, n.addr.Port())
	if err != nil {
		return err
	}
	if n.addr.Port() == 0 { // the broadcast socket got another one
		for _, c := range conns[1:] {
			c.Close()
		}
		conns = conns[:1]
		n.addr = conns[0].LocalAddr().(*net.UDPAddr).AddrPort()
	}
	n.conns = conns
	n.stop = make(chan struct{})
	n.readers = new(sync.WaitGroup)
	for i := range n.outputs {
		n.outputs[i] = output{address: n.outputs[i].address}
	}
	for _, c := range conns {
		n.readers.Go(func() { n.read(c, conns[0], n.stop) })
	}
	return nil
}

// Leave switches it off: nobody listens there any more.
func (n *Node) Leave() error {
	n.mu.Lock()
	conns, readers := n.conns, n.readers
	if conns != nil {
		close(n.stop)
	}
	n.conns = nil
	n.mu.Unlock()
	var errs []error
	for _, c := range conns {
		errs = append(errs, c.Close())
	}
	if readers != nil {
		readers.Wait()
	}
	return errors.Join(errs...)
}

// Close is Leave.
func (n *Node) Close() error { return n.Leave() }

func (n *Node) read(c, own *net.UDPConn, stop chan struct{}) {
	buf := make([]byte, readSize)
	for {
		size, from, err := c.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil {
			continue
		}
		n.hear(own, netip.AddrPortFrom(from.Addr().Unmap(), from.Port()), buf[:size], stop)
	}
}

func (n *Node) hear(own *net.UDPConn, from netip.AddrPort, b []byte, stop chan struct{}) {
	if n.cfg.OnDatagram != nil {
		n.cfg.OnDatagram(from, b)
	}
	op, err := artnet.Kind(b)
	if err != nil {
		return
	}
	switch op {
	case artnet.OpPoll:
		n.hearPoll(own, from, b, stop)
	case artnet.OpDmx:
		n.hearDmx(from, b)
	case artnet.OpSync:
		if artnet.DecodeSync(b) == nil {
			n.mu.Lock()
			n.syncs++
			n.mu.Unlock()
		}
	}
}

func (n *Node) hearDmx(from netip.AddrPort, b []byte) {
	d := artnet.Datagram{From: from}
	if d.Decode(b) != nil {
		return
	}
	n.mu.Lock()
	for i := range n.outputs {
		if o := &n.outputs[i]; o.address == d.PortAddress {
			copy(o.frame[:], d.Data)
			o.received++
			o.sequence = d.Sequence
		}
	}
	n.mu.Unlock()
	if n.cfg.OnDmx != nil {
		n.cfg.OnDmx(&d)
	}
}

func (n *Node) hearPoll(own *net.UDPConn, from netip.AddrPort, b []byte, stop chan struct{}) {
	var p artnet.PollPacket
	if p.Decode(b) != nil {
		return
	}
	n.mu.Lock()
	addresses := make([]uint16, len(n.outputs))
	for i := range n.outputs {
		addresses[i] = n.outputs[i].address
	}
	asks := p.Asks(addresses...)
	if asks {
		n.poller = from
	}
	n.mu.Unlock()
	if !asks {
		return
	}
	if n.cfg.Delay > 0 {
		timer := time.NewTimer(n.cfg.Delay)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-stop:
			return
		}
	}
	n.answer(own, from)
}

// answer sends all answers to one who polled.
func (n *Node) answer(own *net.UDPConn, to netip.AddrPort) {
	for _, r := range n.Replies() {
		b := r.AppendTo(nil)
		if n.cfg.Old {
			b = b[:oldReply]
		}
		_, _ = own.WriteToUDPAddrPort(b, to) // whoever asks asks again
		n.mu.Lock()
		n.answers++
		n.mu.Unlock()
	}
}

// Replies are the answers it gives to a poll now.
func (n *Node) Replies() []artnet.PollReply {
	n.mu.Lock()
	defer n.mu.Unlock()
	per := 1
	if n.cfg.Grouped {
		per = perReply
	}
	var out []artnet.PollReply
	for at := 0; at == 0 || at < len(n.outputs); at += per {
		ip := n.addr.Addr().As4()
		r := artnet.PollReply{
			IP: ip, Port: artnet.Port, Version: 0x0102, Oem: 0xff, Status1: artnet.Status1Normal, Esta: 0x7ff0,
			Style: artnet.StyleNode, MAC: [6]byte{2, 0, ip[0], ip[1], ip[2], ip[3]}, BindIP: ip, BindIndex: byte(at/per + 1),
			Status2: artnet.Status2LongAddr, RefreshRate: 44,
		}
		artnet.SetText(r.ShortName[:], n.cfg.Name)
		artnet.SetText(r.LongName[:], n.cfg.LongName)
		artnet.SetText(r.Report[:], fmt.Sprintf("#0001 [%04d] ok", n.answers%10000))
		for i, o := range n.outputs[at:min(at+per, len(n.outputs))] {
			r.SetOutput(i, o.address)
			if o.received > 0 {
				r.GoodOutput[i] |= artnet.GoodOutputData
			}
			if o.merging {
				r.GoodOutput[i] |= artnet.GoodOutputMerging
			}
		}
		out = append(out, r)
	}
	return out
}

// Move gives output i another Port-Address and tells the last who polled.
func (n *Node) Move(i int, address uint16) {
	n.change(func() { n.outputs[i] = output{address: address} })
}

// Merge makes output i say that it merges two senders, or that it does not, and tells the last who polled.
func (n *Node) Merge(i int, merging bool) {
	n.change(func() { n.outputs[i].merging = merging })
}

func (n *Node) change(do func()) {
	n.mu.Lock()
	do()
	to, conns := n.poller, n.conns
	n.mu.Unlock()
	if to.IsValid() && len(conns) > 0 {
		n.answer(conns[0], to)
	}
}

// Say sends a line of diagnostics to the last who polled.
func (n *Node) Say(priority artnet.DiagPriority, text string) error {
	n.mu.Lock()
	to, conns := n.poller, n.conns
	n.mu.Unlock()
	if !to.IsValid() || len(conns) == 0 {
		return errors.New("nobody has polled")
	}
	d := artnet.DiagData{Priority: priority, Text: text}
	_, err := conns[0].WriteToUDPAddrPort(d.AppendTo(nil), to)
	return err
}

// Frame is what output i was sent last; how often it was sent something since it was switched on or moved; and the
// last sequence number.
func (n *Node) Frame(i int) (frame dmx.Frame, received int64, sequence byte) {
	n.mu.Lock()
	defer n.mu.Unlock()
	o := &n.outputs[i]
	return o.frame, o.received, o.sequence
}

// Syncs counts the ArtSync it was sent.
func (n *Node) Syncs() int64 {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.syncs
}
