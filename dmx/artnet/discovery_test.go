package artnet

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
)

// listener keeps what happened.
type listener struct {
	mu     sync.Mutex
	events []Event
}

func (l *listener) hear(e Event) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.events = append(l.events, e)
}

// take gives what happened since, as "kind node".
func (l *listener) take() (out []string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, e := range l.events {
		out = append(out, fmt.Sprintf("%d %s/%d", e.Kind, e.Node.Name, e.Node.BindIndex))
	}
	slices.Sort(out)
	l.events = nil
	return out
}

func discover(t testing.TB, f *fabric, l *listener) *Discovery {
	t.Helper()
	d, err := Discover(DiscoveryConfig{
		OnEvent: l.hear, networks: f.networks, open: f.open, delay: func() time.Duration { return 300 * time.Millisecond },
		Diagnostics: DiagMedium,
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func subscribed(t testing.TB, f *fabric, d *Discovery, universes ...dmx.Universe) *Output {
	t.Helper()
	o, err := NewOutput(Config{Name: "found", Discovery: d, Universes: universes, networks: f.networks, dial: f.dial})
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func closing(t testing.TB, all ...interface{ Close() error }) {
	t.Helper()
	for _, c := range all {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
		if err := c.Close(); err != nil {
			t.Errorf("a second time: %v", err)
		}
	}
}

func equal(t testing.TB, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

// The polls go to the directed broadcast address, from the standard's port, on the standard's cadence of 2.5 to 3 s.
func TestPollCadence(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		d := discover(t, f, &listener{})
		time.Sleep(time.Minute)
		synctest.Wait()
		polls := f.said(OpPoll)
		if len(polls) < 20 || len(polls) > 25 {
			t.Errorf("%d polls in a minute", len(polls))
		}
		for i, p := range polls {
			if p.from.String() != "10.9.9.7:6454" || p.to.String() != "10.9.9.255:6454" {
				t.Errorf("a poll goes from %v to %v", p.from, p.to)
			}
			if i > 0 {
				if gap := p.at.Sub(polls[i-1].at); gap < 2500*time.Millisecond || gap > 3*time.Second {
					t.Errorf("%v between polls", gap)
				}
			}
			var m PollPacket
			if err := m.Decode(p.b); err != nil || m.Flags != PollOnChange|PollDiagnostics|PollDiagUnicast || m.DiagPriority != DiagMedium {
				t.Errorf("a poll says %+v (%v)", m, err)
			}
		}
		closing(t, d)
	})
}

// A node appears, moves, is silent for a while, vanishes and returns: what it gets, and what is told.
func TestANodesLife(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var l listener
		d := discover(t, f, &l)
		o := subscribed(t, f, d, 1, 2, 5)
		frames := make([]dmx.Frame, 3)
		frames[0][0], frames[1][0], frames[2][0] = 101, 102, 105
		wait := func(long time.Duration) { // as the send loop does while nothing changes
			for range long / (800 * time.Millisecond) {
				if err := o.Send(frames); err != nil {
					t.Error(err)
				}
				time.Sleep(800 * time.Millisecond)
			}
			synctest.Wait()
		}
		wait(2 * time.Second)
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "no node that answers puts out universe 1 (Port-Address 0:0:1 (1))") {
			t.Errorf("nobody is there, and the status is %+v", s)
		}
		if all := f.said(OpDmx); len(all) != 0 {
			t.Errorf("nobody takes it, and %d packets went out", len(all))
		}

		a, b := f.device("10.9.9.1", 1, 2), f.device("10.9.9.2", 5)
		wait(4 * time.Second)
		equal(t, "appeared", l.take(), "1 n10.9.9.1/1", "1 n10.9.9.1/2", "1 n10.9.9.2/1")
		got := f.got(a)
		// One port an answer: keyed by the address alone, the first part would starve.
		for _, u := range []uint16{1, 2} {
			if !slices.ContainsFunc(got, func(x arrival) bool { return x.address == u && x.first == byte(100+u) }) {
				t.Errorf("node a was not sent universe %d: %v", u, got)
			}
		}
		if s := o.Status(); !s.Up || s.Where != "10.9.9.1:6454, 10.9.9.2:6454" {
			t.Errorf("status %+v", s)
		}
		if got := f.got(b); len(got) == 0 || got[0].first != 105 || got[0].address != 5 {
			t.Errorf("node b got %v", got)
		}

		// It moves and says so: the present slots at once, in between the calls of Send.
		b.place(2)
		f.got(b)
		f.device("10.9.9.2", 2) // the same device on another port address
		_ = f.send(datagram{time.Now(), netip.MustParseAddrPort("10.9.9.2:6454"), netip.MustParseAddrPort("10.9.9.7:6454"), b.replies[0].AppendTo(nil)})
		before := time.Now()
		time.Sleep(50 * time.Millisecond)
		synctest.Wait()
		equal(t, "moved", l.take(), "2 n10.9.9.2/1")
		got = f.got(b)
		if len(got) != 1 || got[0].address != 2 || got[0].first != 102 || got[0].sequence != 1 || got[0].at.Sub(before) > 2*gatherFor {
			t.Errorf("moved, it got %v", got)
		}
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "universe 5") {
			t.Errorf("universe 5 is nobody's any more, and the status is %+v", s)
		}

		// Two lost answers are nothing; three polls and 9 s are the end.
		b2 := f.plugs[netip.MustParseAddr("10.9.9.2")]
		f.set(func() { delete(f.plugs, b2.addr.Addr()) })
		wait(5600 * time.Millisecond)
		equal(t, "after 5.6 s", l.take())
		wait(7200 * time.Millisecond)
		equal(t, "vanished", l.take(), "3 n10.9.9.2/1")
		f.said(OpDmx)
		wait(2400 * time.Millisecond)
		for _, m := range f.said(OpDmx) {
			if m.to.Addr() == b2.addr.Addr() {
				t.Fatal("it has vanished and is sent to")
			}
		}
		f.set(func() { f.plugs[b2.addr.Addr()] = b2 })
		wait(4 * time.Second)
		equal(t, "returned", l.take(), "4 n10.9.9.2/1")
		got = f.got(b)
		if len(got) == 0 || got[0].first != 102 || got[0].sequence < 2 {
			t.Errorf("returned, it got %v: the numbers must go on", got)
		}
		for _, x := range append(got, f.got(a)...) {
			if x.first == 0 {
				t.Fatal("a node was sent black")
			}
		}
		closing(t, o, d)
	})
}

