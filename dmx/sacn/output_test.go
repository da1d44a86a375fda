package sacn

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

var (
	boxA, boxB = netip.MustParseAddrPort("10.9.9.1:5568"), netip.MustParseAddrPort("[fd00::2]:5568")
	testCID    = DeriveCID(CID{1}, "tests")
)

// fakeNet stands for the system: it takes packets, or answers with errors in turn.
type fakeNet struct {
	mu      sync.Mutex
	dialErr error
	dials   int
	errs    []error // of the next writes, nil among them for success
	most    int     // messages a write takes; 0 is all of them
	got     []packet
	closed  int
	ifaces  []Interface
}

type packet struct {
	at time.Time
	to string // empty on a connected socket
	b  []byte
}

type fakeSocket struct{ n *fakeNet }

func (n *fakeNet) dial(netip.AddrPort) (udp.Socket, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.dials++
	if n.dialErr != nil {
		return nil, &os.SyscallError{Syscall: "connect", Err: n.dialErr}
	}
	return fakeSocket{n}, nil
}

func (n *fakeNet) multicast(*net.Interface, bool, int) (udp.Socket, error) {
	return n.dial(netip.AddrPort{})
}

func (n *fakeNet) interfaces() ([]Interface, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return slices.Clone(n.ifaces), nil
}

func (s fakeSocket) Write(msgs []udp.Message) (int, error) {
	n := s.n
	n.mu.Lock()
	defer n.mu.Unlock()
	if len(n.errs) > 0 {
		err := n.errs[0]
		n.errs = n.errs[1:]
		if err != nil {
			return 0, &os.SyscallError{Syscall: "sendmmsg", Err: err}
		}
	}
	if n.most > 0 {
		msgs = msgs[:min(n.most, len(msgs))]
	}
	for _, m := range msgs {
		p := packet{at: time.Now(), b: slices.Clone(m.Buffers[0])}
		if m.Addr != nil {
			p.to = m.Addr.String()
		}
		n.got = append(n.got, p)
	}
	return len(msgs), nil
}

func (s fakeSocket) Path() string { return "memory" }

func (s fakeSocket) Close() error {
	s.n.mu.Lock()
	defer s.n.mu.Unlock()
	s.n.closed++
	return nil
}

// take gives what was sent since the last call, decoded, universe discovery left out.
func (n *fakeNet) take(t *testing.T) (data []Data, all []packet) {
	t.Helper()
	n.mu.Lock()
	defer n.mu.Unlock()
	for _, p := range n.got {
		kind, err := KindOf(p.b)
		if err != nil {
			t.Fatal(err)
		}
		if kind == KindDiscovery {
			continue
		}
		all = append(all, p)
		if kind == KindData {
			var d Data
			if err := d.Decode(p.b); err != nil {
				t.Fatal(err)
			}
			data = append(data, d)
		}
	}
	n.got = nil
	return data, all
}

var ethernet = Interface{
	Interface: net.Interface{Index: 7, Name: "eth7", Flags: net.FlagUp | net.FlagRunning | net.FlagMulticast},
	Addrs:     []netip.Addr{netip.MustParseAddr("10.9.9.7"), netip.MustParseAddr("fe80::7")},
}

func fakeOutput(t *testing.T, n *fakeNet, change func(*Config)) *Output {
	t.Helper()
	cfg := Config{Name: "bench", To: []netip.AddrPort{boxA}, Universes: []dmx.Universe{1}, CID: testCID}
	if change != nil {
		change(&cfg)
	}
	if n.ifaces == nil {
		n.ifaces = []Interface{ethernet}
	}
	cfg.interfaces, cfg.dial, cfg.multicast = n.interfaces, n.dial, n.multicast
	o, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// bubble runs a test on its own time, and closes what it opens.
func bubble(t *testing.T, change func(*Config), do func(t *testing.T, o *Output, n *fakeNet)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{}
		o := fakeOutput(t, n, change)
		defer o.Close()
		do(t, o, n)
	})
}

// Each universe has numbers of its own, 0..255 and then 0.
func TestSequenceNumbersOnTheWire(t *testing.T) {
	bubble(t, func(c *Config) { c.Universes = []dmx.Universe{1, 63990} }, func(t *testing.T, o *Output, n *fakeNet) {
		frames := make([]dmx.Frame, 2)
		for k := range 600 {
			frames[0][0], frames[1][0] = byte(k), byte(k)
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
		}
		data, _ := n.take(t)
		if len(data) != 1200 {
			t.Fatalf("%d packets", len(data))
		}
		for i, d := range data {
			if d.Sequence != byte(i/2) || d.Universe != []uint16{1, 63990}[i%2] || len(d.Slots) != dmx.Slots || d.Slots[0] != byte(i/2) {
				t.Fatalf("packet %d is %+v", i, d)
			}
		}
	})
}

