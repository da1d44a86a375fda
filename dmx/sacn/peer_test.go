package sacn

import (
	"bufio"
	"encoding/hex"
	"encoding/json"
	"net/netip"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"limn/dmx"
)

// said is a line of testdata/peer.js.
type said struct {
	Port                                               uint16
	Universe, Sequence, Priority, Options, Sync, Count int
	Name, CID, Slots                                   string
}

// startPeer starts testdata/peer.js, or skips the test where node or the package are missing.
func startPeer(t *testing.T, port uint16) <-chan said {
	t.Helper()
	miss := func(reason string) {
		t.Helper()
		if os.Getenv("CI") != "" {
			t.Fatal(reason)
		}
		t.Skip(reason)
	}
	node, err := exec.LookPath("node")
	if err != nil {
		miss("node is not installed, so no other codec hears ours: apt-get install nodejs npm")
	}
	env := os.Environ()
	if root, err := exec.Command("npm", "root", "-g").Output(); err == nil && os.Getenv("NODE_PATH") == "" {
		env = append(env, "NODE_PATH="+strings.TrimSpace(string(root)))
	}
	probe := exec.Command(node, "-e", `require("sacn")`)
	probe.Env = env
	if probe.Run() != nil {
		miss("the codec to compare with is not installed: npm install -g sacn@4.6.2")
	}
	cmd := exec.Command(node, "testdata/peer.js", strconv.Itoa(int(port)))
	cmd.Env, cmd.Stderr = env, os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := make(chan said, 1000)
	read := make(chan struct{})
	go func() {
		defer close(read)
		defer close(lines)
		for scan := bufio.NewScanner(out); scan.Scan(); {
			var s said
			if err := json.Unmarshal(scan.Bytes(), &s); err != nil {
				t.Errorf("%q: %v", scan.Text(), err)
			}
			lines <- s
		}
	}()
	t.Cleanup(func() {
		in.Close() // it ends by itself then
		<-read
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	})
	return lines
}

// A codec of other authors reads what we send, and we read what it sends.
func TestPeer(t *testing.T) {
	type heard struct {
		name            string
		priority        byte
		universe        uint16
		sequence, first byte
	}
	got := make(chan heard, 100)
	r := receive(t, ListenConfig{Addr: loopback4}, func(d *Datagram) {
		got <- heard{CleanName(d.Name), d.Priority, d.Universe, d.Sequence, d.Slots[0]}
	})
	lines := startPeer(t, r.Addr().Port())
	limit := time.After(30 * time.Second) // node is slow to start on a busy machine
	next := func() said {
		t.Helper()
		select {
		case s, ok := <-lines:
			if !ok {
				t.Fatal("the peer has ended")
			}
			return s
		case <-limit:
			t.Fatal("the peer says nothing")
		}
		panic("not reached")
	}
	port := next().Port
	for k := range 5 {
		select {
		case h := <-got:
			if want := (heard{"peer", 150, 4660, byte(254 + k), byte(k + 3)}); h != want {
				t.Errorf("theirs is read as %+v, want %+v", h, want)
			}
		case <-limit:
			t.Fatal("the peer's packets do not arrive")
		}
	}
	o, err := New(Config{
		To: []netip.AddrPort{netip.AddrPortFrom(loopback4.Addr(), port)}, Universes: []dmx.Universe{1, 63999},
		Source: "Kittiwake", Priority: new(200), CID: testCID, Sync: 7, Terminate: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	frames := make([]dmx.Frame, 2)
	sequences := map[int]int{}
	hear := func(options Options, slots bool) {
		t.Helper()
		for seen := 0; seen < len(frames); {
			s := next()
			i := slices.Index([]int{1, 63999}, s.Universe)
			if i < 0 {
				t.Fatalf("a packet for universe %d", s.Universe)
			}
			if s.Priority != 200 || s.Name != "Kittiwake" || s.Options != int(options) || s.Sync != 7 || s.Count != 513 ||
				s.CID != strings.ReplaceAll(testCID.String(), "-", "") || s.Sequence != sequences[s.Universe]%256 {
				t.Fatalf("ours is read as %+v, wanted number %d", s, sequences[s.Universe])
			}
			sequences[s.Universe]++
			if slots && s.Slots != hex.EncodeToString(frames[i][:]) {
				continue // a keep-alive of the frame before, on a slow machine
			}
			seen++
		}
	}
	for k := range 300 {
		for i := range frames {
			for s := range frames[i] {
				frames[i][s] = byte(k + 5*i + 11*s)
			}
		}
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
		hear(ForceSync, true)
	}
	if err := o.Close(); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		hear(ForceSync|StreamTerminated, false)
	}
}
