package artnet

import (
	"net/netip"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// An output says for each node how packets get to the system, and takes the plainer way when told to. Either way all arrive.
func TestPaths(t *testing.T) {
	universes := []dmx.Universe{1, 2, 3, 4, 5}
	for _, plain := range []bool{false, true} {
		arrived := make(chan uint16, 64)
		var to []netip.AddrPort
		for range 2 {
			r, err := Listen(netip.MustParseAddrPort("127.0.0.1:0"), func(d *Datagram) { arrived <- d.PortAddress })
			if err != nil {
				t.Fatal(err)
			}
			defer r.Close()
			to = append(to, r.Addr())
		}
		o, err := NewOutput(Config{To: to, Universes: universes, NoSegments: plain})
		if err != nil {
			t.Fatal(err)
		}
		if err := o.Send(make([]dmx.Frame, len(universes))); err != nil {
			t.Error(err)
		}
		got := map[uint16]int{}
		for range 2 * len(universes) {
			got[<-arrived]++
		}
		if len(got) != len(universes) {
			t.Errorf("arrived %v", got)
		}
		paths := o.Paths()
		if len(paths) != 2 || !strings.HasPrefix(paths[0], to[0].String()+": ") {
			t.Fatalf("paths %q", paths)
		}
		if runtime.GOOS == "linux" && plain && !slices.Equal(paths, []string{to[0].String() + ": batches", to[1].String() + ": batches"}) {
			t.Errorf("paths %q", paths)
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
		if paths := o.Paths(); len(paths) != 0 {
			t.Errorf("closed, it has paths %q", paths)
		}
	}
}

// Whatever becomes of the packets to one node, the others get theirs.
func TestOneNodeHoldsUpNoOther(t *testing.T) {
	full, well := &fakeNet{}, &fakeNet{}
	o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA, nodeB}, Universes: []dmx.Universe{1, 2}}, func(to netip.AddrPort) (udp.Socket, error) {
		if to == nodeA {
			return full.dial(to)
		}
		return well.dial(to)
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range []error{syscall.ECONNREFUSED, syscall.EHOSTUNREACH, syscall.ENOBUFS, syscall.EAGAIN, syscall.ENETUNREACH, syscall.EINVAL} {
		full.errs = []error{e, e, e, e}
		well.got = nil
		if err := o.Send([]dmx.Frame{{byte(i)}, {byte(i + 1)}}); err == nil {
			t.Errorf("%v goes unsaid", e)
		}
		if len(well.got) != 2 {
			t.Errorf("%v at one node: the other got %d packets of 2", e, len(well.got))
		}
	}
}
