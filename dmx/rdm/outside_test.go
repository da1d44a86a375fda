package rdm_test

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"limn/dmx/artnet"
	"limn/dmx/artnet/artnettest"
	"limn/dmx/dmxtest"
	"limn/dmx/rdm"
	"limn/dmx/rdm/rdmtest"
)

// loopback opens a socket for a client.
func loopback(t testing.TB, at string) *net.UDPConn {
	t.Helper()
	conn, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort(at)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() }) // closed twice where the test does it
	return conn
}

// captured is what went over a socket, both ways.
type captured struct {
	mu   sync.Mutex
	pcap *dmxtest.Pcap
	n    int
}

func (c *captured) add(t testing.TB, from, to netip.AddrPort, b []byte) {
	c.mu.Lock()
	defer c.mu.Unlock()
	// On Art-Net's port, so that the dissector knows it.
	from, to = netip.AddrPortFrom(from.Addr(), 6454), netip.AddrPortFrom(to.Addr(), 6454)
	if err := c.pcap.Datagram(time.Now(), from, to, b); err != nil {
		t.Error(err)
	}
	c.n++
}

// A client and a node on loopback: all is found, an address is set, and an outside dissector reads every
// packet of it as what it is, with nothing malformed.
func TestOverLoopbackReadByTshark(t *testing.T) {
	n := rdmtest.NewNode(line, 0, panel(), strip())
	server, err := rdmtest.Listen(netip.MustParseAddrPort("127.0.0.2:0"), n)
	if err != nil {
		t.Fatal(err)
	}
	defer server.Close()
	conn := loopback(t, "127.0.0.1:0")
	file := filepath.Join(t.TempDir(), "rdm.pcap")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := dmxtest.NewPcap(f)
	if err != nil {
		t.Fatal(err)
	}
	seen := &captured{pcap: p}
	own := conn.LocalAddr().(*net.UDPAddr).AddrPort()
	send := rdm.SendOn(conn)
	c, err := rdm.NewClient(rdm.Config{Node: server.Addr(), PortAddress: line, Send: func(to netip.AddrPort, b []byte) error {
		seen.add(t, own, to, b)
		for _, a := range rdmtest.NewNode(line, 0, panel(), strip()).Answer(b) { // what an equal node answers
			seen.add(t, to, own, a)
		}
		return send(to, b)
	}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	ended := make(chan error, 1)
	go func() { ended <- rdm.Listen(ctx, conn, c) }()

	if got, err := c.Fixtures(ctx); err != nil || !reflect.DeepEqual(got, wantFixtures) {
		t.Errorf("found\n%+v, %v; want\n%+v", got, err, wantFixtures)
	}
	if err := c.SetStartAddress(ctx, uid(2), 101); err != nil {
		t.Error(err)
	}
	if address, _ := n.Address(1); address != 101 {
		t.Errorf("it has start address %d", address)
	}
	if err := c.SetIdentify(ctx, uid(1), true); err != nil {
		t.Error(err)
	}
	if err := c.SearchAgain(ctx); err != nil {
		t.Error(err)
	}
	cancel()
	if err := <-ended; err == nil {
		t.Error("Listen ended without a reason")
	}
	// Answers that no node gives of itself.
	for _, faults := range []rdmtest.Faults{
		{Refuse: map[rdm.PID]rdm.Reason{rdm.DeviceLabel: rdm.WriteProtect}},
		{Timer: 300 * time.Millisecond},
	} {
		n.SetFaults(faults)
		q := rdm.Carried{PortAddress: line, Message: rdm.Message{Dest: uid(1), Source: uid(9), Port: 1, Class: rdm.Get, PID: rdm.DeviceLabel}}
		for _, a := range n.Answer(q.AppendTo(nil)) {
			seen.add(t, server.Addr(), own, a)
		}
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}

	// What the dissector is asked for of every packet, and rows that must be there; "" is not looked at.
	fields := []string{
		"_ws.malformed", "rdm.checksum.status", "artnet.header.opcode", "artnet.tod_request.net", "artnet.tod_data.uid_total", "artnet.tod_control.command",
		"rdm.cc", "rdm.pid", "rdm.pd.device_label", "rdm.pd.device_model_description", "rdm.pd.manu_label", "rdm.pd.dmx_footprint", "rdm.pd.dmx_pers_current",
		"rdm.pd.dmx_pers_total", "rdm.pd.dmx_start_address", "rdm.pd.identify_device", "rdm.pd.nack_reason.code", "rdm.pd.ack_timer.estimated_response_time",
	}
	args := []string{"-r", file, "-T", "fields"}
	for _, f := range fields {
		args = append(args, "-e", f)
	}
	var rows []map[string]string
	for _, l := range dmxtest.Tshark(t, args...) {
		row := make(map[string]string)
		for i, v := range strings.Split(l, "\t") {
			row[fields[i]] = v
		}
		if row["_ws.malformed"] != "" || row["rdm.checksum.status"] == "0" || row["artnet.header.opcode"] == "" {
			t.Errorf("the dissector complains of %v", row)
		}
		rows = append(rows, row)
	}
	if len(rows) != seen.n {
		t.Errorf("it reads %d of %d packets", len(rows), seen.n)
	}
	for _, want := range []map[string]string{
		{"artnet.header.opcode": "0x8000", "artnet.tod_request.net": "0x12"},
		{"artnet.header.opcode": "0x8100", "artnet.tod_data.uid_total": "2"},
		{"artnet.header.opcode": "0x8200", "artnet.tod_control.command": "0x01"},
		{
			"artnet.header.opcode": "0x8300", "rdm.cc": "0x21", "rdm.pid": "0x0060", "rdm.checksum.status": "1",
			"rdm.pd.dmx_footprint": "4", "rdm.pd.dmx_pers_current": "2", "rdm.pd.dmx_pers_total": "2", "rdm.pd.dmx_start_address": "1",
		},
		{"rdm.cc": "0x21", "rdm.pd.device_label": "sky"},
		{"rdm.cc": "0x21", "rdm.pd.device_model_description": "soft panel"},
		{"rdm.cc": "0x21", "rdm.pd.manu_label": "a maker"},
		{"rdm.cc": "0x30", "rdm.pid": "0x00f0", "rdm.pd.dmx_start_address": "101"},
		{"rdm.cc": "0x30", "rdm.pid": "0x1000", "rdm.pd.identify_device": "0x01"},
		{"rdm.cc": "0x21", "rdm.pid": "0x0082", "rdm.pd.nack_reason.code": "0x0004"},
		{"rdm.cc": "0x21", "rdm.pid": "0x0082", "rdm.pd.ack_timer.estimated_response_time": "3"},
	} {
		if !slices.ContainsFunc(rows, func(row map[string]string) bool {
			for f, v := range want {
				if row[f] != v {
					return false
				}
			}
			return true
		}) {
			t.Errorf("no packet is read as %v", want)
		}
	}
}

// The reasons of refusals and the numbers of parameters are those that the outside dissector has.
func TestNumbersOfTheDissector(t *testing.T) {
	reasons := map[rdm.Reason]string{
		rdm.UnknownPID: "Unknown PID", rdm.FormatError: "Format Error", rdm.HardwareFault: "Hardware Fault", rdm.ProxyReject: "Proxy Reject",
		rdm.WriteProtect: "Write Protect", rdm.UnsupportedClass: "Unsupported Command Class", rdm.OutOfRange: "Data Out Of Range", rdm.BufferFull: "Buffer Full",
		rdm.PacketSize: "Packet Size Unsupported", rdm.SubDeviceRange: "Sub-Device Out Of Range", rdm.ProxyBufferFull: "Proxy Buffer Full",
	}
	parameters := map[rdm.PID]string{
		rdm.QueuedMessage: "Queued Messages", rdm.StatusMessages: "Status Messages", rdm.SupportedParameters: "Supported Parameters", rdm.DeviceInfo: "Device Info",
		rdm.DeviceModelDescription: "Device Model Description", rdm.ManufacturerLabel: "Manufacturer Label", rdm.DeviceLabel: "Device Label",
		rdm.DmxPersonality: "DMX Personality", rdm.DmxPersonalityDescription: "DMX Personality Description", rdm.DmxStartAddress: "DMX Start Address",
		rdm.IdentifyDevice: "Identify Device",
	}
	file := filepath.Join(t.TempDir(), "numbers.pcap")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	p, err := dmxtest.NewPcap(f)
	if err != nil {
		t.Fatal(err)
	}
	add := func(m rdm.Message) {
		m.Source, m.Dest = uid(1), uid(2)
		if err := p.Datagram(time.Unix(0, 0), nodeAddr, nodeAddr, (&rdm.Carried{PortAddress: line, Message: m}).AppendTo(nil)); err != nil {
			t.Fatal(err)
		}
	}
	var want []string
	for r, name := range reasons {
		add(rdm.Message{Port: byte(rdm.Nack), Class: rdm.GetResponse, PID: rdm.DeviceLabel, Data: []byte{byte(r >> 8), byte(r)}})
		want = append(want, fmt.Sprintf("%s (0x%04x)", name, uint16(r)))
	}
	for pid, name := range parameters {
		add(rdm.Message{Port: 1, Class: rdm.Get, PID: pid})
		want = append(want, fmt.Sprintf("%s (0x%04x)", name, uint16(pid)))
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(dmxtest.Tshark(t, "-r", file, "-V"), "\n")
	for _, w := range want {
		if !strings.Contains(text, ": "+w) {
			t.Errorf("the dissector has no %s", w)
		}
	}
	if t.Failed() {
		t.Log(text)
	}
}

// Nodes beside a virtual Art-Net node, as in one box: answers come from another port of its address.
func TestBesideAnArtNetNode(t *testing.T) {
	n := rdmtest.NewNode(1, 0, panel(), strip())
	beside, err := rdmtest.Beside(netip.MustParseAddr("127.0.0.3"), n)
	if err != nil {
		t.Fatal(err)
	}
	defer beside.Close()
	box, err := artnettest.New(artnettest.Config{Addr: netip.MustParseAddrPort("127.0.0.3:0"), Name: "box", Outputs: []uint16{1}, OnDatagram: beside.OnDatagram})
	if err != nil {
		t.Fatal(err)
	}
	defer box.Close()
	conn := loopback(t, "127.0.0.1:0")
	c, err := rdm.NewClient(rdm.Config{Node: box.Addr(), PortAddress: 1, Send: rdm.SendOn(conn)})
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- rdm.Listen(t.Context(), conn, c) }()
	if got, err := c.Fixtures(t.Context()); err != nil || !reflect.DeepEqual(got, wantFixtures) {
		t.Errorf("found\n%+v, %v; want\n%+v", got, err, wantFixtures)
	}
	if err := conn.Close(); err != nil {
		t.Error(err)
	}
	if err := <-ended; err != nil {
		t.Errorf("the socket closed, Listen says %v", err)
	}
}

// Where discovery holds the one socket on Art-Net's port, RDM goes through it.
func TestThroughDiscovery(t *testing.T) {
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	at := netip.MustParseAddr("127.0.0.4")
	beside, err := rdmtest.Beside(at, rdmtest.NewNode(1, 0, panel(), strip()))
	if err != nil {
		t.Fatal(err)
	}
	defer beside.Close()
	box, err := artnettest.New(artnettest.Config{Addr: netip.AddrPortFrom(at, port), Name: "box", Outputs: []uint16{1}, OnDatagram: beside.OnDatagram})
	if err != nil {
		t.Fatal(err)
	}
	defer box.Close()
	var client atomic.Pointer[rdm.Client]
	discovery, err := artnet.Discover(artnet.DiscoveryConfig{
		Interface: "127.0.0.1", Port: port, Poll: []netip.Addr{at},
		OnMessage: func(_ artnet.OpCode, from netip.AddrPort, b []byte) {
			if c := client.Load(); c != nil {
				c.Hear(from, b)
			}
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	defer discovery.Close()
	c, err := rdm.NewClient(rdm.Config{
		Node: box.Addr(), PortAddress: 1,
		Send: func(to netip.AddrPort, b []byte) error { return discovery.Send(to.Addr(), b) },
	})
	if err != nil {
		t.Fatal(err)
	}
	client.Store(c)
	if got, err := c.Fixtures(t.Context()); err != nil || !reflect.DeepEqual(got, wantFixtures) {
		t.Errorf("found\n%+v, %v; want\n%+v", got, err, wantFixtures)
	}
}

func TestVirtualNodesStayOnLoopback(t *testing.T) {
	if s, err := rdmtest.Listen(netip.MustParseAddrPort("0.0.0.0:0")); err == nil {
		s.Close()
		t.Error("a virtual node listens on every network")
	}
}
