//go:build linux

package main

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx"
	"limn/dmx/artnet/artnettest"
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
