package artnettest_test

import (
	"net"
	"net/netip"
	"slices"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx/artnet"
	"limn/dmx/artnet/artnettest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// poller asks and reads, as a controller does.
type poller struct {
	t testing.TB
	*net.UDPConn
	to netip.AddrPort
}

func newPoller(t testing.TB, to netip.AddrPort) *poller {
	c, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return &poller{t, c, to}
}

func (p *poller) write(b []byte) {
	p.t.Helper()
	if _, err := p.WriteToUDPAddrPort(b, p.to); err != nil {
		p.t.Fatal(err)
	}
}

func (p *poller) read() []byte {
	p.t.Helper()
	if err := p.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
		p.t.Fatal(err)
	}
	b := make([]byte, 2048)
	n, _, err := p.ReadFromUDPAddrPort(b)
	if err != nil {
		p.t.Fatal(err)
	}
	return b[:n]
}

// replies reads n answers and gives the Port-Addresses of each.
func (p *poller) replies(n int) (out [][]uint16) {
	p.t.Helper()
	for range n {
		var r artnet.PollReply
		if err := r.Decode(p.read()); err != nil {
			p.t.Fatal(err)
		}
		var of []uint16
		for i := range 4 {
			if a, ok := r.Output(i); ok {
				of = append(of, a)
			}
		}
		out = append(out, of)
	}
	return out
}

func same(a, b [][]uint16) bool {
	return slices.EqualFunc(a, b, func(x, y []uint16) bool { return slices.Equal(x, y) })
}

func TestNode(t *testing.T) {
	for _, c := range []struct {
		cfg  artnettest.Config
		want [][]uint16
		size int
	}{
		{artnettest.Config{Outputs: []uint16{1, 2}}, [][]uint16{{1}, {2}}, 239},
		{artnettest.Config{Outputs: []uint16{1, 2, 3, 4, 5}, Grouped: true}, [][]uint16{{1, 2, 3, 4}, {5}}, 239},
		{artnettest.Config{Outputs: []uint16{0x1234}, Old: true}, [][]uint16{{0x1234}}, 207},
		{artnettest.Config{Delay: time.Millisecond}, [][]uint16{nil}, 239},
	} {
		c.cfg.Addr = netip.MustParseAddrPort("127.0.0.1:0")
		n, err := artnettest.New(c.cfg)
		if err != nil {
			t.Fatal(err)
		}
		p := newPoller(t, n.Addr())
		if err := n.Say(artnet.DiagLow, "nobody asked"); err == nil {
			t.Error("it speaks before anybody has polled")
		}
		p.write([]byte("Art-Net?"))
		p.write((&artnet.PollPacket{}).AppendTo(nil))
		if got := p.replies(len(c.want)); !same(got, c.want) {
			t.Errorf("%+v answers %v, want %v", c.cfg, got, c.want)
		}
		targeted := artnet.PollPacket{Flags: artnet.PollTargeted, TargetBottom: 9, TargetTop: 9}
		p.write(targeted.AppendTo(nil)) // nobody: what comes next answers the next
		p.write((&artnet.PollPacket{}).AppendTo(nil))
		if got := len(p.read()); got != c.size {
			t.Errorf("it answers in %d bytes, want %d", got, c.size)
		}
		if err := n.Close(); err != nil {
			t.Error(err)
		}
	}
}

func TestNodeKeepsWhatItIsSent(t *testing.T) {
	heard := make(chan uint16, 16)
	n, err := artnettest.New(artnettest.Config{
		Addr: netip.MustParseAddrPort("127.0.0.1:0"), Outputs: []uint16{7},
		OnDmx: func(d *artnet.Datagram) { heard <- d.PortAddress },
	})
	if err != nil {
		t.Fatal(err)
	}
	p := newPoller(t, n.Addr())
	send := func(address uint16, number, slot byte) {
		t.Helper()
		e, err := artnet.NewEncoder(address, 0)
		if err != nil {
			t.Fatal(err)
		}
		p.write(e.Encode(number, []byte{slot, 0}))
		if got := <-heard; got != address {
			t.Fatalf("heard %d", got)
		}
	}
	send(7, 3, 99)
	send(8, 4, 98)
	if f, received, number := n.Frame(0); f[0] != 99 || received != 1 || number != 3 {
		t.Errorf("%d, %d times, number %d", f[0], received, number)
	}
	p.write((&artnet.PollPacket{Flags: artnet.PollOnChange}).AppendTo(nil))
	p.replies(1)
	n.Move(0, 8)
	if got := p.replies(1); !same(got, [][]uint16{{8}}) {
		t.Errorf("moved, it tells %v", got)
	}
	n.Merge(0, true)
	var r artnet.PollReply
	if err := r.Decode(p.read()); err != nil || r.GoodOutput[0]&artnet.GoodOutputMerging == 0 {
		t.Errorf("merging, it tells %+v (%v)", r.GoodOutput, err)
	}
	send(8, 5, 97)
	if err := n.Leave(); err != nil {
		t.Error(err)
	}
	if err := n.Return(); err != nil {
		t.Fatal(err)
	}
	if f, received, _ := n.Frame(0); f[0] != 0 || received != 0 {
		t.Error("switched off and on, it remembers")
	}
	send(8, 6, 96)
	if f, _, _ := n.Frame(0); f[0] != 96 {
		t.Error("back, it hears nothing")
	}
	if err := n.Close(); err != nil {
		t.Error(err)
	}
	if err := n.Close(); err != nil {
		t.Errorf("a second time: %v", err)
	}
}

func TestNodeStaysOnLoopback(t *testing.T) {
	for _, a := range []string{"0.0.0.0:0", "192.168.1.1:6454", "[::]:0"} {
		if n, err := artnettest.New(artnettest.Config{Addr: netip.MustParseAddrPort(a)}); err == nil {
			n.Close()
			t.Errorf("it listens on %s", a)
		}
	}
}
