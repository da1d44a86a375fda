//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"limn/dmx/artnet/artnettest"
	"limn/dmx/dmxtest"
	"limn/dmx/rdm"
	"limn/dmx/rdm/rdmtest"
	"limn/dmx/serial"
)

// widget answers at the far end of a pseudo-terminal as a framing adapter does, and keeps the slots it is sent.
type widget struct {
	pty    *dmxtest.PTY
	frames chan []byte // slots of each packet
	done   chan struct{}
}

// newWidget puts a widget behind a pseudo-terminal. It ends when the far end is closed.
func newWidget(t *testing.T, pty *dmxtest.PTY) *widget {
	t.Helper()
	w := &widget{pty: pty, frames: make(chan []byte, 4096), done: make(chan struct{})}
	go func() {
		defer close(w.done)
		var scan serial.Scanner
		buf := make([]byte, 4096)
		for {
			n, err := pty.Master.Read(buf)
			if err != nil {
				if hungUp(err) {
					continue
				}
				return
			}
			scan.Write(buf[:n], w.take)
		}
	}()
	return w
}

// take answers a request for the parameters: firmware 1.4, break and mark in units of 10.67 us, 40 packets a
// second (the framed widget protocol).
func (w *widget) take(p serial.Packet) {
	switch p.Label {
	case serial.LabelParameters:
		reply := serial.Packet{Label: serial.LabelParameters, Payload: []byte{4, 1, 9, 1, 40}}
		w.pty.Master.Write(reply.AppendTo(nil))
	case serial.LabelSend:
		select {
		case w.frames <- append([]byte(nil), p.Payload[1:]...):
		default:
		}
	}
}

// nodeAt is a virtual node on loopback.
func nodeAt(t *testing.T, cfg artnettest.Config) *artnettest.Node {
	t.Helper()
	n, err := artnettest.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { n.Close() })
	return n
}

// Two virtual nodes and an adapter: all three are named, with lines that make a shoot.
func TestFindNamesAllThree(t *testing.T) {
	defer goleak.VerifyNone(t)
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	at := func(last byte) netip.AddrPort {
		return netip.AddrPortFrom(netip.AddrFrom4([4]byte{127, 0, 0, last}), port)
	}
	bow := nodeAt(t, artnettest.Config{Addr: at(2), Name: "bow node", Outputs: []uint16{1, 2}})
	stern := nodeAt(t, artnettest.Config{Addr: at(3), Name: "stern node\x1b[2J", Outputs: []uint16{0}})
	pty := dmxtest.OpenPTY(t)
	w := newWidget(t, pty)
	args := []string{
		"find", "--interface", "127.0.0.1", "--udp-port", fmt.Sprint(port), "--poll", "127.0.0.2,127.0.0.3",
		"--port", pty.Name, "--wait", "1.5s",
	}
	s := start(t, args...)
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d\n%s%s", status, s.out, s.err)
	}
	got := s.out.String()
	for _, want := range []string{
		"lo 127.0.0.1/8: Art-Net from 127.0.0.2, 127.0.0.3\n",
		`"bow node" (127.0.0.2)`,
		fmt.Sprintf("    to = \"127.0.0.2:%d\"\n      universes = [1, 2]\n", port),
		`"stern node`,
		fmt.Sprintf("    to = \"127.0.0.3:%d\"\n      universes = [1]\n      offset = -1", port),
		pty.Name + ": a widget that frames its packets, firmware 1.4",
		"      kind = \"usb widget\"\n      to = \"" + pty.Name + "\"\n",
		`interface = "lo"`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	if strings.Contains(got, "\x1b") {
		t.Errorf("a name from the network reached the terminal: %q", got)
	}

	// The lines are a shoot's.
	dir := t.TempDir()
	var rig strings.Builder
	name := 0
	for line := range strings.Lines(got) {
		if strings.HasPrefix(line, "      ") && !strings.Contains(line, "interface =") {
			if strings.Contains(line, "name =") {
				name++
				line = fmt.Sprintf("name = \"output %d\"\n", name)
			}
			rig.WriteString(line)
		}
	}
	for u := 1; u <= 2; u++ {
		role := []string{"key", "fill"}[u-1]
		fmt.Fprintf(&rig, "[[source]]\nname = \"light %d\"\nrole = %q\nprofile = \"dimmer\"\nuniverse = %d\naddress = 1\n", u, role, u)
	}
	write(t, filepath.Join(dir, "rig.toml"), rig.String())
	write(t, filepath.Join(dir, "cues.toml"), "[[cue]]\nname = \"on\"\n[cue.light]\n\"light 1\" = \"50 %\"\n")
	check := start(t, "check", dir)
	if status := check.wait(); status != statusDone {
		t.Errorf("the lines do not check: %s%s\n%s", check.out, check.err, rig.String())
	}

	// The same for programs.
	s = start(t, append(args, "--json")...)
	if status := s.wait(); status != statusDone {
		t.Fatalf("--json: status %d %s", status, s.err)
	}
	var found struct {
		Version int
		Nodes   []struct {
			Address string
			Outputs []struct {
				PortAddress int `json:"port_address"`
			}
		}
		Adapters []struct{ Port, Kind string }
	}
	if err := json.Unmarshal([]byte(s.out.String()), &found); err != nil {
		t.Fatal(err)
	}
	if found.Version != 1 || len(found.Nodes) != 3 || found.Nodes[2].Address != "127.0.0.3" {
		t.Errorf("nodes %+v", found.Nodes)
	}
	last := found.Adapters[len(found.Adapters)-1]
	if last.Port != pty.Name || last.Kind != "usb widget" {
		t.Errorf("adapters %+v", found.Adapters)
	}
	bow.Close()
	stern.Close()
	pty.Master.Close()
	<-w.done
}

