package artnet

import (
	"net"
	"net/netip"
	"os"
	"slices"
	"sync"
	"syscall"
	"time"

	"limn/dmx/internal/udp"
)

func (q *quietNet) dial(netip.AddrPort) (udp.Socket, error) { return q, nil }

func (q *quietNet) Write(msgs []udp.Message) (int, error) {
	q.taken += len(msgs)
	return len(msgs), nil
}

func (q *quietNet) Path() string { return "memory" }

func (q *quietNet) Close() error { return nil }

// fabric is a network in memory: computers and devices with an address each on 10.9.9.0/24. All that is sent to an
// address lands with who listens there, at once. It works in a bubble of testing/synctest.
type fabric struct {
	mu      sync.Mutex
	plugs   map[netip.Addr]*plug
	network Network
	cut     bool // our own cable is out
	binds   int
	inUse   bool
	tapped  []datagram
	dmx     map[netip.Addr][]arrival
}

type arrival struct {
	at       time.Time
	address  uint16
	sequence byte
	first    byte // slot 1
}

type datagram struct {
	at       time.Time
	from, to netip.AddrPort
	b        []byte
}

// plug is one end of the network. It is a wire for a Discovery.
type plug struct {
	f    *fabric
	addr netip.AddrPort
	in   chan datagram
	hear func(datagram) // of a device
	once sync.Once
	gone chan struct{}
}

const fabricQueue = 4096

func newFabric() *fabric {
	all, _ := here()
	return &fabric{plugs: map[netip.Addr]*plug{}, network: all[0], dmx: map[netip.Addr][]arrival{}}
}

func (f *fabric) networks() ([]Network, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.cut {
		return nil, nil
	}
	return []Network{f.network}, nil
}

func (f *fabric) set(do func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	do()
}

func (f *fabric) open(n Network, port uint16) ([]wire, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.inUse {
		return nil, &net.OpError{Op: "listen", Err: &os.SyscallError{Syscall: "bind", Err: syscall.EADDRINUSE}}
	}
	f.binds++
	p := &plug{f: f, addr: netip.AddrPortFrom(n.Own.Addr(), port), in: make(chan datagram, fabricQueue), gone: make(chan struct{})}
	f.plugs[n.Own.Addr()] = p
	return []wire{p}, nil
}

func (p *plug) ReadFromUDPAddrPort(b []byte) (int, netip.AddrPort, error) {
	select {
	case d := <-p.in:
		return copy(b, d.b), d.from, nil
	case <-p.gone:
		return 0, netip.AddrPort{}, net.ErrClosed
	}
}

func (p *plug) WriteToUDPAddrPort(b []byte, to netip.AddrPort) (int, error) {
	if err := p.f.send(datagram{time.Now(), p.addr, to, slices.Clone(b)}); err != nil {
		return 0, err
	}
	return len(b), nil
}

func (p *plug) Close() error {
	p.once.Do(func() { close(p.gone) })
	return nil
}

// send delivers. A device hears on the sender's goroutine.
func (f *fabric) send(d datagram) error {
	f.mu.Lock()
	if f.cut && d.from.Addr() == f.network.Own.Addr() {
		f.mu.Unlock()
		return &os.SyscallError{Syscall: "sendto", Err: syscall.ENETUNREACH}
	}
	if len(f.tapped) < fabricQueue {
		f.tapped = append(f.tapped, d)
	}
	var to []*plug
	for a, p := range f.plugs {
		if a == d.to.Addr() || d.to.Addr() == f.network.Broadcast() {
			to = append(to, p)
		}
	}
	f.mu.Unlock()
	for _, p := range to {
		if p.hear != nil {
			p.hear(d)
			continue
		}
		select {
		case p.in <- d:
		default: // full, as a socket's queue can be
		}
	}
	return nil
}

