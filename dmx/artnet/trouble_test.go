package artnet

import (
	"context"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"net/netip"
	"os"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// A receiver that is back is reported as up within a second of the last refusal, also when nothing is sent meanwhile.
func TestReceiverBackIsToldWithinASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{}
		o := fakeOutput(t, n, 1)
		frames := make([]dmx.Frame, 1)
		n.errs = []error{syscall.ECONNREFUSED}
		if err := o.Send(frames); err == nil || o.Status().Up {
			t.Fatalf("refused: %v, %+v", err, o.Status())
		}
		if err := o.Send(frames); err != nil || o.Status().Up {
			t.Fatalf("just after: %v, %+v", err, o.Status())
		}
		time.Sleep(refusedHold + time.Nanosecond)
		if s := o.Status(); !s.Up || refusedHold+250*time.Millisecond > time.Second { // the send loop looks every 250 ms
			t.Errorf("after %v: %+v", refusedHold, s)
		}
	})
}

// A peer whose kernel rations its refusals to one a second is not reported up between them, but for the once by which it is known.
func TestRationedRefusalsDoNotFlicker(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{}
		o := fakeOutput(t, n, 1)
		frames := make([]dmx.Frame, 1)
		ups, up := 0, true
		for k := range 44 * 20 {
			if k%45 == 0 {
				n.errs = []error{syscall.ECONNREFUSED}
			}
			_ = o.Send(frames)
			if s := o.Status(); s.Up != up {
				up = s.Up
				if up {
					ups++
				}
			}
			time.Sleep(time.Second / 44)
		}
		if ups != 1 {
			t.Errorf("reported up %d times while nobody listens", ups)
		}
	})
}

// A full queue loses a packet, and the next frame carries that universe again, and only it.
func TestFullQueueLosesNothingForLong(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{most: 1}
		o := fakeOutput(t, n, 1, 2, 3)
		frames := make([]dmx.Frame, 3)
		for range 1 + repeats {
			_ = o.Send(frames)
		}
		n.got, n.errs = nil, []error{syscall.ENOBUFS}
		frames[1][0], frames[2][0] = 1, 1
		if err := o.Send(frames); !errors.Is(err, syscall.ENOBUFS) || len(n.got) != 1 {
			t.Fatalf("%v, %d packets", err, len(n.got))
		}
		frames[2][0] = 2
		n.got = nil
		if err := o.Send(frames); err != nil || !o.Status().Up {
			t.Errorf("then %v, %+v", err, o.Status())
		}
		if all := perUniverse(t, n.got); len(all[2]) != 1 || all[2][0].Data[0] != 1 || len(all[3]) != 1 {
			t.Errorf("then %v were sent", all)
		}
	})
}

// The computer's own address changes under a socket: a new socket within 250 ms, and the light is back with the next frame.
func TestOutputBindsAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{}
		o := fakeOutput(t, n, 1)
		frames := []dmx.Frame{{9}}
		_ = o.Send(frames)
		n.errs, n.got = []error{syscall.EINVAL}, nil
		changed := time.Now()
		for len(n.got) == 0 && time.Since(changed) < time.Second {
			_ = o.Send(frames)
			time.Sleep(time.Second / 44)
		}
		if len(n.got) == 0 || n.dials != 2 || time.Since(changed) > retryEvery+2*time.Second/44 {
			t.Errorf("%d packets on %d sockets after %v", len(n.got), n.dials, time.Since(changed))
		}
	})
}

// A pulled cable shows in no answer of the system; it is told, and light is back within a second of its return, on a new socket.
func TestPulledCable(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		n := &fakeNet{}
		o, err := NewOutput(Config{To: []netip.AddrPort{nodeA}, Universes: []dmx.Universe{1}, networks: f.networks, dial: n.dial})
		if err != nil {
			t.Fatal(err)
		}
		frames := []dmx.Frame{{9}}
		_ = o.Send(frames)
		f.set(func() { f.cut = true })
		time.Sleep(time.Second)
		synctest.Wait()
		_ = o.Send(frames)
		if s := o.Status(); s.Up || s.Text != cutWords {
			t.Errorf("the cable is out: %+v", s)
		}
		n.got = nil
		f.set(func() { f.cut = false })
		time.Sleep(time.Second)
		synctest.Wait()
		if s := o.Status(); !s.Up || len(n.got) != 1 || decode(t, n.got[0]).Data[0] != 9 || n.dials != 2 {
			t.Errorf("the cable is in: %+v, %d packets, %d sockets", s, len(n.got), n.dials)
		}
		closing(t, o)
	})
}