func TestWhatThePacketsSay(t *testing.T) {
	bubble(t, func(c *Config) {
		c.Universes, c.Offset, c.Priority, c.Source = []dmx.Universe{1}, 99, new(150), "Kittiwake \x1b[1mset"
	}, func(t *testing.T, o *Output, n *fakeNet) {
		if err := o.Send(make([]dmx.Frame, 1)); err != nil {
			t.Fatal(err)
		}
		data, _ := n.take(t)
		d := data[0]
		if d.Universe != 100 || d.Priority != 150 || string(d.Name) != "Kittiwake [1mset" || d.CID != testCID || d.Options != 0 || d.Sync != 0 || d.StartCode != 0 {
			t.Errorf("%+v", d)
		}
	})
	bubble(t, func(c *Config) { c.Priority = new(0) }, func(t *testing.T, o *Output, n *fakeNet) {
		_ = o.Send(make([]dmx.Frame, 1))
		if data, _ := n.take(t); data[0].Priority != 0 || string(data[0].Name) != "limn" {
			t.Errorf("%+v", data[0])
		}
	})
}

// ANSI E1.31-2018, 6.6.2: a change, three more, then every 800 to 1000 ms, whoever asks.
func TestKeepAlive(t *testing.T) {
	for name, asked := range map[string]bool{"asked by the loop": true, "by itself": false} {
		t.Run(name, func(t *testing.T) {
			bubble(t, nil, func(t *testing.T, o *Output, n *fakeNet) {
				frames := make([]dmx.Frame, 1)
				send := func(times int, every time.Duration) {
					for range times {
						if err := o.Send(frames); err != nil {
							t.Fatal(err)
						}
						time.Sleep(every)
					}
				}
				send(4, 23*time.Millisecond)
				if asked {
					time.Sleep(777 * time.Millisecond)
					send(10, 800*time.Millisecond)
				} else {
					time.Sleep(9 * time.Second)
				}
				_, all := n.take(t)
				if len(all) < 12 {
					t.Fatalf("%d packets", len(all))
				}
				for i, p := range all[1:] {
					gap := p.at.Sub(all[i].at)
					if i < 3 && gap > 50*time.Millisecond || i >= 3 && (gap < 800*time.Millisecond || gap > time.Second) {
						t.Errorf("packet %d comes %v after the one before", i+1, gap)
					}
				}
			})
		})
	}
}

// A universe that stands still beside one that moves is not sent with it, but every 800 to 1000 ms.
func TestOnlyWhatChanges(t *testing.T) {
	bubble(t, func(c *Config) { c.Universes = []dmx.Universe{1, 2} }, func(t *testing.T, o *Output, n *fakeNet) {
		frames := make([]dmx.Frame, 2)
		for k := range 440 {
			frames[0][5] = byte(k)
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Second / 44)
		}
		var moving int
		var still []time.Time
		_, all := n.take(t)
		for _, p := range all {
			var d Data
			if err := d.Decode(p.b); err != nil {
				t.Fatal(err)
			}
			if d.Universe == 1 {
				moving++
			} else {
				still = append(still, p.at)
			}
		}
		if moving != 440 || len(still) < 13 || len(still) > 17 {
			t.Errorf("%d and %d packets", moving, len(still))
		}
		for i := 4; i < len(still); i++ {
			if gap := still[i].Sub(still[i-1]); gap < 800*time.Millisecond || gap > time.Second {
				t.Errorf("gap %v", gap)
			}
		}
	})
}

// The farewell of a run that leaves the light: the last frame three times more, and no word of an end.
func TestLeave(t *testing.T) {
	bubble(t, nil, func(t *testing.T, o *Output, n *fakeNet) {
		frames := make([]dmx.Frame, 1)
		for range 4 {
			_ = o.Send(frames)
		}
		n.take(t)
		for range 3 {
			_ = o.Send(frames)
		}
		if err := o.Close(); err != nil {
			t.Fatal(err)
		}
		data, _ := n.take(t)
		if len(data) != 3 {
			t.Errorf("%d packets", len(data))
		}
		for _, d := range data {
			if d.Options != 0 {
				t.Errorf("options %x", d.Options)
			}
		}
	})
}

