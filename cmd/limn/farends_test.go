//go:build linux

package main

import (
	"bytes"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/artnet/artnettest"
	"limn/dmx/dmxtest"
	"limn/dmx/sacn"
)

// capture keeps datagrams as they arrived, for the dissector.
type capture struct {
	mu   sync.Mutex
	file bytes.Buffer
	pcap *dmxtest.Pcap
}

func newCapture(t *testing.T) *capture {
	t.Helper()
	c := &capture{}
	var err error
	if c.pcap, err = dmxtest.NewPcap(&c.file); err != nil {
		t.Fatal(err)
	}
	return c
}

// take enters a datagram as if it had come to the standard's port.
func (c *capture) take(from, to netip.AddrPort, b []byte) {
	c.mu.Lock()
	defer c.mu.Unlock()
	_ = c.pcap.Datagram(time.Now(), from, to, b) // into memory
}

// farNode is a virtual node that follows the numbers it is sent.
type farNode struct {
	*artnettest.Node
	mu      sync.Mutex
	numbers artnet.Sequences
	missing int
	taken   int
}

func newFarNode(t *testing.T, addr netip.AddrPort, c *capture) *farNode {
	t.Helper()
	f := &farNode{}
	f.Node = nodeAt(t, artnettest.Config{
		Addr: addr, Name: "node " + addr.Addr().String(), Outputs: []uint16{1, 2},
		OnDmx: func(d *artnet.Datagram) {
			f.mu.Lock()
			defer f.mu.Unlock()
			_, missing := f.numbers.Next(d)
			f.missing += missing
			f.taken++
		},
		OnDatagram: func(from netip.AddrPort, b []byte) {
			c.take(from, netip.AddrPortFrom(addr.Addr(), artnet.Port), b)
		},
	})
	return f
}

func (f *farNode) gaps() (missing, taken int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.missing, f.taken
}

// farAir is an sACN receiver that may be taken away.
type farAir struct {
	at      netip.AddrPort
	capture *capture

	mu      sync.Mutex
	conn    *net.UDPConn
	done    chan struct{}
	last    [3]int // number by universe, -1: none
	frames  [3]dmx.Frame
	missing int
	taken   int
	ended   int // packets that end a stream
	odd     int // packets that are none of ours
}

func newFarAir(t *testing.T, c *capture) *farAir {
	t.Helper()
	f := &farAir{at: netip.MustParseAddrPort("127.0.0.1:0"), capture: c}
	f.open(t)
	t.Cleanup(f.leave)
	return f
}

func (f *farAir) open(t *testing.T) {
	t.Helper()
	conn, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(f.at))
	if err != nil {
		t.Fatal(err)
	}
	f.at = conn.LocalAddr().(*net.UDPAddr).AddrPort()
	f.mu.Lock()
	f.conn, f.done, f.last = conn, make(chan struct{}), [3]int{-1, -1, -1}
	done := f.done
	f.mu.Unlock()
	go func() {
		defer close(done)
		buf := make([]byte, 2048)
		for {
			n, from, err := conn.ReadFromUDPAddrPort(buf)
			if err != nil {
				return
			}
			f.take(from, buf[:n])
		}
	}()
}

func (f *farAir) take(from netip.AddrPort, b []byte) {
	var d sacn.Data
	var page sacn.DiscoveryPage
	kind, err := sacn.KindOf(b)
	if kind == sacn.KindDiscovery && page.Decode(b) == nil {
		return // the dissector (4.0) does not know it
	}
	f.capture.take(from, netip.AddrPortFrom(f.at.Addr(), sacn.Port), b)
	f.mu.Lock()
	defer f.mu.Unlock()
	if err != nil || d.Decode(b) != nil || d.Universe > 2 {
		f.odd++
		return
	}
	f.taken++
	if last := f.last[d.Universe]; last >= 0 && int(d.Sequence) != (last+1)%256 {
		f.missing++
	}
	f.last[d.Universe] = int(d.Sequence)
	copy(f.frames[d.Universe][:], d.Slots)
	if d.Options&sacn.StreamTerminated != 0 {
		f.ended++
	}
}

func (f *farAir) leave() {
	f.mu.Lock()
	conn, done := f.conn, f.done
	f.conn = nil
	f.mu.Unlock()
	if conn != nil {
		conn.Close()
		<-done
	}
}

func (f *farAir) gaps() (missing, taken int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.missing, f.taken
}

// farLine is what hangs on an adapter; pulled and plugged in again, it has another pseudo-terminal behind the same name.
type farLine struct {
	link   string
	widget bool
	pty    *dmxtest.PTY
	done   chan struct{}

	mu    sync.Mutex
	bytes []byte // the last of what came
	taken int
}

func newFarLine(t *testing.T, link string, widget bool) *farLine {
	t.Helper()
	f := &farLine{link: link, widget: widget}
	f.plug(t)
	t.Cleanup(f.pull)
	return f
}

func (f *farLine) plug(t *testing.T) {
	t.Helper()
	f.pty, f.done = dmxtest.OpenPTY(t), make(chan struct{})
	if err := os.Symlink(f.pty.Name, f.link); err != nil {
		t.Fatal(err)
	}
	master, done := f.pty.Master, f.done
	go func() {
		defer close(done)
		buf := make([]byte, 4096)
		for {
			n, err := master.Read(buf)
			if err != nil {
				if hungUp(err) {
					continue
				}
				return
			}
			f.mu.Lock()
			f.taken += n
			if f.bytes = append(f.bytes, buf[:n]...); len(f.bytes) > 1<<14 {
				f.bytes = f.bytes[len(f.bytes)-1<<13:]
			}
			f.mu.Unlock()
		}
	}()
}

func (f *farLine) pull() {
	if f.pty == nil {
		return
	}
	os.Remove(f.link)
	f.pty.Master.Close()
	<-f.done
	f.pty = nil
}

// holds says that a whole packet with these slots came.
func (f *farLine) holds(slots []byte) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	want := append([]byte{0}, slots...)
	if f.widget {
		want = append(append([]byte{0x7e, 0x06, 0x01, 0x02}, want...), 0xe7)
	}
	return bytes.Contains(f.bytes, want)
}

// dissected asks an outside witness about everything that arrived by network.
func dissected(t *testing.T, c *capture) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "heard.pcap")
	c.mu.Lock()
	text := bytes.Clone(c.file.Bytes())
	c.mu.Unlock()
	if err := os.WriteFile(file, text, 0o600); err != nil {
		t.Fatal(err)
	}
	args := []string{"-r", file, "-o", "acn.dmx_enable:TRUE", "--enable-heuristic", "acn"}
	if bad := dmxtest.Tshark(t, append(args, "-Y", "_ws.malformed || _ws.expert.severity >= 0x600000 || !(artnet || acn)")...); len(bad) > 0 {
		t.Errorf("the dissector complains of %d packets, the first: %s", len(bad), bad[0])
	}
	for _, protocol := range []string{"artnet.output", "acn.dmx.universe"} {
		if good := dmxtest.Tshark(t, append(args, "-Y", protocol, "-T", "fields", "-e", "frame.number")...); len(good) < 100 {
			t.Errorf("the dissector reads only %d packets as %s", len(good), protocol)
		}
	}
}
