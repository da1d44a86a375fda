package artnet

import (
	"bytes"
	"encoding/hex"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var anyLoopback = netip.MustParseAddrPort("127.0.0.1:0")

func listen(t testing.TB, addr netip.AddrPort, handle func(*Datagram)) *Receiver {
	t.Helper()
	r, err := Listen(addr, handle)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	return r
}

// farEnd is a node on loopback that can be switched off and on again.
type farEnd struct {
	t       testing.TB
	addr    netip.AddrPort
	offset  int
	arrived chan dmxtest.Arrived
	mu      sync.Mutex
	r       *Receiver
}

func newFarEnd(t testing.TB, offset int) *farEnd {
	f := &farEnd{t: t, addr: anyLoopback, offset: offset, arrived: make(chan dmxtest.Arrived, 4096)}
	f.Return()
	return f
}

func (f *farEnd) Arrived() <-chan dmxtest.Arrived { return f.arrived }

func (f *farEnd) Return() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.r = listen(f.t, f.addr, func(d *Datagram) {
		a := dmxtest.Arrived{Universe: dmx.Universe(int(d.PortAddress) - f.offset)}
		copy(a.Frame[:], d.Data)
		f.arrived <- a
	})
	f.addr = f.r.Addr() // the same port again when it comes back
}

func (f *farEnd) Leave() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.r.Close(); err != nil {
		f.t.Error(err)
	}
}

func (f *farEnd) Close() { f.Leave() }

func TestConformance(t *testing.T) {
	universes := []dmx.Universe{5, 1, 300}
	dmxtest.Run(t, dmxtest.Transport{
		Universes: universes,
		// Loopback answers that nobody listens; a network may not.
		Tells: true,
		Open: func(t testing.TB) (dmx.Output, dmxtest.Far) {
			far := newFarEnd(t, 10)
			o, err := NewOutput(Config{Name: "bench", To: []netip.AddrPort{far.addr}, Universes: universes, Offset: 10})
			if err != nil {
				t.Fatal(err)
			}
			return o, far
		},
	})
}

// The wildcard's 127.0.0.x are separate nodes; each gets every universe.
func TestEveryNodeGetsEveryUniverse(t *testing.T) {
	got := make(chan uint16, 8)
	var to []netip.AddrPort
	for _, a := range []string{"127.0.0.2:0", "127.0.0.3:0"} {
		r, err := Listen(netip.MustParseAddrPort(a), func(d *Datagram) { got <- d.PortAddress })
		if err != nil {
			t.Skipf("this system has one loopback address only: %v", err)
		}
		defer r.Close()
		to = append(to, r.Addr())
	}
	o, err := NewOutput(Config{To: to, Universes: []dmx.Universe{8, 9}})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	if err := o.Send(make([]dmx.Frame, 2)); err != nil {
		t.Fatal(err)
	}
	var all []uint16
	for range 4 {
		select {
		case p := <-got:
			all = append(all, p)
		case <-time.After(10 * time.Second):
			t.Fatalf("only %d arrived", all)
		}
	}
	slices.Sort(all)
	if !slices.Equal(all, []uint16{8, 8, 9, 9}) {
		t.Errorf("arrived %d", all)
	}
}

func TestSendAllocatesNothing(t *testing.T) {
	universes := make([]dmx.Universe, 100)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	// A socket that nobody reads takes it all; a receiver would count its own allocations in.
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(anyLoopback))
	if err != nil {
		t.Fatal(err)
	}
	defer sink.Close()
	o, err := NewOutput(Config{To: []netip.AddrPort{sink.LocalAddr().(*net.UDPAddr).AddrPort()}, Universes: universes})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, len(universes))
	if n := testing.AllocsPerRun(50, func() {
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
	}); n != 0 && !dmxtest.Race {
		t.Errorf("%v allocations a frame", n)
	}
}