// ANSI E1.31-2018, 6.2.6: three packets end a universe.
func TestTermination(t *testing.T) {
	for _, late := range []bool{false, true} {
		bubble(t, func(c *Config) { c.Universes, c.Terminate = []dmx.Universe{1, 2}, !late }, func(t *testing.T, o *Output, n *fakeNet) {
			_ = o.Send(make([]dmx.Frame, 2))
			n.take(t)
			o.Terminate(true)
			if err := o.Close(); err != nil {
				t.Fatal(err)
			}
			data, _ := n.take(t)
			if len(data) != 6 {
				t.Fatalf("%d packets", len(data))
			}
			for i, d := range data {
				if d.Options != StreamTerminated || d.Sequence != byte(1+i/2) {
					t.Errorf("packet %d: options %x, number %d", i, d.Options, d.Sequence)
				}
			}
		})
	}
	bubble(t, func(c *Config) { c.Terminate = true }, func(t *testing.T, o *Output, n *fakeNet) {
		o.Close()
		if data, _ := n.take(t); len(data) != 0 {
			t.Errorf("an output that was never sent anything ends with %d packets", len(data))
		}
	})
}

func TestSynchronization(t *testing.T) {
	bubble(t, func(c *Config) {
		c.To, c.Groups, c.Universes, c.Sync, c.SyncGap = nil, Groups4, []dmx.Universe{1, 2}, 7962, 3*time.Millisecond
	}, func(t *testing.T, o *Output, n *fakeNet) {
		frames := make([]dmx.Frame, 2)
		for k := range 3 {
			frames[1][0]++
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
			_, all := n.take(t)
			last := all[len(all)-1]
			var s Sync
			if err := s.Decode(last.b); err != nil {
				t.Fatal(err)
			}
			if s.CID != testCID || s.Address != 7962 || int(s.Sequence) != k || last.to != "239.255.31.26:5568" {
				t.Errorf("%+v goes to %s", s, last.to)
			}
			for _, p := range all[:len(all)-1] {
				var d Data
				if err := d.Decode(p.b); err != nil || d.Sync != 7962 || d.Options != ForceSync {
					t.Errorf("%+v, %v", d, err)
				}
				if gap := last.at.Sub(p.at); gap != 3*time.Millisecond {
					t.Errorf("the data come %v before", gap)
				}
			}
		}
	})
}

// ANSI E1.31-2018, 4 and appendix A: the list of what is sent, every ten seconds, to its own group.
func TestUniverseDiscovery(t *testing.T) {
	bubble(t, func(c *Config) {
		c.To, c.Groups, c.Sync, c.SyncGap = nil, Groups4, 100, -1
		c.Universes = nil
		for u := range 513 {
			c.Universes = append(c.Universes, dmx.Universe(1000-u))
		}
	}, func(t *testing.T, o *Output, n *fakeNet) {
		time.Sleep(15 * time.Second)
		if len(n.got) != 0 {
			t.Fatal("told of what was not yet sent")
		}
		_ = o.Send(make([]dmx.Frame, 513))
		time.Sleep(25 * time.Second)
		n.mu.Lock()
		defer n.mu.Unlock()
		var at []time.Time
		var list []uint16
		for _, p := range n.got {
			var d DiscoveryPage
			if d.Decode(p.b) != nil {
				continue
			}
			if p.to != "239.255.250.214:5568" || d.Last != 1 || string(d.Name) != "limn" {
				t.Errorf("page %d of %d goes to %s", d.Page, d.Last, p.to)
			}
			if d.Page == 0 {
				at = append(at, p.at)
				list = nil
			}
			list = append(list, d.Universes...)
		}
		if len(at) != 3 || at[1].Sub(at[0]) < 10*time.Second || at[1].Sub(at[0]) > 10*time.Second+tick {
			t.Errorf("at %v", at)
		}
		if len(list) != 514 || list[0] != 100 || list[1] != 488 || list[513] != 1000 {
			t.Errorf("%d universes, %v ...", len(list), list[:2])
		}
	})
}

