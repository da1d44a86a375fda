package main

import (
	"fmt"
	"net/netip"
	"slices"
	"sync"
	"time"

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
	// clock is where time comes from; nil is the machine. keep, if any, is handed each
	// datagram that is used.
	clock func() time.Duration
	keep  func(d *artnet.Datagram)

	mu    sync.Mutex
	start time.Time // of the machine's clock
	ports map[uint16]*port
	total int64
}

// now is the time since the first datagram. The caller holds the lock.
func (r *reception) now() time.Duration {
	if r.clock != nil {
		return r.clock()
	}
	if r.start.IsZero() {
		r.start = time.Now()
	}
	return time.Since(r.start)
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
	fresh    int64 // heard since the last report
	times    arrivals
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
	if r.use(p, d) {
		p.take(d.Data)
		if r.keep != nil {
			r.keep(d)
		}
	}
}

// use follows a sender's numbers and says whether the datagram is the latest.
func (r *reception) use(p *port, d *artnet.Datagram) bool {
	s := p.senders[d.From]
	if s == nil {
		if len(p.senders) >= maxSenders {
			return true
		}
		s = &sender{}
		p.senders[d.From] = s
	}
	s.fresh++
	s.times.mark(r.now())
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
	Each        []senderReport // those, by address
	Conflict    string         // two senders at once, in words
	Jitter      time.Duration  // the worst of them
	LongestGap  time.Duration  // the longest of them, since the last report
	Received    int64
	Fresh       int64 // since the last report
	Lost        int64 // gaps in the sequence numbers, all senders
	Changed     []int // slots, from 1, since the last report
	Length      int
	Data        dmx.Frame
}

// senderReport is one sender of a Port-Address.
type senderReport struct {
	From  netip.AddrPort
	Fresh int64 // since the last report
}

// conflictText has the words for several senders at once.
func conflictText(address uint16, each []senderReport) string {
	if len(each) < 2 {
		return ""
	}
	words := make([]string, len(each))
	for i, s := range each {
		words[i] = s.From.String()
	}
	return fmt.Sprintf("%s on Port-Address %s: %s; nodes mix two and ignore a third; stop all but one",
		count(len(each), "sender"), artnet.FormatPortAddress(address), joinedList(words))
}

// arrivals follows when the packets of one sender come.
type arrivals struct {
	any      bool
	last     time.Duration
	interval time.Duration // between the last two
	jitter   time.Duration // mean difference between intervals, as RFC 3550, 6.4.1
	longest  time.Duration
}

// mark enters an arrival.
func (a *arrivals) mark(now time.Duration) {
	if a.any {
		interval := now - a.last
		if a.interval > 0 {
			a.jitter += ((interval - a.interval).Abs() - a.jitter) / 16
		}
		a.interval = interval
		a.longest = max(a.longest, interval)
	}
	a.any, a.last = true, now
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
		for from, s := range p.senders {
			rep.Lost += s.lost
			if s.fresh > 0 {
				rep.Senders++
				rep.Each = append(rep.Each, senderReport{From: from, Fresh: s.fresh})
			}
			rep.Jitter = max(rep.Jitter, s.times.jitter)
			rep.LongestGap = max(rep.LongestGap, s.times.longest)
			s.fresh, s.times.longest = 0, 0
		}
		slices.SortFunc(rep.Each, func(a, b senderReport) int { return a.From.Compare(b.From) })
		rep.Conflict = conflictText(address, rep.Each)
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