// What strangers send is refused and counted, changes nothing, and what is good among it is taken.
func TestReceiverAmongStrangers(t *testing.T) {
	got := make(chan Datagram, 100)
	r := listen(t, anyLoopback, func(d *Datagram) {
		c := *d
		c.Data = bytes.Clone(d.Data)
		got <- c
	})
	conn, err := net.DialUDP("udp4", nil, net.UDPAddrFromAddrPort(r.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	var refused, other int64
	var want []Datagram
	// A receiver looks at the header only of what it does not use, so of other messages the good ones.
	for _, p := range dmxtest.Vectors(t, "any_empty", "artnet_only", "artdmx_", "artpoll_", "artsync") {
		if _, err := conn.Write(p.Bytes); err != nil {
			t.Fatalf("%s: %v", p.Name, err)
		}
		var d Datagram
		switch {
		case !p.Valid:
			refused++
		case strings.HasPrefix(p.Name, "artdmx_"):
			if err := d.Decode(p.Bytes); err != nil {
				t.Fatal(err)
			}
			want = append(want, d)
		default:
			other++
		}
		if !strings.HasPrefix(p.Name, "artdmx_") || !p.Valid {
			continue
		}
		select {
		case d = <-got:
		case <-time.After(10 * time.Second):
			t.Fatalf("%s did not arrive", p.Name)
		}
		w := want[len(want)-1]
		if d.PortAddress != w.PortAddress || d.Sequence != w.Sequence || d.Physical != w.Physical || !bytes.Equal(d.Data, w.Data) {
			t.Errorf("%s arrived as %+v", p.Name, d)
		}
		if d.From != conn.LocalAddr().(*net.UDPAddr).AddrPort() {
			t.Errorf("%s came from %v", p.Name, d.From)
		}
	}
	// One more good one: when it is here, all before it have been counted.
	e, err := NewEncoder(1, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := conn.Write(e.Encode(1, []byte{1, 2})); err != nil {
		t.Fatal(err)
	}
	select {
	case <-got:
	case <-time.After(10 * time.Second):
		t.Fatal("the last one did not arrive")
	}
	if r.Refused() != refused || r.Other() != other || r.Received() != int64(len(want))+1 {
		t.Errorf("refused %d, other %d, received %d; want %d, %d, %d", r.Refused(), r.Other(), r.Received(), refused, other, len(want)+1)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if err := r.Close(); err != nil {
		t.Errorf("closed again: %v", err)
	}
}

func TestListenWhereSomebodyListens(t *testing.T) {
	r := listen(t, anyLoopback, func(*Datagram) {})
	if _, err := Listen(r.Addr(), func(*Datagram) {}); err == nil {
		t.Error("two receivers share a port; one of them would hear nothing")
	}
}

// tshark's dissector, an outside witness, reads from a capture of datagrams
// really received on loopback what was meant.
func TestTsharkReadsWhatArrived(t *testing.T) {
	sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(anyLoopback))
	if err != nil {
		t.Fatal(err)
	}
	defer sink.Close()
	here := sink.LocalAddr().(*net.UDPAddr).AddrPort()
	universes := []dmx.Universe{1, 4660, 32767}
	o, err := NewOutput(Config{To: []netip.AddrPort{here}, Universes: universes})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()

	var capture bytes.Buffer
	pcap, err := dmxtest.NewPcap(&capture)
	if err != nil {
		t.Fatal(err)
	}
	if err := sink.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
		t.Fatal(err)
	}
	var want []string
	buf := make([]byte, readSize)
	frames := make([]dmx.Frame, len(universes))
	for k := range 260 { // past the turn of the sequence numbers
		for i := range frames {
			for s := range frames[i] {
				frames[i][s] = byte(k + 3*i + 7*s)
			}
		}
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
		for i, u := range universes {
			n, from, err := sink.ReadFromUDPAddrPort(buf)
			if err != nil {
				t.Fatal(err)
			}
			// The dissector knows Art-Net by its port, which a test does not take.
			if err := pcap.Datagram(time.Unix(int64(k), 0), from, netip.AddrPortFrom(here.Addr(), Port), buf[:n]); err != nil {
				t.Fatal(err)
			}
			want = append(want, strings.Join([]string{
				"0x5000", "14", strconv.Itoa(k%255 + 1), "0", strconv.Itoa(int(u)), "512", hex.EncodeToString(frames[i][:]),
			}, "\t"))
		}
	}
	file := filepath.Join(t.TempDir(), "artnet.pcap")
	if err := os.WriteFile(file, capture.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	if bad := dmxtest.Tshark(t, "-r", file, "-Y", "_ws.malformed || _ws.expert.severity >= 0x600000"); len(bad) > 0 {
		t.Errorf("the dissector finds %d packets malformed or wrong, the first: %s", len(bad), bad[0])
	}
	got := dmxtest.Tshark(t, "-r", file, "-o", "udp.check_checksum:TRUE", "-Y", "artnet && udp.checksum.status == 1", "-T", "fields",
		"-e", "artnet.header.opcode", "-e", "artnet.header.protver", "-e", "artnet.output.sequence", "-e", "artnet.output.physical",
		"-e", "artnet.output.universe", "-e", "artnet.output.length", "-e", "dmx_chan.data_filter")
	if len(got) != len(want) {
		t.Fatalf("it reads %d packets, want %d", len(got), len(want))
	}
	for i := range got {
		if got[i] != want[i] {
			t.Fatalf("packet %d is read as\n%s, want\n%s", i, got[i], want[i])
		}
	}
}