// A node that is there before there is anything to send gets nothing, not black.
func TestNothingIsSentBeforeTheFirstFrame(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.1", 1)
		d := discover(t, f, &listener{})
		o := subscribed(t, f, d, 1)
		time.Sleep(10 * time.Second)
		synctest.Wait()
		if all := f.said(OpDmx); len(all) != 0 {
			t.Errorf("%d packets", len(all))
		}
		closing(t, o, d)
	})
}

// While our own cable is out, that nobody answers is no news of the nodes; within a second of its return the network is polled
// and light is there.
func TestOwnCableOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var l listener
		a := f.device("10.9.9.1", 1)
		d := discover(t, f, &l)
		o := subscribed(t, f, d, 1)
		frames := []dmx.Frame{{77}}
		offer := func(long time.Duration) {
			for range int(long / (time.Second / 44)) {
				_ = o.Send(frames)
				time.Sleep(time.Second / 44)
			}
			synctest.Wait()
		}
		offer(2 * time.Second)
		l.take()
		f.set(func() { f.cut = true })
		offer(time.Minute)
		equal(t, "while the cable is out", l.take())
		if s := d.Status(); s.Up || !strings.Contains(s.Text, "plug the cable in") {
			t.Errorf("status %+v", s)
		}
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "no network leads there") {
			t.Errorf("status of the output %+v", s)
		}
		f.got(a)
		f.said(OpPoll)
		f.set(func() { f.cut = false })
		back := time.Now()
		offer(time.Second)
		if got := f.got(a); len(got) == 0 || got[0].first != 77 || got[0].at.Sub(back) > time.Second {
			t.Errorf("a second after the cable's return: %v", got)
		}
		if polls := f.said(OpPoll); len(polls) == 0 || polls[0].at.Sub(back) > time.Second {
			t.Errorf("no poll within a second of the cable's return")
		}
		if s := d.Status(); !s.Up {
			t.Errorf("status %+v", s)
		}
		if s := o.Status(); !s.Up {
			t.Errorf("status of the output %+v", s)
		}
		closing(t, o, d)
	})
}

// The interface gets another address: the port is bound there within a second.
func TestOwnAddressChanges(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.1", 1)
		d := discover(t, f, &listener{})
		time.Sleep(2 * time.Second)
		f.set(func() {
			delete(f.plugs, f.network.Own.Addr())
			f.network.Own = netip.MustParsePrefix("10.9.9.99/24")
			f.tapped = nil
		})
		time.Sleep(time.Second)
		synctest.Wait()
		if polls := f.said(OpPoll); len(polls) == 0 || polls[0].from.String() != "10.9.9.99:6454" {
			t.Errorf("polls %v", polls)
		}
		if f.binds != 2 || d.Network().Own.String() != "10.9.9.99/24" {
			t.Errorf("bound %d times, now on %v", f.binds, d.Network())
		}
		closing(t, d)
	})
}

