//go:build linux

package main

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/artnet/artnettest"
	"limn/dmx/dmxtest"
	"limn/dmx/sacn"
)

// The wires of the big test: Kittiwake goes to a node that is named, a node that is found, an sACN receiver, a
// framing widget and a plain serial line, all at once.
const wiresRig = `[[output]]
name = "named"
kind = "artnet"
to = "127.0.0.2:%[1]d"
universes = [1, 2]

[[output]]
name = "found"
kind = "artnet"
to = "discover"
interface = "127.0.0.1"
port = %[1]d
poll = ["127.0.0.3"]
universes = [1, 2]

[[output]]
name = "air"
kind = "sacn"
to = "%[2]s"
universes = [1, 2]
priority = 120

[[output]]
name = "framed"
kind = "usb widget"
to = "%[3]s"
universes = [1]

[[output]]
name = "line"
kind = "usb raw"
to = "%[4]s"
universes = [2]
`

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

// counted is what run --counters wrote.
type counted struct {
	Version int
	Sender  struct {
		Frames  int64
		Outputs []struct {
			Name                  string
			Sent, Dropped, Errors int64
			Status                struct{ Up bool }
		}
	}
}

// missed tells what the outputs other than a victim missed because of it.
func (c *counted) missed(victim string) []string {
	// What all of them missed alike this machine was too busy for: none of their threads ran.
	alike := int64(math.MaxInt64)
	for _, o := range c.Sender.Outputs {
		if o.Name != victim && o.Name != "line" {
			alike = min(alike, o.Dropped)
		}
	}
	var out []string
	for _, o := range c.Sender.Outputs {
		dropped := o.Dropped - alike
		if o.Name == "line" { // with its break a packet lasts as long as a frame, so it leaves out one now and then
			dropped = 0
		}
		if o.Name != victim && (dropped > 0 || o.Errors > 0 || o.Sent == 0) {
			out = append(out, fmt.Sprintf("%s sent %d, dropped %d where the least was %d, had %d errors", o.Name, o.Sent, o.Dropped, alike, o.Errors))
		}
	}
	return out
}

// typedProcess is a run of limn as a process of its own, with what is typed into it.
type typedProcess struct {
	*process
	in io.Writer
}

func startTyped(t *testing.T, args ...string) *typedProcess {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{
		Cmd: &exec.Cmd{Path: self, Args: append([]string{"limn"}, args...)}, // under that name the test binary is limn
		out: newTranscript(), err: newTranscript(),
	}
	p.Stdout, p.Stderr = p.out, p.err
	in, err := p.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	limit := time.AfterFunc(2*patience, func() { p.Process.Kill() })
	t.Cleanup(func() {
		limit.Stop()
		p.Process.Kill()
		p.Wait()
	})
	return &typedProcess{p, in}
}

func (p *typedProcess) typed(line string) { io.WriteString(p.in, line+"\n") }

// attempts is how often a run may be repeated whose send threads this machine kept from running: what killing one output does
// to the others it does every time, what a busy machine does to all of them it does not.
const attempts = 3

// Kittiwake plays on five wires at once. Each far end in turn is taken away and brought
// back: it gets the light again, and no other misses a frame.
func TestEachIsKilledAndNoOtherMissesAFrame(t *testing.T) {
	for _, victim := range []string{"named", "found", "air", "framed", "line"} {
		t.Run(victim, func(t *testing.T) {
			defer goleak.VerifyNone(t)
			t.Setenv("XDG_STATE_HOME", t.TempDir())
			for try := 1; ; try++ {
				missed := killAndReturn(t, victim)
				if len(missed) == 0 || t.Failed() {
					return
				}
				if try == attempts {
					t.Fatalf("with %s killed, again and again: %s", victim, strings.Join(missed, "; "))
				}
				t.Logf("once more: %s", strings.Join(missed, "; "))
			}
		})
	}
}

