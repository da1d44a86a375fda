package artnet

import (
	"errors"
	"fmt"
	"net/netip"
	"os"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

var nodeA, nodeB = netip.MustParseAddrPort("10.9.9.1:6454"), netip.MustParseAddrPort("10.9.9.2:6454")

// fakeNet stands for the system: it takes packets, or answers with errors in turn.
type fakeNet struct {
	dialErr error
	dials   int
	errs    []error // of the next writes, nil among them for success
	most    int     // messages a write takes; 0 is all of them
	got     [][]byte
	closed  int
}

type fakeSocket struct{ *fakeNet }

func (n *fakeNet) dial(netip.AddrPort) (udp.Socket, error) {
	n.dials++
	if n.dialErr != nil {
		return nil, &os.SyscallError{Syscall: "connect", Err: n.dialErr}
	}
	return fakeSocket{n}, nil
}

func (s fakeSocket) Write(msgs []udp.Message) (int, error) {
	if len(s.errs) > 0 {
		err := s.errs[0]
		s.errs = s.errs[1:]
		if err != nil {
			return 0, &os.SyscallError{Syscall: "sendmmsg", Err: err}
		}
	}
	if s.most > 0 {
		msgs = msgs[:min(s.most, len(msgs))]
	}
	for _, m := range msgs {
		s.got = append(s.got, append([]byte(nil), m.Buffers[0]...))
	}
	return len(msgs), nil
}

func (s fakeSocket) Path() string { return "memory" }

func (s fakeSocket) Close() error { s.closed++; return nil }

// here is a network that both nodes are on.
func here() ([]Network, error) {
	return []Network{{Interface: "eth7", Own: netip.MustParsePrefix("10.9.9.7/24")}}, nil
}

func newOutput(t testing.TB, cfg Config, dial func(netip.AddrPort) (udp.Socket, error)) (*Output, error) {
	cfg.dial = dial
	if cfg.networks == nil {
		cfg.networks = here
	}
	o, err := NewOutput(cfg)
	if err == nil {
		t.Cleanup(func() { o.Close() })
	}
	return o, err
}

func fakeOutput(t *testing.T, n *fakeNet, universes ...dmx.Universe) *Output {
	t.Helper()
	o, err := newOutput(t, Config{Name: "bench", To: []netip.AddrPort{nodeA}, Universes: universes}, n.dial)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func decode(t *testing.T, b []byte) Datagram {
	t.Helper()
	var d Datagram
	if err := d.Decode(b); err != nil {
		t.Fatal(err)
	}
	return d
}

// Each Port-Address has numbers of its own, 1..255 and then 1.
func TestSequenceNumbersOnTheWire(t *testing.T) {
	n := &fakeNet{}
	o := fakeOutput(t, n, 1, 4660)
	for range 600 {
		if err := o.Send(make([]dmx.Frame, 2)); err != nil {
			t.Fatal(err)
		}
	}
	for i, b := range n.got {
		d := decode(t, b)
		if want := byte(i/2%255 + 1); d.Sequence != want {
			t.Fatalf("packet %d has number %d, want %d", i, d.Sequence, want)
		}
		if want := []uint16{1, 4660}[i%2]; d.PortAddress != want || len(d.Data) != dmx.Slots {
			t.Fatalf("packet %d goes to %d with %d slots", i, d.PortAddress, len(d.Data))
		}
	}
}

func TestOffset(t *testing.T) {
	n := &fakeNet{}
	o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA}, Universes: []dmx.Universe{1, 2}, Offset: 99}, n.dial)
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(make([]dmx.Frame, 2)); err != nil {
		t.Fatal(err)
	}
	if a, b := decode(t, n.got[0]).PortAddress, decode(t, n.got[1]).PortAddress; a != 100 || b != 101 {
		t.Errorf("universes 1 and 2 with offset 99 go to %d and %d", a, b)
	}
}