// Others who poll are answered once each, by unicast, within a second, as by a controller.
func TestPollsAreAnswered(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		d := discover(t, f, &listener{})
		time.Sleep(time.Second)
		f.said(OpPollReply)
		ask := func(from string, m PollPacket) {
			_ = f.send(datagram{time.Now(), netip.MustParseAddrPort(from), netip.MustParseAddrPort("10.9.9.255:6454"), m.AppendTo(nil)})
		}
		begin := time.Now()
		for range 5 {
			ask("10.9.9.3:6454", PollPacket{})
		}
		ask("10.9.9.4:6454", PollPacket{Flags: PollTargeted, TargetTop: MaxPortAddress})
		ask("10.77.0.1:6454", PollPacket{}) // from another network
		time.Sleep(maxDelay)
		synctest.Wait()
		all := f.said(OpPollReply)
		if len(all) != 1 || all[0].to.String() != "10.9.9.3:6454" || all[0].at.Sub(begin) > maxDelay {
			t.Fatalf("%d answers: %v", len(all), all)
		}
		var r PollReply
		if err := r.Decode(all[0].b); err != nil {
			t.Fatal(err)
		}
		if r.Style != StyleController || r.NumPorts != 0 || r.IP != [4]byte{10, 9, 9, 7} || Text(r.ShortName[:]) != "limn" || r.Port != Port {
			t.Errorf("we say %+v", r)
		}
		if c := d.Counters(); c.Answered != 1 || c.Strangers != 1 {
			t.Errorf("counters %+v", c)
		}
		closing(t, d)
	})
	for range 1000 {
		if a := answerDelay(); a < 0 || a >= time.Second {
			t.Fatalf("a delay of %v", a)
		}
	}
}

// Two who send the same Port-Address to a node, as the node tells it, and a port set to another protocol.
func TestSecondSenderIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var l listener
		a := f.device("10.9.9.1", 1, 9)
		d := discover(t, f, &l)
		o := subscribed(t, f, d, 1)
		named, err := NewOutput(Config{To: []netip.AddrPort{netip.MustParseAddrPort("10.9.9.1:6454")}, Discovery: d, Universes: []dmx.Universe{9}, networks: f.networks, dial: f.dial})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		l.take()
		if w := o.Warnings(); len(w) != 0 {
			t.Errorf("all is well, and yet: %q", w)
		}
		a.merge(0)
		time.Sleep(3 * time.Second)
		synctest.Wait()
		equal(t, "merging", l.take(), "5 n10.9.9.1/1")
		if w := o.Warnings(); len(w) != 1 || !strings.Contains(w[0], `"n10.9.9.1" (10.9.9.1) is sent Port-Address 0:0:1 (1) by two senders and mixes them (the higher value wins); stop the other one`) {
			t.Errorf("warnings %q", w)
		}
		if w := named.Warnings(); len(w) != 0 {
			t.Errorf("that is not this output's: %q", w)
		}
		a.merge(1)
		a.mu.Lock()
		a.replies[1].GoodOutput[0] |= GoodOutputSACN | GoodOutputLTP
		a.mu.Unlock()
		time.Sleep(3 * time.Second)
		synctest.Wait()
		if w := named.Warnings(); len(w) != 2 || !strings.Contains(w[0], "the later value wins") || !strings.Contains(w[1], "set to show sACN") {
			t.Errorf("warnings of the output with a named node: %q", w)
		}
		closing(t, o, named, d)
	})
}

func TestDiagnosticsAreKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var l listener
		f.device("10.9.9.1", 1, 2)
		d := discover(t, f, &l)
		time.Sleep(time.Second)
		synctest.Wait()
		l.take()
		say := func(from, text string) {
			m := DiagData{Priority: DiagHigh, Text: text}
			_ = f.send(datagram{time.Now(), netip.MustParseAddrPort(from), netip.MustParseAddrPort("10.9.9.7:6454"), m.AppendTo(nil)})
		}
		for i := range 6 {
			say("10.9.9.1:6454", fmt.Sprintf("line %d\x1b[2J", i))
		}
		say("10.9.9.200:6454", "nobody knows me")
		time.Sleep(100 * time.Millisecond)
		synctest.Wait()
		n := d.Nodes()[0]
		if len(n.Diagnostics) != maxDiagnostics || n.Diagnostics[maxDiagnostics-1].Text != "line 5[2J" || n.Diagnostics[0].Text != "line 2[2J" {
			t.Errorf("kept: %+v", n.Diagnostics)
		}
		if e := l.take(); len(e) != 6 {
			t.Errorf("told: %q", e)
		}
		closing(t, d)
	})
}