// resolver looks names up; a test changes its answers.
type resolver struct {
	mu     sync.Mutex
	answer []netip.Addr
	err    error
	asked  int
}

func (r *resolver) set(err error, answer ...netip.Addr) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.answer, r.err = answer, err
}

func (r *resolver) times() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.asked
}

func (r *resolver) lookUp(context.Context, string) ([]netip.Addr, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.asked++
	return append([]netip.Addr(nil), r.answer...), r.err
}

// A host that is not known yet, then is, then has another address, then is known no more: light goes where it last was.
func TestHostNames(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := &fakeNet{}, &fakeNet{}
		names := &resolver{err: errors.New("no such host")}
		o, err := NewOutput(Config{
			Hosts: []string{"bench.example:7000"}, Universes: []dmx.Universe{1}, networks: here, lookUp: names.lookUp,
			dial: func(to netip.AddrPort) (udp.Socket, error) {
				if to == netip.MustParseAddrPort("10.9.9.1:7000") {
					return a.dial(to)
				}
				return b.dial(to)
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		defer o.Close()
		frames := []dmx.Frame{{42}}
		if err := o.Send(frames); !errors.Is(err, dmx.ErrDown) {
			t.Errorf("before the first answer: %v", err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		if s := o.Status(); s.Up || !strings.Contains(s.Text, `the name "bench.example" is not found; write the node's address in numbers`) || s.Where != "bench.example" {
			t.Errorf("unknown: %+v", s)
		}
		if n := names.times(); n < 2 {
			t.Errorf("asked %d times in a second", n)
		}
		names.set(nil, netip.MustParseAddr("::ffff:10.9.9.1"), nodeB.Addr())
		time.Sleep(lookSoon + time.Millisecond)
		synctest.Wait()
		if len(a.got) != 1 || decode(t, a.got[0]).Data[0] != 42 { // at once, without another Send
			t.Errorf("known, it got %d packets", len(a.got))
		}
		if s := o.Status(); !s.Up || s.Where != "bench.example (10.9.9.1:7000)" {
			t.Errorf("known: %+v", s)
		}
		asked := names.times()
		time.Sleep(lookAgain - time.Second)
		if names.times() != asked {
			t.Error("a host that is well is asked for all the time")
		}
		names.set(nil, nodeB.Addr())
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if len(b.got) != 1 || decode(t, b.got[0]).Data[0] != 42 || a.closed != 1 {
			t.Errorf("moved, it got %d packets", len(b.got))
		}
		names.set(errors.New("no such host"))
		time.Sleep(2 * lookAgain)
		synctest.Wait()
		if err := o.Send(frames); err != nil || !o.Status().Up {
			t.Errorf("the name is gone, the node is not: %v, %+v", err, o.Status())
		}
	})
}

func TestHostNamesThatMakeNoSense(t *testing.T) {
	for want, host := range map[string]string{
		`port "x" is no number from 1 to 65535`: "a:x",
		`port "0" is no number from 1 to 65535`: "a:0",
		`has no name`:                           ":6454",
		`is not an IPv4 address`:                "[::1]:6454",
		`means many`:                            "239.1.1.1",
	} {
		if _, err := NewOutput(Config{Hosts: []string{host}, Universes: []dmx.Universe{1}, networks: here}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want something on %q", host, err, want)
		}
	}
	names := &resolver{err: errors.New("none")}
	if _, err := NewOutput(Config{Hosts: []string{"a", "a"}, Universes: []dmx.Universe{1}, networks: here, lookUp: names.lookUp}); err == nil || !strings.Contains(err.Error(), "node a is named twice") {
		t.Errorf("a name twice: %v", err)
	}
}

// Destinations on no network of ours, broadcasting, and Port-Address 0 are told, with the cure.
func TestWarnings(t *testing.T) {
	networks := func() ([]Network, error) {
		return []Network{
			{Interface: "lo", Own: netip.MustParsePrefix("127.0.0.1/8"), Loopback: true},
			{Interface: "eth0", Own: netip.MustParsePrefix("192.168.1.5/24")},
		}, nil
	}
	to := func(s string) []netip.AddrPort { return []netip.AddrPort{netip.MustParseAddrPort(s)} }
	n := &fakeNet{}
	for _, c := range []struct {
		cfg  Config
		want string
	}{
		{Config{To: to("192.168.1.40:6454"), Universes: []dmx.Universe{1}}, ""},
		{Config{To: to("127.0.0.1:6454"), Universes: []dmx.Universe{1}}, ""},
		{Config{To: to("2.0.0.10:6454"), Universes: []dmx.Universe{1}}, "2.0.0.10 is on none of this computer's networks (eth0 192.168.1.5/24); give this computer a second address in the node's network, such as 2.0.0.60"},
		{Config{To: to("192.168.1.255:6454"), Universes: []dmx.Universe{1, 2}, Broadcast: true}, "everybody on eth0 192.168.1.5/24, up to 88 packets a second"},
		{Config{To: to("192.168.1.40:6454"), Universes: []dmx.Universe{1}, Offset: -1}, "universe 1 goes to Port-Address 0"},
	} {
		c.cfg.networks, c.cfg.dial = networks, n.dial
		o, err := NewOutput(c.cfg)
		if err != nil {
			t.Fatal(err)
		}
		got := strings.Join(o.Warnings(), "\n")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%v: %q, want %q", c.cfg.To, got, c.want)
		}
		closing(t, o)
	}
	_, err := NewOutput(Config{To: to("192.168.1.255:6454"), Universes: []dmx.Universe{1}, networks: networks, dial: n.dial})
	if err == nil || !strings.Contains(err.Error(), "means everybody on eth0 192.168.1.5/24; list the nodes' own addresses, or ask for broadcast") {
		t.Errorf("broadcast unasked: %v", err)
	}
	_, err = NewOutput(Config{To: to("255.255.255.255:6454"), Universes: []dmx.Universe{1}, Broadcast: true, networks: networks, dial: n.dial})
	if err == nil {
		t.Error("the limited broadcast address is taken")
	}
	none := func() ([]Network, error) { return nil, nil }
	if words := offNetwork(netip.MustParseAddr("10.0.0.250"), nil); !strings.Contains(words, "plug the cable in") {
		t.Errorf("without a network: %q", words)
	}
	if o, err := NewOutput(Config{To: to("2.0.0.10:6454"), Universes: []dmx.Universe{1}, networks: none, dial: n.dial}); err != nil {
		t.Error(err)
	} else {
		closing(t, o)
	}
}

// Setting the clock must move nothing: the package asks for durations since an instant, which are monotonic, and never for the time of
// day. time.Now is read to begin a count and for nothing else.
func TestOnlyTheMonotonicClockIsRead(t *testing.T) {
	files := token.NewFileSet()
	n := 0
	for _, dir := range []string{".", "artnettest"} {
		entries, err := fs.Glob(os.DirFS(dir), "*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range entries {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(files, dir+"/"+name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			n++
			allowed := map[ast.Node]bool{}
			ast.Inspect(file, func(x ast.Node) bool {
				if kv, ok := x.(*ast.KeyValueExpr); ok {
					if k, ok := kv.Key.(*ast.Ident); ok && k.Name == "start" {
						if call, ok := kv.Value.(*ast.CallExpr); ok {
							allowed[call.Fun] = true
						}
					}
				}
				s, ok := x.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				bad := s.Sel.Name == "Unix" || s.Sel.Name == "UnixNano" || s.Sel.Name == "Round" || s.Sel.Name == "UTC" || s.Sel.Name == "Until"
				if p, ok := s.X.(*ast.Ident); ok && p.Name == "time" && s.Sel.Name == "Now" {
					bad = bad || !allowed[s]
				}
				if bad {
					t.Errorf("%v: %s reads the time of day", files.Position(s.Pos()), s.Sel.Name)
				}
				return true
			})
		}
	}
	if n < 15 {
		t.Errorf("only %d files were read", n)
	}
}