// A call may take fewer messages than it was given; none is lost or sent twice.
func TestShortBatches(t *testing.T) {
	universes := make([]dmx.Universe, 150)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	for _, most := range []int{0, 1, 7, udp.Batch} {
		n := &fakeNet{most: most}
		o := fakeOutput(t, n, universes...)
		if err := o.Send(make([]dmx.Frame, len(universes))); err != nil {
			t.Fatal(err)
		}
		if len(n.got) != len(universes) {
			t.Fatalf("by %d: %d packets, want %d", most, len(n.got), len(universes))
		}
		for i, b := range n.got {
			if d := decode(t, b); int(d.PortAddress) != i+1 {
				t.Fatalf("by %d: packet %d goes to %d", most, i, d.PortAddress)
			}
		}
	}
}

// Whatever the system answers, sending goes on, the operator is told in words, and a good answer
// ends the trouble.
func TestTrouble(t *testing.T) {
	for _, c := range []struct {
		errs    []error // of the first Send's writes
		words   string
		sent    int  // of two packets, in that Send
		reopens bool // before the next
		hold    time.Duration
	}{
		// An answer to an earlier datagram: this one is sent after all, so a
		// node that is back gets it.
		{[]error{syscall.ECONNREFUSED}, "nobody listens", 2, false, refusedHold},
		{[]error{syscall.ECONNREFUSED, syscall.ECONNREFUSED}, "nobody listens", 1, false, refusedHold},
		{[]error{syscall.EHOSTUNREACH}, "answers to that address", 2, false, silentHold},
		{[]error{syscall.ENOBUFS}, "queue is full", 1, false, 0},
		{[]error{syscall.ENETUNREACH}, "no network leads there", 0, true, 0},
		{[]error{syscall.ENETDOWN}, "no network leads there", 0, true, 0},
		{[]error{syscall.EPERM}, "firewall", 0, true, 0},
		{[]error{syscall.EINVAL}, "own address has changed", 0, true, 0},
		{[]error{syscall.EPIPE}, "broken pipe", 0, true, 0},
	} {
		t.Run(fmt.Sprint(c.errs), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				n := &fakeNet{most: 1}
				o := fakeOutput(t, n, 1, 2)
				frames := make([]dmx.Frame, 2)
				n.errs = c.errs
				if err := o.Send(frames); !errors.Is(err, c.errs[0]) {
					t.Errorf("Send says %v, want %v", err, c.errs[0])
				}
				if s := o.Status(); s.Up || !strings.Contains(s.Text, c.words) || s.Where != "10.9.9.1:6454" {
					t.Errorf("status %+v, want something on %q", s, c.words)
				}
				if len(n.got) != c.sent {
					t.Errorf("%d of 2 packets were sent, want %d", len(n.got), c.sent)
				}
				if c.reopens {
					if n.closed != 1 {
						t.Errorf("the bad socket was closed %d times", n.closed)
					}
					if err := o.Send(frames); !errors.Is(err, dmx.ErrDown) {
						t.Errorf("before its next attempt Send says %v, want ErrDown", err)
					}
					time.Sleep(retryEvery)
				} else if n.dials != 1 || n.closed != 0 {
					t.Errorf("a good socket was given up: %d made, %d closed", n.dials, n.closed)
				}
				before := len(n.got)
				if err := o.Send(frames); err != nil || len(n.got) != before+2 {
					t.Errorf("then: %v, %d packets", err, len(n.got)-before)
				}
				if c.hold > 0 {
					if o.Status().Up {
						t.Error("up at once, though news of a missing node comes only now and then")
					}
					time.Sleep(c.hold)
				}
				time.Sleep(time.Nanosecond)
				if err := o.Send(frames); err != nil || !o.Status().Up || o.Status().Text != "" {
					t.Errorf("in the end: %v, status %+v", err, o.Status())
				}
				if err := o.Close(); err != nil {
					t.Error(err)
				}
			})
		})
	}
}