// A call may take fewer messages than it was given; none is lost or sent twice.
func TestShortBatches(t *testing.T) {
	for _, most := range []int{0, 1, 7, udp.Batch} {
		bubble(t, func(c *Config) {
			c.Universes = nil
			for u := range 150 {
				c.Universes = append(c.Universes, dmx.Universe(u+1))
			}
		}, func(t *testing.T, o *Output, n *fakeNet) {
			n.most = most
			if err := o.Send(make([]dmx.Frame, 150)); err != nil {
				t.Fatal(err)
			}
			data, _ := n.take(t)
			if len(data) != 150 {
				t.Fatalf("by %d: %d packets", most, len(data))
			}
			for i, d := range data {
				if int(d.Universe) != i+1 {
					t.Fatalf("by %d: packet %d is universe %d", most, i, d.Universe)
				}
			}
		})
	}
}

// Whatever the system answers, sending goes on, the operator is told in words, and the
// present frame is out within a second of the trouble's end.
func TestTrouble(t *testing.T) {
	for _, c := range []struct {
		errs    []error // of the next writes
		words   string
		reopens bool
		heals   time.Duration // at most
	}{
		{[]error{syscall.ECONNREFUSED}, "nobody listens", false, time.Second},
		{[]error{syscall.ECONNREFUSED, syscall.ECONNREFUSED}, "nobody listens", false, time.Second},
		{[]error{syscall.EHOSTUNREACH}, "answers to that address", false, silentHold + time.Second},
		{[]error{syscall.ENOBUFS}, "queue is full", false, time.Second},
		{[]error{syscall.ENETUNREACH}, "no network leads there", true, time.Second},
		{[]error{syscall.ENETDOWN}, "no network leads there", true, time.Second},
		{[]error{syscall.EPERM}, "firewall", true, time.Second},
		{[]error{syscall.EINVAL}, "own address has changed", true, time.Second},
		{[]error{syscall.ENODEV}, "interface is gone", true, time.Second},
		{[]error{syscall.EPIPE}, "broken pipe", true, time.Second},
	} {
		t.Run(fmt.Sprint(c.errs), func(t *testing.T) {
			bubble(t, func(c *Config) { c.Universes = []dmx.Universe{1, 2} }, func(t *testing.T, o *Output, n *fakeNet) {
				n.most = 1
				frames := make([]dmx.Frame, 2)
				_ = o.Send(frames)
				n.take(t)
				frames[0][0], frames[1][0] = 200, 100
				n.errs = slices.Clone(c.errs)
				if err := o.Send(frames); !errors.Is(err, c.errs[0]) {
					t.Errorf("Send says %v, want %v", err, c.errs[0])
				}
				if s := o.Status(); s.Up || !strings.Contains(s.Text, c.words) || s.Where != "10.9.9.1:5568" {
					t.Errorf("status %+v, want something on %q", s, c.words)
				}
				if c.reopens {
					if err := o.Send(frames); !errors.Is(err, dmx.ErrDown) {
						t.Errorf("before its next attempt Send says %v, want ErrDown", err)
					}
				} else if n.dials != 1 {
					t.Error("a good socket was given up")
				}
				// Nobody calls any more: the output heals by itself.
				start := time.Now()
				time.Sleep(time.Second)
				seen := map[uint16]time.Duration{}
				_, all := n.take(t)
				for _, p := range all {
					var d Data
					if err := d.Decode(p.b); err != nil {
						t.Fatal(err)
					}
					if d.Slots[0] == 0 {
						t.Error("an old frame was sent again")
					}
					if _, ok := seen[d.Universe]; !ok {
						seen[d.Universe] = p.at.Sub(start)
					}
				}
				if len(seen) != 2 {
					t.Errorf("within a second only these are back: %v", seen)
				}
				time.Sleep(c.heals)
				if s := o.Status(); !s.Up || s.Text != "" {
					t.Errorf("in the end: %+v", s)
				}
			})
		})
	}
}