// killAndReturn plays one run and tells what others than the victim missed.
func killAndReturn(t *testing.T, victim string) (missed []string) {
	t.Helper()
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	at := func(last byte) netip.AddrPort {
		return netip.AddrPortFrom(netip.AddrFrom4([4]byte{127, 0, 0, last}), port)
	}
	heard := newCapture(t)
	named, found := newFarNode(t, at(2), heard), newFarNode(t, at(3), heard)
	air := newFarAir(t, heard)
	links := t.TempDir()
	framed := newFarLine(t, filepath.Join(links, "framed"), true)
	line := newFarLine(t, filepath.Join(links, "line"), false)
	leave := map[string]func(){
		"named": func() { named.Leave() }, "found": func() { found.Leave() }, "air": air.leave, "framed": framed.pull, "line": line.pull,
	}
	again := map[string]func(){
		"named": func() { named.Return() }, "found": func() { found.Return() }, "air": func() { air.open(t) },
		"framed": func() { framed.plug(t) }, "line": func() { line.plug(t) },
	}

	dir := kittiwakeOn(t, fmt.Sprintf(wiresRig, port, air.at, framed.link, line.link))
	counters := filepath.Join(t.TempDir(), "counters.json")
	desk := startTyped(t, "run", dir, "--yes", "--counters", counters)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("go bow")
	desk.err.says(t, `"node 127.0.0.3" (127.0.0.3)`) // discovery has found it
	desk.out.says(t, "bow: ")
	waitFor(t, "light at every far end", func() bool {
		_, a := named.gaps()
		_, b := found.gaps()
		_, c := air.gaps()
		framed.mu.Lock()
		line.mu.Lock()
		defer framed.mu.Unlock()
		defer line.mu.Unlock()
		return a > 0 && b > 0 && c > 0 && framed.taken > 0 && line.taken > 0
	})

	leave[victim]()
	desk.typed("go beam")
	desk.err.says(t, "output "+victim+": down")
	again[victim]()
	desk.typed("go stern")
	desk.err.says(t, "output "+victim+": up")
	desk.typed("confirm")
	desk.out.says(t, "stern: settled")

	// The light of the last cue is everywhere, at the victim too.
	one, two := settledSlots(t, dir, "0s go stern; 0.5s confirm")
	waitFor(t, "the last cue's light at every far end", func() bool {
		for i, want := range [][]byte{one, two} {
			for _, n := range []*farNode{named, found} {
				if frame, _, _ := n.Frame(i); !bytes.Equal(frame[:], want) {
					return false
				}
			}
			air.mu.Lock()
			same := bytes.Equal(air.frames[i+1][:], want)
			air.mu.Unlock()
			if !same {
				return false
			}
		}
		return framed.holds(one) && line.holds(two)
	})
	desk.typed("quit")
	if st := desk.ended(); st.ExitStatus() != statusDone {
		t.Errorf("%v\n%s", desk.ProcessState, desk.err)
	}

	// Nobody else missed a frame: by what was counted here, and by the numbers that arrived there.
	text, err := os.ReadFile(counters)
	if err != nil {
		t.Fatal(err)
	}
	var c counted
	if err := json.Unmarshal(text, &c); err != nil || c.Version != 1 || len(c.Sender.Outputs) != 5 || c.Sender.Frames == 0 {
		t.Fatalf("counters %s: %v", text, err)
	}
	missed = c.missed(victim)
	for name, gaps := range map[string]func() (int, int){"named": named.gaps, "found": found.gaps, "air": air.gaps} {
		if missing, taken := gaps(); name != victim && (missing > 0 || taken == 0) {
			missed = append(missed, fmt.Sprintf("%d numbers of %d are missing at %s", missing, taken, name))
		}
	}
	if air.ended > 0 || air.odd > 0 {
		t.Errorf("the sACN receiver got %d ends of a stream with on-exit = leave, and %d packets that are none of ours", air.ended, air.odd)
	}
	dissected(t, heard)
	leaveAll(leave)
	return missed
}

func leaveAll(leave map[string]func()) {
	for _, f := range leave {
		f()
	}
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

// waitFor waits for a condition that a far end brings about.
func waitFor(t *testing.T, what string, met func() bool) {
	t.Helper()
	deadline := time.Now().Add(patience)
	for !met() {
		if time.Now().After(deadline) {
			t.Fatalf("no %s", what)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

// kittiwakeOn is a copy of the Kittiwake shoot with other outputs.
func kittiwakeOn(t *testing.T, outputs string) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(kittiwakeDir)); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "rig.toml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(text), "[[output]]")
	_, after, ok2 := strings.Cut(rest, "\n\n")
	if !ok || !ok2 {
		t.Fatal("the shoot has no output to replace")
	}
	write(t, file, before+outputs+"\n"+after)
	return dir
}

// settledSlots is what a program leaves in universe 1 and 2.
func settledSlots(t *testing.T, dir, program string) (one, two []byte) {
	t.Helper()
	frames := traceJSON(t, dir, "--do", program)
	last := frames[len(frames)-1].Frames
	for u, slots := range map[string]*[]byte{"1": &one, "2": &two} {
		var err error
		if *slots, err = hex.DecodeString(last[u]); err != nil || len(*slots) != dmx.Slots {
			t.Fatalf("universe %s: %d slots, %v", u, len(*slots), err)
		}
	}
	return one, two
}