// No way out at the start is no error; the light is on within a second of the network's coming.
func TestNetworkThatComesLater(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{dialErr: syscall.ENETUNREACH}
		o := fakeOutput(t, n, 1)
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "no network leads there") {
			t.Errorf("status %+v", s)
		}
		frames := make([]dmx.Frame, 1)
		for range 44 {
			if err := o.Send(frames); err == nil {
				t.Fatal("sent without a network")
			}
			time.Sleep(time.Second / 44)
		}
		if n.dials < 4 || n.dials > 6 { // one at the start, then four a second
			t.Errorf("%d attempts in a second", n.dials)
		}
		n.dialErr = nil
		came := time.Now()
		for len(n.got) == 0 && time.Since(came) < time.Second {
			_ = o.Send(frames) // ErrDown until the next attempt
			time.Sleep(time.Second / 44)
		}
		if len(n.got) == 0 || !o.Status().Up {
			t.Errorf("a second after the network came: %d packets, status %+v", len(n.got), o.Status())
		}
	})
}

// Of two nodes, one in trouble is named and the other goes on.
func TestTwoNodes(t *testing.T) {
	good, bad := &fakeNet{}, &fakeNet{dialErr: syscall.ENETUNREACH}
	o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA, nodeB}, Universes: []dmx.Universe{1}}, func(to netip.AddrPort) (udp.Socket, error) {
		if to == nodeB {
			return bad.dial(to)
		}
		return good.dial(to)
	})
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if err := o.Send(make([]dmx.Frame, 1)); err == nil {
			t.Error("a node got nothing and Send is content")
		}
	}
	if len(good.got) != 3 {
		t.Errorf("the other node got %d of 3 packets", len(good.got))
	}
	s := o.Status()
	if s.Up || s.Where != "10.9.9.1:6454, 10.9.9.2:6454" || !strings.HasPrefix(s.Text, "10.9.9.2:6454: no network") {
		t.Errorf("status %+v", s)
	}
}

func TestConfigsThatMakeNoSense(t *testing.T) {
	to, one := []netip.AddrPort{nodeA}, []dmx.Universe{1}
	at := func(s string) []netip.AddrPort { return []netip.AddrPort{netip.MustParseAddrPort(s)} }
	for want, cfg := range map[string]Config{
		"no universes":                         {To: to},
		"no node":                              {Universes: one},
		"universe 7 is listed twice":           {To: to, Universes: []dmx.Universe{7, 7}},
		"universe 40000 is beyond":             {To: to, Universes: []dmx.Universe{40000}},
		"makes Port-Address -1":                {To: to, Universes: one, Offset: -2},
		"10.9.9.1:6454 is named twice":         {To: []netip.AddrPort{nodeA, nodeA}, Universes: one},
		"[::1]:6454 is not an IPv4":            {To: at("[::1]:6454"), Universes: one},
		"255.255.255.255:6454 means many":      {To: at("255.255.255.255:6454"), Universes: one},
		"239.255.0.1:6454 means many":          {To: at("239.255.0.1:6454"), Universes: one},
		"0.0.0.0:6454 is no address":           {To: at("0.0.0.0:6454"), Universes: one},
		"10.1.1.1 has no port; the usual one":  {To: at("10.1.1.1:0"), Universes: one},
		"invalid AddrPort is not an IPv4 addr": {To: make([]netip.AddrPort, 1), Universes: one},
	} {
		if _, err := newOutput(t, cfg, (&fakeNet{}).dial); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want something on %q", cfg, err, want)
		}
	}
	mapped := at("[::ffff:10.9.9.1]:6454")
	if o, err := newOutput(t, Config{To: mapped, Universes: one}, (&fakeNet{}).dial); err != nil || o.Status().Where != nodeA.String() {
		t.Errorf("an IPv4 address in IPv6 clothes: %v", err)
	}
}