// A link in trouble does not stop the others, nor make them busier, and gets the numbers they have.
func TestOneLinkInTrouble(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		good, bad := &fakeNet{}, &fakeNet{dialErr: syscall.ENETUNREACH}
		cfg := Config{To: []netip.AddrPort{boxA, boxB}, Universes: []dmx.Universe{1}, CID: testCID}
		cfg.dial = func(to netip.AddrPort) (udp.Socket, error) {
			if to == boxB {
				return bad.dial(to)
			}
			return good.dial(to)
		}
		o, err := New(cfg)
		if err != nil {
			t.Fatal(err)
		}
		defer o.Close()
		frames := make([]dmx.Frame, 1)
		for range 44 * 4 {
			if err := o.Send(frames); !errors.Is(err, dmx.ErrDown) && !errors.Is(err, syscall.ENETUNREACH) {
				t.Fatalf("a receiver got nothing and Send says %v", err)
			}
			time.Sleep(time.Second / 44)
		}
		data, _ := good.take(t)
		if len(data) < 7 || len(data) > 9 { // a change, three more, then one every 800 ms
			t.Errorf("the other receiver got %d packets in 4 s", len(data))
		}
		if bad.dials < 14 || bad.dials > 18 {
			t.Errorf("%d attempts in 4 s", bad.dials)
		}
		s := o.Status()
		if s.Up || s.Where != "10.9.9.1:5568, [fd00::2]:5568" || !strings.HasPrefix(s.Text, "[fd00::2]:5568: no network") {
			t.Errorf("status %+v", s)
		}
		bad.mu.Lock()
		bad.dialErr = nil
		bad.mu.Unlock()
		came := time.Now()
		time.Sleep(time.Second)
		got, all := bad.take(t)
		if len(got) == 0 || all[0].at.Sub(came) > time.Second || got[0].Sequence != data[len(data)-1].Sequence && got[0].Sequence != data[len(data)-1].Sequence+1 {
			t.Fatalf("%d packets a second after the network came", len(got))
		}
		if !o.Status().Up {
			t.Errorf("%+v", o.Status())
		}
	})
}

func TestInterfaceComesAndGoes(t *testing.T) {
	bubble(t, func(c *Config) { c.To, c.Groups, c.Interface = nil, Groups4|Groups6, "eth7" }, func(t *testing.T, o *Output, n *fakeNet) {
		set := func(all ...Interface) { n.mu.Lock(); n.ifaces = all; n.mu.Unlock() }
		check := func(up bool, words string) {
			t.Helper()
			time.Sleep(700 * time.Millisecond)
			if s := o.Status(); s.Up != up || !strings.Contains(s.Text, words) {
				t.Errorf("%+v, want something on %q", s, words)
			}
		}
		back := func() {
			t.Helper()
			time.Sleep(300 * time.Millisecond)
			to := map[string]int{}
			data, all := n.take(t)
			for i, p := range all {
				to[p.to]++
				if data[i].Slots[0] != 9 {
					t.Error("another frame than the present one")
				}
			}
			if len(to) != 2 || to["239.255.0.1:5568"] == 0 || to["[ff18::8300:1]:5568"] == 0 {
				t.Errorf("within a second it is back at %v", to)
			}
		}
		frames := make([]dmx.Frame, 1)
		frames[0][0] = 9
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
		check(true, "")
		if where := o.Status().Where; where != "multicast on eth7, IPv6 multicast on eth7" {
			t.Errorf("where: %s", where)
		}
		set(Interface{Interface: net.Interface{Index: 1, Name: "lo", Flags: net.FlagUp | net.FlagLoopback}, Addrs: []netip.Addr{netip.MustParseAddr("127.0.0.1")}})
		check(false, `no interface that is switched on is named "eth7" or has that address; there are lo (127.0.0.1)`)
		n.take(t)
		again := ethernet
		again.Index = 9 // unplugged and plugged in again
		set(again)
		check(true, "")
		back()
		out := again
		out.Flags &^= net.FlagRunning
		set(out)
		check(false, "the cable is out")
		n.take(t)
		set(again)
		check(true, "")
		back()
		bare := again
		bare.Addrs = bare.Addrs[1:]
		set(bare)
		check(false, "eth7 has no IPv4 address")
		n.take(t)
		other := again
		other.Addrs = []netip.Addr{netip.MustParseAddr("10.1.1.1"), again.Addrs[1]}
		set(other)
		check(true, "")
		back()
	})
}