func write(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// Fixtures behind a node are listed and held against the shoot; one is given another
// address.
func TestFindFixtures(t *testing.T) {
	defer goleak.VerifyNone(t)
	port, err := artnettest.FreePort()
	if err != nil {
		t.Fatal(err)
	}
	uid := rdm.MakeUID(rdm.Prototype, 7)
	device := &rdmtest.Device{
		UID: uid, Label: "sky panel", Model: "bicolour", Address: 101, Mode: 1,
		Modes: []rdm.Mode{{Number: 1, Slots: 4, Name: "16 bit"}},
	}
	lines := rdmtest.NewNode(1, 0, device)
	server, err := rdmtest.Beside(netip.MustParseAddr("127.0.0.4"), lines)
	if err != nil {
		t.Fatal(err)
	}
	defer server.Close()
	node := nodeAt(t, artnettest.Config{
		Addr: netip.AddrPortFrom(netip.MustParseAddr("127.0.0.4"), port), Name: "bench", Outputs: []uint16{1}, OnDatagram: server.OnDatagram,
	})
	defer node.Close()
	dir := shootWith(t, artNetTo(fmt.Sprintf("127.0.0.4:%d", port), "leave"))
	args := []string{"find", "--interface", "127.0.0.1", "--udp-port", fmt.Sprint(port), "--poll", "127.0.0.4", "--wait", "1.2s"}
	s := start(t, append(args, dir, "--rdm")...)
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d\n%s%s", status, s.out, s.err)
	}
	got := s.out.String()
	for _, want := range []string{
		`fixtures behind "bench" (127.0.0.4), Port-Address 0:0:1 (1):`,
		uid.String() + `  "sky panel", "bicolour", address 101, 4 slots, mode 1 "16 bit"`,
		"warning: ",
		"an output of the shoot goes there",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}

	// Nobody can be asked: nothing is set.
	s = start(t, append(args, "--set-address", uid.String()+"=1")...)
	if status := s.wait(); status != statusUsage || !strings.Contains(s.err.String(), "moves from address 101 to 1") {
		t.Errorf("status %d: %s", status, s.err)
	}
	if address, _ := lines.Address(0); address != 101 {
		t.Errorf("address %d without a question", address)
	}
	s = start(t, append(args, "--set-address", uid.String()+"=1", "--yes")...)
	if status := s.wait(); status != statusDone || !strings.Contains(s.out.String(), "is at address 1 now") {
		t.Errorf("status %d: %s%s", status, s.out, s.err)
	}
	if address, _ := lines.Address(0); address != 1 {
		t.Errorf("address %d", address)
	}
}

// A sender that goes by multicast is found by its name, its universes and its priority, with lines to send beside
// it, and with a warning where a shoot sends the same.
func TestFindSenders(t *testing.T) {
	defer goleak.VerifyNone(t)
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	dir := shootWith(t, `
[[output]]
name = "air"
kind = "sacn"
interface = "127.0.0.1"
source-name = "pier desk"
universes = [1]
offset = 14
priority = 130
`)
	desk := start(t, "run", dir, "--headless", "--do", "0s go bow")
	desk.out.says(t, "bow: settled")
	s := start(t, "find", "--interface", "127.0.0.1", "--udp-port", "16454", "--poll", "127.0.0.9", "--wait", "2.5s")
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d\n%s%s", status, s.out, s.err)
	}
	for _, want := range []string{`"pier desk" at `, " sends universe 15 with priority 130\n", "universes = [15]\n", "priority = 131 "} {
		if !strings.Contains(s.out.String(), want) {
			t.Errorf("%q is missing in\n%s", want, s.out)
		}
	}
	s = start(t, "find", dir, "--interface", "127.0.0.1", "--udp-port", "16454", "--poll", "127.0.0.9", "--wait", "2.5s")
	s.wait()
	s.out.says(t, `warning: output "air" sends universe 15 too, with priority 130`)
	desk.interrupt()
	desk.wait()
}
