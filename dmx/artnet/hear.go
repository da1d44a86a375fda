package artnet

import (
	"errors"
	"net"
	"net/netip"
	"slices"
	"time"
)

// read takes what comes in on one socket until it is closed.
func (d *Discovery) read(w wire) {
	buf := make([]byte, readSize)
	var r PollReply
	for {
		n, from, err := w.ReadFromUDPAddrPort(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil {
			time.Sleep(pauseOnError) // whether the socket is still good, sending tells
			continue
		}
		d.hear(buf[:n], netip.AddrPortFrom(from.Addr().Unmap(), from.Port()), &r)
	}
}

// hear takes one datagram. r is room for an answer.
func (d *Discovery) hear(b []byte, from netip.AddrPort, r *PollReply) {
	d.mu.Lock()
	if !d.trusts(from.Addr()) {
		d.counters.Strangers++
		d.mu.Unlock()
		return
	}
	op, err := Kind(b)
	pass := false
	if err == nil {
		switch op {
		case OpPollReply:
			err = d.hearReply(b, from.Addr(), r)
		case OpPoll:
			err = d.hearPoll(b, from.Addr())
		case OpDiagData:
			err = d.hearDiagnostics(b, from.Addr())
		default:
			pass = d.cfg.OnMessage != nil
		}
	}
	if err != nil {
		d.counters.Malformed++
	}
	news := d.dirty
	d.mu.Unlock()
	if pass {
		d.cfg.OnMessage(op, from, b)
	}
	if news {
		d.nudge()
	}
}

// trusts says that an address is one this discovery deals with: of its network, or asked for by name. A
// forged sender from elsewhere must not draw light or answers to itself.
func (d *Discovery) trusts(a netip.Addr) bool {
	return d.network.Own.Contains(a) || slices.Contains(d.cfg.Poll, a)
}

func (d *Discovery) hearReply(b []byte, from netip.Addr, r *PollReply) error {
	if err := r.Decode(b); err != nil {
		return err
	}
	d.counters.Replies++
	e, changed := d.table.hear(from, r, d.now())
	if e.Kind != 0 {
		d.tell(e)
	}
	d.dirty = d.dirty || changed
	return nil
}

func (d *Discovery) hearPoll(b []byte, from netip.Addr) error {
	var p PollPacket
	if err := p.Decode(b); err != nil {
		return err
	}
	// Our own broadcast comes back to us; and as a controller without ports, no target means us.
	if from == d.network.Own.Addr() || !p.Asks() {
		return nil
	}
	if d.answers.add(from, d.now()+d.cfg.delay()) {
		d.nudge()
	}
	return nil
}

func (d *Discovery) hearDiagnostics(b []byte, from netip.Addr) error {
	var m DiagData
	if err := m.Decode(b); err != nil {
		return err
	}
	if e, ok := d.table.diagnose(from, m); ok {
		d.tell(e)
		d.dirty = true
	}
	return nil
}

// nudge makes the clockwork look up.
func (d *Discovery) nudge() {
	select {
	case d.wake <- struct{}{}:
	default:
	}
}
