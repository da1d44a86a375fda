package main

import (
	"net/netip"
	"slices"
	"sync"

	"limn/dmx"
	"limn/dmx/artnet"
)

// Limits on what strangers on a network can make the listener remember.
const (
	maxPorts   = 4096 // Port-Addresses
	maxSenders = 16   // for each of them
)

// reception keeps what has arrived, by Port-Address. Its heard method is the
// handler of a receiver; report may be called from another goroutine.
type reception struct {
	mu    sync.Mutex
	ports map[uint16]*port
	total int64
}

type port struct {
	senders  map[netip.AddrPort]*sender
	last     netip.AddrPort
	received int64
	fresh    int64 // since the last report
	data     dmx.Frame
	length   int
	changed  [dmx.Slots]bool // since the last report
}

type sender struct {
	sequence artnet.Sequence
	lost     int64 // numbers that never came, or came too late to be used
	fresh    bool  // heard since the last report
}

// heard enters one datagram.
func (r *reception) heard(d *artnet.Datagram) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.total++
	p := r.ports[d.PortAddress]
	if p == nil {
		if len(r.ports) >= maxPorts {
			return
		}
		if r.ports == nil {
			r.ports = map[uint16]*port{}
		}
		p = &port{senders: map[netip.AddrPort]*sender{}}
		r.ports[d.PortAddress] = p
	}
	p.received++
	p.fresh++
	p.last = d.From
	if p.use(d) {
		p.take(d.Data)
	}
}

// use follows a sender's numbers and says whether the datagram is the latest.
func (p *port) use(d *artnet.Datagram) bool {
	s := p.senders[d.From]
	if s == nil {
		if len(p.senders) >= maxSenders {
			return true
		}
		s = &sender{}
		p.senders[d.From] = s
	}
	s.fresh = true
	use, missing := s.sequence.Next(d.Sequence)
	s.lost += int64(missing)
	return use
}

// take notes the slots of a datagram.
func (p *port) take(slots []byte) {
	p.length = min(len(slots), dmx.Slots)
	for i, v := range slots[:p.length] {
		if p.data[i] != v {
			p.data[i], p.changed[i] = v, true
		}
	}
}

// portReport is what one Port-Address heard.
type portReport struct {
	PortAddress uint16
	From        netip.AddrPort // the sender heard last
	Senders     int            // heard since the last report
	Received    int64
	Fresh       int64 // since the last report
	Lost        int64 // gaps in the sequence numbers, all senders
	Changed     []int // slots, from 1, since the last report
	Length      int
	Data        dmx.Frame
}

// report gives what was heard, in order of Port-Address, and starts the next interval.
func (r *reception) report() []portReport {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := make([]portReport, 0, len(r.ports))
	for address, p := range r.ports {
		rep := portReport{
			PortAddress: address, From: p.last, Received: p.received, Fresh: p.fresh,
			Length: p.length, Data: p.data,
		}
		for _, s := range p.senders {
			rep.Lost += s.lost
			if s.fresh {
				rep.Senders++
			}
			s.fresh = false
		}
		for i, c := range p.changed {
			if c {
				rep.Changed = append(rep.Changed, i+1)
			}
		}
		p.fresh, p.changed = 0, [dmx.Slots]bool{}
		out = append(out, rep)
	}
	slices.SortFunc(out, func(a, b portReport) int { return int(a.PortAddress) - int(b.PortAddress) })
	return out
}

// frames copies the latest slots of the given Port-Addresses into dst (zeros
// where nothing came) and says how many of them have been heard at all.
func (r *reception) frames(addresses []uint16, dst []dmx.Frame) (heard int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for i, a := range addresses {
		dst[i] = dmx.Frame{}
		if p := r.ports[a]; p != nil {
			dst[i] = p.data
			heard++
		}
	}
	return heard
}

// totals counts datagrams received, and those missing by their sequence numbers.
func (r *reception) totals() (received, lost int64) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, p := range r.ports {
		for _, s := range p.senders {
			lost += s.lost
		}
	}
	return r.total, lost
}