// dial gives an output its sockets.
func (f *fabric) dial(to netip.AddrPort) (udp.Socket, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.cut {
		return nil, &os.SyscallError{Syscall: "connect", Err: syscall.ENETUNREACH}
	}
	return &fabricSocket{f, to}, nil
}

type fabricSocket struct {
	f  *fabric
	to netip.AddrPort
}

func (s *fabricSocket) Write(msgs []udp.Message) (int, error) {
	from := netip.AddrPortFrom(s.f.network.Own.Addr(), 40000)
	if err := s.f.send(datagram{time.Now(), from, s.to, slices.Clone(msgs[0].Buffers[0])}); err != nil {
		return 0, err
	}
	return 1, nil
}

func (s *fabricSocket) Path() string { return "memory" }

func (s *fabricSocket) Close() error { return nil }

// device is a node on the fabric.
type device struct {
	f       *fabric
	addr    netip.Addr
	mu      sync.Mutex
	replies []PollReply
}

func (f *fabric) device(addr string, outputs ...uint16) *device {
	d := &device{f: f, addr: netip.MustParseAddr(addr)}
	d.place(outputs...)
	f.set(func() {
		f.plugs[d.addr] = &plug{f: f, addr: netip.AddrPortFrom(d.addr, Port), hear: d.hear}
	})
	return d
}

func (d *device) place(outputs ...uint16) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.replies = nil
	for i, a := range outputs {
		r := PollReply{IP: d.addr.As4(), Port: Port, BindIndex: byte(i + 1)}
		SetText(r.ShortName[:], "n"+d.addr.String())
		r.SetOutput(0, a)
		d.replies = append(d.replies, r)
	}
}

func (d *device) merge(i int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.replies[i].GoodOutput[0] |= GoodOutputMerging
}

func (d *device) hear(m datagram) {
	d.mu.Lock()
	replies := slices.Clone(d.replies)
	d.mu.Unlock()
	switch op, _ := Kind(m.b); op {
	case OpPoll:
		for _, r := range replies {
			_ = d.f.send(datagram{time.Now(), netip.AddrPortFrom(d.addr, Port), m.from, r.AppendTo(nil)})
		}
	case OpDmx:
		var x Datagram
		if x.Decode(m.b) == nil {
			d.f.set(func() {
				d.f.dmx[d.addr] = append(d.f.dmx[d.addr], arrival{time.Now(), x.PortAddress, x.Sequence, x.Data[0]})
			})
		}
	}
}

// got takes what a device was sent.
func (f *fabric) got(d *device) (out []arrival) {
	f.set(func() { out, f.dmx[d.addr] = f.dmx[d.addr], nil })
	return out
}

// said takes what went over the network.
func (f *fabric) said(op OpCode) (out []datagram) {
	f.set(func() {
		for _, d := range f.tapped {
			if is, _ := Kind(d.b); is == op {
				out = append(out, d)
			}
		}
		f.tapped = nil
	})
	return out
}

type timedSocket struct{ w *timedNet }

func (s *timedSocket) Write(msgs []udp.Message) (int, error) {
	for _, m := range msgs {
		var d Datagram
		if err := d.Decode(m.Buffers[0]); err != nil {
			return 0, err
		}
		s.w.got = append(s.w.got, arrival{time.Now(), d.PortAddress, d.Sequence, d.Data[0]})
	}
	return len(msgs), nil
}

func (s *timedSocket) Path() string { return "memory" }

func (s *timedSocket) Close() error { return nil }

// logSocket notes what goes where, in order.
type logSocket struct {
	to  netip.AddrPort
	log *[]string
}

func (s *logSocket) Write(msgs []udp.Message) (int, error) {
	for _, m := range msgs {
		op, _ := Kind(m.Buffers[0])
		*s.log = append(*s.log, s.to.String()+" "+op.String())
	}
	return len(msgs), nil
}

func (s *logSocket) Path() string { return "memory" }

func (s *logSocket) Close() error { return nil }