// Names are looked up again and again; one that is not found any more keeps its last address.
func TestHostNames(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var mu sync.Mutex
		answer, err := []netip.Addr(nil), error(&net.DNSError{Err: "no such host", IsNotFound: true})
		n := &fakeNet{}
		var to []netip.AddrPort
		cfg := Config{Hosts: []string{"rack:7000"}, Universes: []dmx.Universe{1}, CID: testCID}
		cfg.lookUp = func(context.Context, string) ([]netip.Addr, error) {
			mu.Lock()
			defer mu.Unlock()
			return answer, err
		}
		cfg.dial = func(a netip.AddrPort) (udp.Socket, error) {
			mu.Lock()
			defer mu.Unlock()
			to = append(to, a)
			return n.dial(a)
		}
		dialled := func() []netip.AddrPort { mu.Lock(); defer mu.Unlock(); return slices.Clone(to) }
		set := func(a []netip.Addr, e error) { mu.Lock(); answer, err = a, e; mu.Unlock() }
		o, e := New(cfg)
		if e != nil {
			t.Fatal(e)
		}
		defer o.Close()
		time.Sleep(time.Second)
		if e := o.Send(make([]dmx.Frame, 1)); !errors.Is(e, dmx.ErrDown) || !strings.Contains(o.Status().Text, `"rack" is not found`) {
			t.Errorf("%v, %+v", e, o.Status())
		}
		set([]netip.Addr{netip.MustParseAddr("::ffff:10.9.9.1")}, nil)
		time.Sleep(time.Second)
		if data, _ := n.take(t); len(data) == 0 || !o.Status().Up || dialled()[0] != netip.MustParseAddrPort("10.9.9.1:7000") {
			t.Errorf("found, but %d packets go to %v, %+v", len(data), dialled(), o.Status())
		}
		set(nil, &net.DNSError{Err: "no such host", IsNotFound: true})
		time.Sleep(time.Minute)
		if data, _ := n.take(t); len(data) < 60 || !o.Status().Up || len(dialled()) != 1 {
			t.Errorf("the name gone, %d packets go to %v, %+v", len(data), dialled(), o.Status())
		}
		set([]netip.Addr{netip.MustParseAddr("fd00::9")}, nil)
		time.Sleep(time.Minute)
		if to := dialled(); len(to) != 2 || to[1] != netip.MustParseAddrPort("[fd00::9]:7000") {
			t.Errorf("moved to %v", to)
		}
	})
}

func TestConfigsThatMakeNoSense(t *testing.T) {
	one, to := []dmx.Universe{1}, []netip.AddrPort{boxA}
	at := func(s string) []netip.AddrPort { return []netip.AddrPort{netip.MustParseAddrPort(s)} }
	for want, cfg := range map[string]Config{
		"a CID of all zeros is none":              {To: to, Universes: one},
		"no universes":                            {To: to, CID: testCID},
		"universe 7 is listed twice":              {To: to, CID: testCID, Universes: []dmx.Universe{7, 7}},
		"universe 1 with offset -1 makes 0":       {To: to, CID: testCID, Universes: one, Offset: -1},
		"universe 1 with offset 63999 makes 6400": {To: to, CID: testCID, Universes: one, Offset: 63999},
		"priority 201":                            {To: to, CID: testCID, Universes: one, Priority: new(201)},
		"priority -1":                             {To: to, CID: testCID, Universes: one, Priority: new(-1)},
		"synchronization address 64000":           {To: to, CID: testCID, Universes: one, Sync: 64000},
		"33 hops":                                 {CID: testCID, Universes: one, Hops: 33},
		`interface "eth0" is chosen, but`:         {To: to, CID: testCID, Universes: one, Interface: "eth0"},
		"10.9.9.1:5568 is named twice":            {To: []netip.AddrPort{boxA, boxA}, CID: testCID, Universes: one},
		"239.255.0.1:5568 is a group":             {To: at("239.255.0.1:5568"), CID: testCID, Universes: one},
		"255.255.255.255:5568 means everybody":    {To: at("255.255.255.255:5568"), CID: testCID, Universes: one},
		"[::]:5568 is no address":                 {To: at("[::]:5568"), CID: testCID, Universes: one},
		"10.1.1.1 has no port":                    {To: at("10.1.1.1:0"), CID: testCID, Universes: one},
		"address is missing":                      {To: make([]netip.AddrPort, 1), CID: testCID, Universes: one},
		`port "0" is no number`:                   {Hosts: []string{"rack:0"}, CID: testCID, Universes: one},
		`receiver "" has no name`:                 {Hosts: []string{""}, CID: testCID, Universes: one},
		"several network interfaces, eth7 (10.9":  {CID: testCID, Universes: one},
	} {
		n := &fakeNet{ifaces: []Interface{ethernet, ethernet}}
		cfg.interfaces, cfg.dial, cfg.multicast = n.interfaces, n.dial, n.multicast
		if o, err := New(cfg); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want something on %q", err, want)
			if err == nil {
				o.Close()
			}
		}
	}
}
