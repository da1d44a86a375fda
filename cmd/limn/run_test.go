package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.uber.org/goleak"
)

// heardLine is one line of listen --json.
type heardLine struct {
	Version   int `json:"version"`
	Universes map[string]struct {
		From     string  `json:"from"`
		Senders  int     `json:"senders"`
		Rate     float64 `json:"rate"`
		Received int64   `json:"received"`
		Gaps     int64   `json:"gaps"`
		Changed  []int   `json:"changed"`
		Slots    string  `json:"slots"`
	} `json:"universes"`
	Light map[string]*struct {
		Kelvin *float64
		Level  float64
		Y      float64
	} `json:"light"`
}

// hears waits for a report that match accepts, after the first skip lines.
func (s *session) hears(skip int, what string, match func(*heardLine) bool) (heardLine, int) {
	s.t.Helper()
	var found heardLine
	_, n := s.out.line(s.t, skip, what, func(line string) bool {
		var h heardLine
		if err := json.Unmarshal([]byte(line), &h); err != nil {
			s.t.Fatalf("%v: %s", err, line)
		}
		found = h
		return match(&h)
	})
	return found, n
}

// levelOf is the level a source is told, -1 if it is told nothing.
func (h *heardLine) levelOf(source string) float64 {
	if l := h.Light[source]; l != nil {
		return l.Level
	}
	return -1
}

func near(got, want, within float64) bool { return math.Abs(got-want) <= within }

// The main job over a real socket: what run sends is what the shoot asks for,
// and a receiver that is taken away and brought back gets it again.
func TestRunAgainstListen(t *testing.T) {
	defer goleak.VerifyNone(t)
	probe, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "leave"))
	probe.interrupt()
	if status := probe.wait(); status != statusInterrupted {
		t.Fatalf("listen after Ctrl-C: status %d", status)
	}

	ear, _ := listener(t, "--artnet", addr, "--shoot", dir)
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	if quiet, _ := ear.hears(0, "a report", func(*heardLine) bool { return true }); len(quiet.Universes) != 0 {
		t.Errorf("something was sent before the first command: %+v", quiet)
	}

	desk.typed("")
	desk.out.says(t, "bow: settled")
	h, _ := ear.hears(0, "bow's light", func(h *heardLine) bool { return near(h.levelOf("sky"), 0.8, 0.001) })
	if !near(h.levelOf("lantern"), 0.5, 0.03) || h.Universes["1"].Gaps != 0 || h.Universes["1"].Senders != 1 {
		t.Errorf("bow: %+v", h)
	}
	if k := h.Light["sky"].Kelvin; k == nil || !near(*k, 5600, 60) {
		t.Errorf("bow's sky is told %v", k)
	}

	// Away, and back on the same port while it plays.
	ear.interrupt()
	ear.wait()
	desk.err.says(t, "output bench: down")
	desk.typed("go beam")
	desk.out.says(t, "beam: settled")
	back, _ := listener(t, "--artnet", addr, "--shoot", dir)
	back.hears(0, "beam's light", func(h *heardLine) bool {
		return near(h.levelOf("sky"), 0.2, 0.001) && h.levelOf("lantern") == 0
	})
	desk.err.says(t, "output bench: up")

	desk.typed("go bwo")
	desk.err.says(t, `did you mean "bow"?`)
	desk.typed("help")
	desk.out.says(t, "go CUE")
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("quit: status %d", status)
	}
	if got := desk.err.String(); !strings.Contains(got, "last frame three times, then silence") {
		t.Errorf("the end is not said: %s", got)
	}
	back.interrupt()
	back.wait()
}

// Ctrl-C ends a run by each output's policy.
func TestRunEndsByPolicy(t *testing.T) {
	defer goleak.VerifyNone(t)
	for policy, want := range map[string]float64{"leave": 0.8, "fade": 0, "dark": 0} {
		ear, addr := listener(t, "--artnet", "127.0.0.1:0")
		dir := shootWith(t, artNetTo(addr, policy))
		ear.interrupt()
		ear.wait()
		ear, _ = listener(t, "--artnet", addr, "--shoot", dir)
		desk := start(t, "run", dir, "--headless", "--do", "0s go bow")
		ear.hears(0, "bow's light", func(h *heardLine) bool { return near(h.levelOf("sky"), 0.8, 0.001) })
		desk.interrupt()
		if status := desk.wait(); status != statusInterrupted {
			t.Errorf("%s: status %d after Ctrl-C", policy, status)
		}
		ear.interrupt()
		ear.wait()
		var last heardLine
		for _, line := range strings.Split(strings.TrimSpace(ear.out.String()), "\n") {
			if err := json.Unmarshal([]byte(line), &last); err != nil {
				t.Fatal(err)
			}
		}
		if got := last.levelOf("sky"); !near(got, want, 0.001) {
			t.Errorf("%s: sky is left at %g, want %g", policy, got, want)
		}
	}
}

