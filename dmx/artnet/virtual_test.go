package artnet_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/artnet/artnettest"
	"limn/dmx/dmxtest"
)

// These tests run over loopback, where 127.0.0.2, .3 ... are devices of their own on one port.

func freePort(t testing.TB) uint16 {
	t.Helper()
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	return port
}

func node(t testing.TB, addr string, port uint16, cfg artnettest.Config) *artnettest.Node {
	t.Helper()
	cfg.Addr = netip.AddrPortFrom(netip.MustParseAddr(addr), port)
	n, err := artnettest.New(cfg)
	if err != nil {
		t.Skipf("this system has one loopback address only: %v", err)
	}
	t.Cleanup(func() {
		if err := n.Close(); err != nil {
			t.Error(err)
		}
	})
	return n
}

func loopbackDiscovery(t testing.TB, cfg artnet.DiscoveryConfig) *artnet.Discovery {
	t.Helper()
	cfg.Interface = "127.0.0.1"
	d, err := artnet.Discover(cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

// until waits for something that other goroutines bring about.
func until(t testing.TB, what string, so func() bool) {
	t.Helper()
	limit := time.After(15 * time.Second) // only a failing test waits so long
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for !so() {
		select {
		case <-tick.C:
		case <-limit:
			t.Fatalf("it does not come to pass that %s", what)
		}
	}
}

// Two virtual nodes, one of the old revision and one with its outputs in two parts, are found by directed broadcast.
func TestFindOnLoopback(t *testing.T) {
	port := freePort(t)
	node(t, "127.0.0.2", port, artnettest.Config{Name: "left\x1b[2J", LongName: "left stroke", Outputs: []uint16{1}, Old: true})
	node(t, "127.0.0.3", port, artnettest.Config{Name: "right", Outputs: []uint16{0x1234, 0x1235}})
	nodes, err := artnet.Find(t.Context(), artnet.DiscoveryConfig{Interface: "127.0.0.1", Port: port}, 300*time.Millisecond)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, n := range nodes {
		got = append(got, fmt.Sprintf("%v part %d %q %q %v firmware %#x long %v, %+v", n.Addr, n.BindIndex, n.Name, n.LongName, n.Style, n.Firmware, n.LongAddresses, n.Ports))
	}
	want := []string{
		`127.0.0.2 part 1 "left[2J" "left stroke" node firmware 0x102 long false, [{Index:0 Output:true PortAddress:1 Active:false Merging:false LTP:false Shorted:false SACN:false}]`,
		`127.0.0.3 part 1 "right" "" node firmware 0x102 long true, [{Index:0 Output:true PortAddress:4660 Active:false Merging:false LTP:false Shorted:false SACN:false}]`,
		`127.0.0.3 part 2 "right" "" node firmware 0x102 long true, [{Index:0 Output:true PortAddress:4661 Active:false Merging:false LTP:false Shorted:false SACN:false}]`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("found\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// One of them alone, by its address.
	nodes, err = artnet.Find(t.Context(), artnet.DiscoveryConfig{
		Interface: "127.0.0.1", Port: port, Poll: []netip.Addr{netip.MustParseAddr("127.0.0.3")},
	}, 300*time.Millisecond)
	if err != nil || len(nodes) != 2 || nodes[0].Addr.String() != "127.0.0.3" {
		t.Errorf("polled alone: %v, %v", nodes, err)
	}
}

// Light follows the nodes as they appear, move, are switched off and come back; the other node misses nothing, and none is sent black.
func TestLightFollowsTheNodes(t *testing.T) {
	port := freePort(t)
	var black sync.Once
	watch := func(d *artnet.Datagram) {
		if d.Data[0] == 0 {
			black.Do(func() { t.Error("a node was sent black") })
		}
	}
	d := loopbackDiscovery(t, artnet.DiscoveryConfig{Port: port, Poll: []netip.Addr{netip.MustParseAddr("127.0.0.2"), netip.MustParseAddr("127.0.0.3")}})
	out, err := artnet.NewOutput(artnet.Config{Name: "bench", Discovery: d, Universes: []dmx.Universe{1, 2, 3}})
	if err != nil {
		t.Fatal(err)
	}
	frames := []dmx.Frame{{11}, {12}, {13}}
	end := make(chan struct{})
	var sender sync.WaitGroup
	sender.Go(func() { // as the send loop does to an output in trouble
		tick := time.NewTicker(time.Second / 44)
		defer tick.Stop()
		for {
			_ = out.Send(frames)
			select {
			case <-tick.C:
			case <-end:
				return
			}
		}
	})
	defer func() {
		close(end)
		sender.Wait()
		if err := out.Close(); err != nil {
			t.Error(err)
		}
	}()
	lit := func(n *artnettest.Node, i int, slot byte) func() bool {
		return func() bool { f, _, _ := n.Frame(i); return f[0] == slot }
	}
	left := node(t, "127.0.0.2", port, artnettest.Config{Name: "left", Outputs: []uint16{1}, OnDmx: watch})
	right := node(t, "127.0.0.3", port, artnettest.Config{Name: "right", Outputs: []uint16{2, 3}, OnDmx: watch})
	until(t, "both have their light", func() bool {
		return lit(left, 0, 11)() && lit(right, 0, 12)() && lit(right, 1, 13)() && out.Status().Up
	})
	left.Move(0, 3)
	until(t, "the moved one has the light of its new address", lit(left, 0, 13))
	until(t, "universe 1 is told to be nobody's", func() bool {
		s := out.Status()
		return !s.Up && strings.Contains(s.Text, "universe 1 (Port-Address 0:0:1 (1))")
	})
	left.Move(0, 1)
	until(t, "it is back", lit(left, 0, 11))

	_, before, _ := right.Frame(0)
	if err := left.Leave(); err != nil {
		t.Fatal(err)
	}
	until(t, "the output says so", func() bool { s := out.Status(); return !s.Up && strings.Contains(s.Text, "127.0.0.2") })
	if err := left.Return(); err != nil {
		t.Fatal(err)
	}
	back := time.Now()
	until(t, "it is lit again", lit(left, 0, 11))
	if long := time.Since(back); long > time.Second {
		t.Errorf("lit %v after its return", long)
	}
	until(t, "all is said to be well", func() bool { return out.Status().Up })
	if _, after, _ := right.Frame(0); after <= before {
		t.Error("the other node got nothing meanwhile")
	}
}

// capture writes what arrives into a capture file.
type capture struct {
	t    testing.TB
	mu   sync.Mutex
	buf  bytes.Buffer
	pcap *dmxtest.Pcap
	n    map[artnet.OpCode]int
}

func newCapture(t testing.TB) *capture {
	c := &capture{t: t, n: map[artnet.OpCode]int{}}
	var err error
	if c.pcap, err = dmxtest.NewPcap(&c.buf); err != nil {
		t.Fatal(err)
	}
	return c
}

// add takes a datagram that has arrived. The dissector knows Art-Net by its port, which a test does not take.
func (c *capture) add(from netip.AddrPort, b []byte) {
	c.mu.Lock()
	defer c.mu.Unlock()
	op, err := artnet.Kind(b)
	if err != nil {
		c.t.Error(err)
	}
	c.n[op]++
	to := netip.AddrPortFrom(netip.MustParseAddr("127.0.0.9"), artnet.Port)
	if err := c.pcap.Datagram(time.Unix(int64(c.n[op]), 0), from, to, b); err != nil {
		c.t.Error(err)
	}
}

func (c *capture) count(op artnet.OpCode) int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.n[op]
}

// tshark's dissector, an outside witness, reads every message as it was meant, from datagrams received on loopback: what discovery, output
// and time code sender sent to a node; what node and controller answered to a poller; and an ArtAddress.
func TestTsharkReadsEveryMessage(t *testing.T) {
	port := freePort(t)
	c := newCapture(t)
	n := node(t, "127.0.0.2", port, artnettest.Config{
		Name: "lantern", LongName: "lantern on the quay", Outputs: []uint16{0x1231, 0x1232, 0x1233, 0x1234}, Grouped: true, OnDatagram: c.add,
	})
	d := loopbackDiscovery(t, artnet.DiscoveryConfig{Port: port, Diagnostics: artnet.DiagHigh, Firmware: 0x0203})
	out, err := artnet.NewOutput(artnet.Config{Discovery: d, Universes: []dmx.Universe{0x1231, 0x1233}, Sync: artnet.SyncBroadcast})
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	until(t, "the node is found", func() bool { return out.Status().Up })
	if err := out.Send([]dmx.Frame{{1}, {2}}); err != nil {
		t.Fatal(err)
	}
	until(t, "both universes and an ArtSync arrive", func() bool { return c.count(artnet.OpDmx) == 2 && c.count(artnet.OpSync) == 1 })
	clock, err := artnet.NewTimeSender(n.Addr(), artnet.EBU, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer clock.Close()
	if _, err := clock.Send(3723*time.Second + 160*time.Millisecond); err != nil {
		t.Fatal(err)
	}
	until(t, "the time code arrives", func() bool { return c.count(artnet.OpTimeCode) == 1 })

	// A second controller asks, and hears both of us.
	asker, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 3), Port: int(port)})
	if err != nil {
		t.Fatal(err)
	}
	defer asker.Close()
	read := func() {
		t.Helper()
		buf := make([]byte, 2048)
		if err := asker.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
			t.Fatal(err)
		}
		size, from, err := asker.ReadFromUDPAddrPort(buf)
		if err != nil {
			t.Fatal(err)
		}
		c.add(from, buf[:size])
	}
	write := func(to string, b []byte) {
		t.Helper()
		if _, err := asker.WriteToUDPAddrPort(b, netip.AddrPortFrom(netip.MustParseAddr(to), port)); err != nil {
			t.Fatal(err)
		}
	}
	targeted := artnet.PollPacket{Flags: artnet.PollTargeted | artnet.PollOnChange, TargetTop: 0x1234, TargetBottom: 0x1234, Esta: 0x7ff0, Oem: 0xff}
	write("127.0.0.2", targeted.AppendTo(nil))
	read()
	if err := n.Say(artnet.DiagHigh, "lamp hot"); err != nil {
		t.Fatal(err)
	}
	read()
	write("127.0.0.1", (&artnet.PollPacket{}).AppendTo(nil))
	read()
	identify := artnet.NewAddress(1)
	identify.Command = artnet.CommandIdentify
	artnet.SetText(identify.ShortName[:], "quay")
	write("127.0.0.2", identify.AppendTo(nil))
	until(t, "the ArtAddress arrives", func() bool { return c.count(artnet.OpAddress) == 1 })

	file := filepath.Join(t.TempDir(), "artnet.pcap")
	c.mu.Lock()
	content := slices.Clone(c.buf.Bytes())
	c.mu.Unlock()
	if err := os.WriteFile(file, content, 0o600); err != nil {
		t.Fatal(err)
	}
	if bad := dmxtest.Tshark(t, "-r", file, "-Y", "_ws.malformed || _ws.expert.severity >= 0x600000 || !artnet"); len(bad) > 0 {
		t.Errorf("the dissector finds %d packets malformed or wrong, the first: %s", len(bad), bad[0])
	}
	type look struct {
		op, src string
		fields  string
		want    []string // of the packets with that OpCode, from there
	}
	looks := []look{
		// Flags: on change, diagnostics, to us alone.
		{"0x2000", "127.0.0.1", "artnet.header.protver artnet.poll.talktome artnet.poll.diag_priority", []string{"14\t0x0e\t128"}},
		{
			"0x2000", "127.0.0.3",
			"artnet.poll.talktome artnet.poll.talktome_targeted artnet.poll.target_port_top artnet.poll.target_port_bottom artnet.excess_bytes",
			[]string{"0x22\t1\t4660\t4660\t7ff000ff"}, // it does not know EstaMan and Oem
		},
		{
			"0x2100", "127.0.0.2",
			"artnet.poll_reply.ip_address artnet.poll_reply.port_nr artnet.poll_reply.versinfo artnet.poll_reply.netswitch artnet.poll_reply.subswitch " +
				"artnet.poll_reply.esta_man artnet.poll_reply.short_name artnet.poll_reply.long_name artnet.poll_reply.num_ports artnet.poll_reply.port_types_4 " +
				"artnet.poll_reply.swout_1 artnet.poll_reply.swout_4 artnet.poll_reply.good_output_data artnet.poll_reply.mac artnet.poll_reply.bind_index artnet.poll_reply.style",
			[]string{"127.0.0.2\t6454\t0x0102\t0x12\t0x03\t0x7ff0\tlantern\tlantern on the quay\t4\t0x80\t0x01\t0x04\t0x01,0x00,0x01,0x00\t02:00:7f:00:00:02\t0x01\t0x00"},
		},
		{
			"0x2100", "127.0.0.1",
			"artnet.poll_reply.ip_address artnet.poll_reply.versinfo artnet.poll_reply.short_name artnet.poll_reply.num_ports artnet.poll_reply.style artnet.poll_reply.status2",
			[]string{"127.0.0.1\t0x0203\tlimn\t0\t0x01\t0x08"},
		},
		{"0x2300", "", "artnet.diag_data.priority artnet.diag_data.length artnet.diag_data.data", []string{"128\t9\tlamp hot"}},
		{"0x5000", "", "artnet.output.sequence artnet.output.universe artnet.output.length", []string{"1\t4657\t512", "1\t4659\t512"}},
		{"0x5200", "", "artnet.header.protver", []string{"14"}},
		{"0x6000", "", "artnet.address.short_name artnet.address.command artnet.address.swout_1", []string{"quay\t0x04\t0x7f"}},
		{"0x9700", "", "artnet.header.protver artnet.excess_bytes", []string{"14\t00000403020101"}}, // it knows no fields there
	}
	// One call for all: it takes its time to start.
	columns := []string{"artnet.header.opcode", "ip.src"}
	for _, l := range looks {
		for _, f := range strings.Fields(l.fields) {
			if !slices.Contains(columns, f) {
				columns = append(columns, f)
			}
		}
	}
	args := []string{"-r", file, "-T", "fields"}
	for _, f := range columns {
		args = append(args, "-e", f)
	}
	rows := dmxtest.Tshark(t, args...)
	for _, l := range looks {
		var got []string
		for _, row := range rows {
			cells := strings.Split(row, "\t")
			if cells[0] != l.op || l.src != "" && cells[1] != l.src {
				continue
			}
			var of []string
			for _, f := range strings.Fields(l.fields) {
				of = append(of, cells[slices.Index(columns, f)])
			}
			got = append(got, strings.Join(of, "\t"))
		}
		got = slices.Compact(got) // polls repeat themselves
		if !slices.Equal(got, l.want) {
			t.Errorf("%s from %s: it reads\n%q, want\n%q", l.op, l.src, got, l.want)
		}
	}
}

