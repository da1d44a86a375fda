package artnet

import (
	"context"
	"encoding/binary"
	"errors"
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

// A flood of forged answers, from all addresses of a wide network and with all parts, fills a bounded table, costs the real node
// nothing, and is over when it is over.
func TestFloodOfForgedReplies(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.network.Own = netip.MustParsePrefix("10.9.9.7/8")
		var l listener
		a := f.device("10.9.9.1", 1)
		d := discover(t, f, &l)
		o := subscribed(t, f, d, 1)
		if err := o.Send([]dmx.Frame{{50}}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		var r PollReply
		SetText(r.ShortName[:], "\x1b]0;forged\x07")
		r.SetOutput(0, 1)
		var scratch PollReply
		const flood = 50_000
		for i := range uint32(flood) {
			var ip [4]byte
			binary.BigEndian.PutUint32(ip[:], 10<<24|(i*2654435761)>>8)
			r.BindIndex = byte(i)
			d.hear(r.AppendTo(nil), netip.AddrPortFrom(netip.AddrFrom4(ip), Port), &scratch)
			d.hear((&PollPacket{}).AppendTo(nil), netip.AddrPortFrom(netip.AddrFrom4(ip), Port), &scratch)
			if i%1000 == 0 {
				synctest.Wait()
			}
		}
		d.mu.Lock()
		entries, waiting, events := len(d.table.entries), len(d.answers.due), len(d.events)
		d.mu.Unlock()
		if entries > maxNodes || waiting > maxAnswers || events > maxEvents {
			t.Errorf("%d nodes, %d answers, %d events are kept", entries, waiting, events)
		}
		time.Sleep(100 * time.Millisecond)
		synctest.Wait()
		o.sending.Lock()
		dests := len(o.dests)
		o.sending.Unlock()
		if dests > maxTakers {
			t.Errorf("one universe goes to %d nodes", dests)
		}
		if c := d.Counters(); c.Overflow == 0 || c.Replies < flood {
			t.Errorf("counters %+v", c)
		}
		for _, n := range d.Nodes() {
			if strings.ContainsAny(n.Name, "\x1b\x07") {
				t.Fatalf("a name of %q", n.Name)
			}
		}
		f.got(a)
		if err := o.Send([]dmx.Frame{{51}}); err != nil {
			t.Error(err)
		}
		if got := f.got(a); len(got) != 1 || got[0].first != 51 {
			t.Errorf("the real node got %v", got)
		}
		time.Sleep(20 * time.Second)
		synctest.Wait()
		o.sending.Lock()
		left := 0
		for _, x := range o.dests {
			if !x.gone {
				left++
			}
		}
		o.sending.Unlock()
		if left != 1 {
			t.Errorf("20 s after the flood the universe goes to %d nodes, want 1", left)
		}
		closing(t, o, d)
	})
}

// Everything strange that can arrive is counted and changes nothing.
func TestDiscoveryAmongStrangers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		var other []OpCode
		d, err := Discover(DiscoveryConfig{networks: f.networks, open: f.open, OnMessage: func(op OpCode, _ netip.AddrPort, _ []byte) { other = append(other, op) }})
		if err != nil {
			t.Fatal(err)
		}
		var scratch PollReply
		from := netip.MustParseAddrPort("10.9.9.50:6454")
		d.hear([]byte("Art-Net\x00"), from, &scratch)
		d.hear(nil, from, &scratch)
		d.hear((&PollReply{NumPorts: 5}).AppendTo(nil), from, &scratch)
		d.hear((&PollReply{}).AppendTo(nil), netip.MustParseAddrPort("192.168.1.1:6454"), &scratch)
		d.hear(AppendHeader(nil, OpTodData), from, &scratch)
		if c := d.Counters(); c.Malformed != 3 || c.Strangers != 1 || len(d.Nodes()) != 0 || !slices.Equal(other, []OpCode{OpTodData}) {
			t.Errorf("counters %+v, nodes %v, others %v", c, d.Nodes(), other)
		}
		if err := d.Send(netip.MustParseAddr("192.168.1.1"), AppendHeader(nil, OpTodRequest)); err == nil || !strings.Contains(err.Error(), "no device of the network eth7") {
			t.Errorf("a message to a stranger: %v", err)
		}
		if err := d.Send(netip.MustParseAddr("10.9.9.1"), AppendHeader(nil, OpTodRequest)); err != nil {
			t.Error(err)
		}
		if all := f.said(OpTodRequest); len(all) != 1 || all[0].to.String() != "10.9.9.1:6454" {
			t.Errorf("sent %v", all)
		}
		closing(t, d)
	})
}