// A program's --for ends a run by itself, and a program plays as trace says it would.
func TestRunForEndsWell(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "leave"))
	desk := start(t, "run", dir, "--headless", "--do", "0s next; 0.5s next", "--for", "1.2s")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, desk.err)
	}
	desk.out.says(t, "beam: settled")
	ear.interrupt()
	ear.wait()

	trace := start(t, "trace", dir, "--do", "0s next; 0.5s next", "--json")
	if status := trace.wait(); status != statusDone {
		t.Fatalf("trace: status %d\n%s", status, trace.err)
	}
	lines := strings.Split(strings.TrimSpace(trace.out.String()), "\n")
	var end struct{ Frames map[string]string }
	if err := json.Unmarshal([]byte(lines[len(lines)-1]), &end); err != nil {
		t.Fatal(err)
	}
	var last heardLine
	heard := strings.Split(strings.TrimSpace(ear.out.String()), "\n")
	if err := json.Unmarshal([]byte(heard[len(heard)-1]), &last); err != nil {
		t.Fatal(err)
	}
	if last.Universes["1"].Slots != end.Frames["1"] {
		t.Errorf("run left the slots at\n%s, trace ends at\n%s", last.Universes["1"].Slots, end.Frames["1"])
	}
}

// Lights are not driven where nobody can be asked, unless --yes says so.
func TestRunAsksFirst(t *testing.T) {
	defer goleak.VerifyNone(t)
	// TEST-NET-1 of RFC 5737: no light hangs there.
	dir := shootWith(t, artNetTo("192.0.2.1", "leave"))
	for _, args := range [][]string{
		{"run", dir},
		{"run", dir, "--headless"},
		{"run", dir, "--do", "0s next", "--for", "1s"},
	} {
		s := start(t, args...)
		if status := s.wait(); status != statusUsage {
			t.Errorf("%v: status %d", args, status)
		}
		if got := s.err.String(); !strings.Contains(got, "192.0.2.1:6454") || !strings.Contains(got, "--yes") {
			t.Errorf("%v: %s", args, got)
		}
	}
}

// A receiver that has other figures for a light reads another colour from the
// same slots: that both agree when their figures do is no matter of course.
func TestReceiverWithOtherFiguresDiffers(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	ear.interrupt()
	ear.wait()
	dir := shootWith(t, artNetTo(addr, "leave"))
	other := shootWith(t, artNetTo(addr, "leave"))
	if err := os.Mkdir(filepath.Join(other, "profiles"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(other, "profiles", "own.toml"), []byte(`name = "bicolour-panel-16bit"
[[emitter]]
name = "warm"
colour = "2400 K"
flux = "1500 lm"
[[emitter]]
name = "cool"
colour = "7500 K"
flux = "2600 lm"
[[slot]]
at = 1
fine = 2
emitter = "warm"
[[slot]]
at = 3
fine = 4
emitter = "cool"
`), 0o666); err != nil {
		t.Fatal(err)
	}
	desk := start(t, "run", dir, "--headless", "--do", "0s go bow")
	desk.out.says(t, "bow: settled")
	var read [2]float64
	for i, figures := range []string{dir, other} {
		ear, _ := listener(t, "--artnet", addr, "--shoot", figures)
		h, _ := ear.hears(0, "the sky's colour", func(h *heardLine) bool {
			return h.Light["sky"] != nil && h.Light["sky"].Kelvin != nil
		})
		read[i] = *h.Light["sky"].Kelvin
		ear.interrupt()
		ear.wait()
	}
	desk.interrupt()
	desk.wait()
	if !near(read[0], 5600, 60) || near(read[1], 5600, 300) {
		t.Errorf("the rig's own figures read %.0f K, others %.0f K", read[0], read[1])
	}
}