// A port that somebody else has is told as such.
func TestDiscoveryWhereSomebodyListens(t *testing.T) {
	port := freePort(t)
	loopbackDiscovery(t, artnet.DiscoveryConfig{Port: port})
	if d, err := artnet.Discover(artnet.DiscoveryConfig{Port: port, Interface: "127.0.0.1"}); err == nil {
		d.Close()
		t.Error("two have one port; one of them would hear nothing")
	} else if !strings.Contains(err.Error(), "is taken by another program") {
		t.Error(err)
	}
}

// What comes by directed broadcast is heard too: answers of devices of earlier revisions, and the polls of other controllers.
func TestBroadcastsAreHeard(t *testing.T) {
	port := freePort(t)
	d := loopbackDiscovery(t, artnet.DiscoveryConfig{Port: port})
	old, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 4), Port: int(port)})
	if err != nil {
		t.Skipf("this system has one loopback address only: %v", err)
	}
	defer old.Close()
	all := netip.AddrPortFrom(netip.MustParseAddr("127.255.255.255"), port)
	var r artnet.PollReply
	r.SetOutput(0, 3)
	for _, b := range [][]byte{r.AppendTo(nil)[:207], (&artnet.PollPacket{}).AppendTo(nil)} {
		if _, err := old.WriteToUDPAddrPort(b, all); err != nil {
			t.Skipf("this system does not broadcast on loopback: %v", err)
		}
	}
	until(t, "the device is known", func() bool {
		n := d.Nodes()
		return len(n) == 1 && n[0].Addr.String() == "127.0.0.4" && n[0].Ports[0].PortAddress == 3
	})
	until(t, "the poll is answered", func() bool { return d.Counters().Answered == 1 })
}