func TestDiscoveriesThatMakeNoSense(t *testing.T) {
	f := newFabric()
	busy := newFabric()
	busy.inUse = true
	two := func() ([]Network, error) {
		return []Network{
			{Interface: "lo", Own: netip.MustParsePrefix("127.0.0.1/8"), Loopback: true},
			{Interface: "eth0", Own: netip.MustParsePrefix("192.168.1.5/24")},
			{Interface: "wlan0", Own: netip.MustParsePrefix("10.0.0.7/16")},
		}, nil
	}
	none := func() ([]Network, error) { return nil, nil }
	for want, cfg := range map[string]DiscoveryConfig{
		"several networks (eth0 192.168.1.5/24, wlan0 10.0.0.7/16)":     {networks: two},
		`no interface or own address "eth1"; there are lo 127.0.0.1/8`:  {networks: two, Interface: "eth1"},
		"is loopback, where no device is":                               {networks: two, Interface: "lo"},
		"on no network; plug the cable in":                              {networks: none},
		`no interface or own address "eth0"; this computer is on no`:    {networks: none, Interface: "eth0"},
		"UDP port 6454 of eth7 10.9.9.7/24 is taken by another program": {networks: busy.networks, open: busy.open},
		"node [::1]:6454 is not an IPv4":                                {networks: f.networks, open: f.open, Poll: []netip.Addr{netip.IPv6Loopback()}},
	} {
		if cfg.open == nil {
			cfg.open = f.open
		}
		d, err := Discover(cfg)
		if err == nil {
			closing(t, d)
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want something on %q", err, want)
		}
	}
	for asked, cfg := range map[string]DiscoveryConfig{
		"wlan0 10.0.0.7/16":   {Interface: "wlan0"},
		"eth0 192.168.1.5/24": {Interface: "192.168.1.5"},
		"lo 127.0.0.1/8":      {Interface: "lo", Port: 30000},
		"wlan0 10.0.0.7/16 ":  {Poll: []netip.Addr{netip.MustParseAddr("10.0.3.4")}},
	} {
		cfg.networks, cfg.open = two, f.open
		d, err := Discover(cfg)
		if err != nil {
			t.Errorf("%s: %v", asked, err)
			continue
		}
		if got := d.Network().String(); got != strings.TrimSpace(asked) {
			t.Errorf("it looks on %s, want %s", got, asked)
		}
		closing(t, d)
	}
}

// Asked for by its address, a node on another network is polled and heard.
func TestPollOfAGivenAddress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("172.16.5.5", 3)
		f.device("10.9.9.1", 3)
		nodes, err := Find(t.Context(), DiscoveryConfig{
			networks: f.networks, open: f.open, Poll: []netip.Addr{netip.MustParseAddr("172.16.5.5")},
		}, 0)
		if err != nil || len(nodes) != 1 || nodes[0].Addr.String() != "172.16.5.5" {
			t.Errorf("%v, %v", nodes, err)
		}
	})
}

func TestFind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.2", 4660)
		f.device("10.9.9.1", 1, 2)
		begin := time.Now()
		nodes, err := Find(t.Context(), DiscoveryConfig{networks: f.networks, open: f.open}, 0)
		if err != nil || time.Since(begin) != FindWait {
			t.Errorf("%v after %v", err, time.Since(begin))
		}
		var got []string
		for _, n := range nodes {
			got = append(got, n.String()+" "+n.outputs())
		}
		equal(t, "found", got, `"n10.9.9.1" (10.9.9.1) 0:0:1 (1)`, `"n10.9.9.1" (10.9.9.1, part 2) 0:0:2 (2)`, `"n10.9.9.2" (10.9.9.2) 18:3:4 (4660)`)

		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		nodes, err = Find(ctx, DiscoveryConfig{networks: f.networks, open: f.open}, 0)
		if !errors.Is(err, context.DeadlineExceeded) || len(nodes) != 3 {
			t.Errorf("called off: %v, %v", nodes, err)
		}
		f.cut = true
		if _, err := Find(t.Context(), DiscoveryConfig{networks: f.networks, open: f.open}, 0); !errors.Is(err, errNoNetwork) {
			t.Errorf("without a network: %v", err)
		}
	})
}
