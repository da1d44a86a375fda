package dmxtest

import (
	"cmp"
	"errors"
	"math/rand/v2"
	"net"
	"net/netip"
	"os"
	"slices"
	"sync"
	"testing"
	"time"
)

// Faults are what a [Relay] does to the datagrams that pass. Its zero value does nothing.
type Faults struct {
	Loss      float64       // share of datagrams that never arrive, 0..1
	Duplicate float64       // share that arrive twice
	Reorder   float64       // share that are overtaken by the one after them
	Delay     time.Duration // of every datagram
	Spread    time.Duration // and up to so much more, each another; beyond the sender's pace it reorders too
	// Hold is how long a datagram that is to be overtaken waits for the next; 0 means 100 ms.
	Hold time.Duration
}

// RelayCounts count datagrams.
type RelayCounts struct {
	In, Out                              int // taken and handed on, copies included
	Lost, Duplicated, Reordered, CutAway int
}

const (
	relayHold  = 100 * time.Millisecond
	relayQueue = 4096 // datagrams on their way; beyond, they are lost
	relayRead  = 1 << 16
)

// Relay is a bad network in one process: it takes UDP datagrams on a loopback address of its own and hands them on to
// another, late, twice, in wrong order or not at all. Nothing goes the other way, and a far end that is away is
// not reported to the sender, as with most networks.
//
// What happens to the n-th datagram depends on the seed and on n alone, never on time.
type Relay struct {
	in, out *net.UDPConn
	done    chan struct{}

	mu     sync.Mutex
	faults Faults
	cut    bool
	counts RelayCounts

	// The goroutine's alone.
	random *rand.Rand
	queue  []relayed // by due
	number int
}

type relayed struct {
	due    time.Time
	number int  // keeps the order of what is due at once
	held   bool // waits for the next
	b      []byte
}

// NewRelay makes a relay to a loopback address, IPv4 or IPv6, and closes it at the end of the test at the
// latest. Other addresses fail the test.
func NewRelay(t testing.TB, to netip.AddrPort, seed uint64, faults Faults) *Relay {
	t.Helper()
	if !to.Addr().IsLoopback() {
		t.Fatalf("a relay to %v would leave this computer", to)
	}
	in, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(netip.AddrPortFrom(to.Addr(), 0)))
	if err != nil {
		t.Fatal(err)
	}
	// Not connected: a far end that is away must not be noticed.
	out, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(netip.AddrPortFrom(to.Addr(), 0)))
	if err != nil {
		in.Close()
		t.Fatal(err)
	}
	r := &Relay{in: in, out: out, done: make(chan struct{}), faults: faults, random: rand.New(rand.NewPCG(seed, 5568))}
	go r.run(to)
	t.Cleanup(r.Close)
	return r
}

// Addr is where it takes datagrams.
func (r *Relay) Addr() netip.AddrPort { return r.in.LocalAddr().(*net.UDPAddr).AddrPort() }

// Set changes what it does from the next datagram on.
func (r *Relay) Set(f Faults) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.faults = f
}

// Cut pulls the cable: nothing passes, and nobody is told.
func (r *Relay) Cut() { r.setCut(true) }

// Mend plugs it in again.
func (r *Relay) Mend() { r.setCut(false) }

func (r *Relay) setCut(cut bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.cut = cut
}

// Counts tells what has happened so far.
func (r *Relay) Counts() RelayCounts {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.counts
}

// Close ends it; what is on its way is lost. A second Close does nothing.
func (r *Relay) Close() {
	r.in.Close()
	<-r.done
	r.out.Close()
}

func (r *Relay) run(to netip.AddrPort) {
	defer close(r.done)
	buf := make([]byte, relayRead)
	for {
		var until time.Time // none
		if len(r.queue) > 0 {
			until = r.queue[0].due
		}
		// An error says that it is closed, which reading says too.
		_ = r.in.SetReadDeadline(until)
		n, err := r.in.Read(buf)
		switch {
		case err == nil:
			r.take(slices.Clone(buf[:n]), time.Now())
		case errors.Is(err, os.ErrDeadlineExceeded):
		default:
			return
		}
		r.give(to, time.Now())
	}
}

// take decides what happens to a datagram.
func (r *Relay) take(b []byte, now time.Time) {
	// All is drawn for each, so that the next one's fate does not depend on this one's faults.
	lose, twice, swap, spread := r.random.Float64(), r.random.Float64(), r.random.Float64(), r.random.Float64()
	r.mu.Lock()
	defer r.mu.Unlock()
	f := r.faults
	r.counts.In++
	switch {
	case r.cut:
		r.counts.CutAway++
		return
	case lose < f.Loss, len(r.queue) >= relayQueue:
		r.counts.Lost++
		return
	}
	d := relayed{due: now.Add(f.Delay + time.Duration(spread*float64(f.Spread))), b: b}
	if swap < f.Reorder {
		r.counts.Reordered++
		d.held = true
		d.due = d.due.Add(cmp.Or(f.Hold, relayHold))
		r.add(d)
		return
	}
	r.add(d)
	if twice < f.Duplicate {
		r.counts.Duplicated++
		r.add(d)
	}
	for i := range r.queue { // now they have been overtaken
		if r.queue[i].held {
			r.queue[i].held = false
			r.queue[i].due = d.due
			r.number++
			r.queue[i].number = r.number
		}
	}
	r.sort()
}

func (r *Relay) add(d relayed) {
	r.number++
	d.number = r.number
	r.queue = append(r.queue, d)
	r.sort()
}

func (r *Relay) sort() {
	slices.SortFunc(r.queue, func(a, b relayed) int { return cmp.Or(a.due.Compare(b.due), cmp.Compare(a.number, b.number)) })
}

// give hands on what is due.
func (r *Relay) give(to netip.AddrPort, now time.Time) {
	n := 0
	for n < len(r.queue) && !r.queue[n].due.After(now) {
		_, _ = r.out.WriteToUDPAddrPort(r.queue[n].b, to) // a network says nothing
		n++
	}
	r.queue = slices.Delete(r.queue, 0, n)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.counts.Out += n
}