// foundTransport is an output to a found node, with its discovery.
type foundTransport struct {
	*artnet.Output
	discovery *artnet.Discovery
}

func (f foundTransport) Close() error {
	return errors.Join(f.Output.Close(), f.discovery.Close())
}

// foundFar is the node.
type foundFar struct {
	t       testing.TB
	node    *artnettest.Node
	arrived chan dmxtest.Arrived
}

func (f *foundFar) Arrived() <-chan dmxtest.Arrived { return f.arrived }

func (f *foundFar) Leave() {
	if err := f.node.Leave(); err != nil {
		f.t.Error(err)
	}
}

func (f *foundFar) Return() {
	if err := f.node.Return(); err != nil {
		f.t.Error(err)
	}
}

func (f *foundFar) Close() { f.Leave() }

// An output to found nodes keeps the contract that all outputs keep.
func TestConformanceOfFoundNodes(t *testing.T) {
	universes := []dmx.Universe{5, 1, 300}
	dmxtest.Run(t, dmxtest.Transport{
		Universes: universes,
		Tells:     true, // loopback answers that nobody listens
		Open: func(t testing.TB) (dmx.Output, dmxtest.Far) {
			port := freePort(t)
			far := &foundFar{t: t, arrived: make(chan dmxtest.Arrived, 4096)}
			far.node = node(t, "127.0.0.2", port, artnettest.Config{
				Name: "quay", Outputs: []uint16{1, 5, 300},
				OnDmx: func(d *artnet.Datagram) {
					a := dmxtest.Arrived{Universe: dmx.Universe(d.PortAddress)}
					copy(a.Frame[:], d.Data)
					far.arrived <- a
				},
			})
			d, err := artnet.Discover(artnet.DiscoveryConfig{Interface: "127.0.0.1", Port: port})
			if err != nil {
				t.Fatal(err)
			}
			o, err := artnet.NewOutput(artnet.Config{Name: "found", Discovery: d, Universes: universes})
			if err != nil {
				t.Fatal(err)
			}
			until(t, "the node is found", func() bool { return o.Status().Up })
			return foundTransport{o, d}, far
		},
	})
}

func TestNetworksOfThisComputer(t *testing.T) {
	all, err := artnet.Networks()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(all, func(n artnet.Network) bool { return n.Own.Addr().String() == "127.0.0.1" })
	if i < 0 || !all[i].Loopback || all[i].Broadcast().String() != "127.255.255.255" {
		t.Errorf("networks %v", all)
	}
}

func ExampleFind() {
	port, _ := artnettest.FreePort()
	lantern, err := artnettest.New(artnettest.Config{
		Addr: netip.AddrPortFrom(netip.MustParseAddr("127.0.0.2"), port), Name: "lantern", Outputs: []uint16{18},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer lantern.Close()
	nodes, err := artnet.Find(context.Background(), artnet.DiscoveryConfig{
		Interface: "127.0.0.1", Port: port, Poll: []netip.Addr{lantern.Addr().Addr()},
	}, 200*time.Millisecond)
	for _, n := range nodes {
		fmt.Println(n.String(), artnet.FormatPortAddress(n.Ports[0].PortAddress), err)
	}
	// Output: "lantern" (127.0.0.2) 0:1:2 (18) <nil>
}
