package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"go.uber.org/goleak"
)

// airTo is an output block for one sACN receiver.
func airTo(name, addr, onExit string, priority int) string {
	return fmt.Sprintf(`
[[output]]
name = %q
kind = "sacn"
to = %q
universes = [1]
offset = 6
priority = %d
on-exit = %q
`, name, addr, priority, onExit)
}

// airListener starts listen for sACN and gives its address.
func airListener(t *testing.T, args ...string) (*session, string) {
	t.Helper()
	s := start(t, append([]string{"listen", "--json"}, args...)...)
	line := s.err.says(t, "listening for sACN on ")
	addr, _, _ := strings.Cut(strings.TrimPrefix(line, "listening for sACN on "), ";")
	return s, addr
}

// airLine is the sACN of one line of listen --json.
type airLine struct {
	Sacn map[string]struct {
		Conflict string
		Sources  []struct {
			Name            string
			Priority        int
			Present, Ended  bool
			InForce         bool `json:"in_force"`
			Received, Gaps  int64
			Rate, JitterMS  float64
			CID, From, Slot string
		}
	}
	Light map[string]*struct{ Level float64 }
}

func (s *session) hearsAir(what string, match func(*airLine) bool) airLine {
	s.t.Helper()
	var found airLine
	s.out.line(s.t, 0, what, func(line string) bool {
		found = airLine{}
		if err := json.Unmarshal([]byte(line), &found); err != nil {
			s.t.Fatalf("%v: %s", err, line)
		}
		return match(&found)
	})
	return found
}

// What run sends by sACN is what the shoot asks for; on-exit leave ends no stream, and
// fade does.
func TestRunAgainstListenBySACN(t *testing.T) {
	defer goleak.VerifyNone(t)
	state := t.TempDir()
	t.Setenv("XDG_STATE_HOME", state)
	var cids []string
	for _, onExit := range []string{"leave", "fade"} {
		ear, addr := airListener(t, "--sacn", "127.0.0.1:0")
		dir := shootWith(t, airTo("air", addr, onExit, 120))
		ear.interrupt()
		ear.wait()
		ear, _ = airListener(t, "--sacn", addr, "--shoot", dir)
		desk := start(t, "run", dir, "--headless", "--yes", "--do", "0s go bow")
		heard := ear.hearsAir("bow's light", func(h *airLine) bool {
			return h.Light["sky"] != nil && near(h.Light["sky"].Level, 0.8, 0.001)
		})
		u := heard.Sacn["7"] // universe 1 with offset 6
		if len(u.Sources) != 1 || u.Conflict != "" {
			t.Fatalf("%+v", heard)
		}
		s := u.Sources[0]
		if s.Name != "limn Kittiwake" || s.Priority != 120 || !s.InForce || s.Gaps != 0 {
			t.Errorf("%+v", s)
		}
		cids = append(cids, s.CID)
		desk.interrupt()
		if status := desk.wait(); status != statusInterrupted {
			t.Errorf("status %d: %s", status, desk.err)
		}
		if onExit == "fade" {
			ear.hearsAir("the end of the stream", func(h *airLine) bool {
				s := h.Sacn["7"].Sources
				return len(s) == 1 && s[0].Ended
			})
		}
		ear.interrupt()
		ear.wait()
		if onExit == "leave" && strings.Contains(ear.out.String(), `"ended":true`) {
			t.Error("on-exit = leave ended the stream")
		}
	}
	if cids[0] != cids[1] {
		t.Errorf("the sender has another CID in the next run: %v", cids)
	}
}

// Two senders of equal priority on one universe are a conflict, told in words.
func TestListenTellsOfTwoSenders(t *testing.T) {
	defer goleak.VerifyNone(t)
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	ear, addr := airListener(t, "--sacn", "127.0.0.1:0")
	one := start(t, "run", shootWith(t, airTo("air", addr, "leave", 100)), "--headless", "--yes", "--do", "0s go bow")
	one.out.says(t, "bow: ")
	two := start(t, "run", shootWith(t, airTo("second air", addr, "leave", 100)), "--headless", "--yes", "--do", "0s go beam")
	h := ear.hearsAir("two senders", func(h *airLine) bool { return h.Sacn["7"].Conflict != "" })
	if len(h.Sacn["7"].Sources) != 2 {
		t.Errorf("%+v", h)
	}
	for _, s := range []*session{one, two, ear} {
		s.interrupt()
		s.wait()
	}

	art, to := listener(t, "--artnet", "127.0.0.1:0")
	one = start(t, "run", shootWith(t, artNetTo(to, "leave")), "--headless", "--do", "0s go bow")
	one.out.says(t, "bow: ")
	two = start(t, "run", shootWith(t, artNetTo(to, "leave")), "--headless", "--do", "0s go beam")
	art.out.says(t, "2 senders on Port-Address 0:0:1 (1): 127.0.0.1:")
	for _, s := range []*session{one, two, art} {
		s.interrupt()
		s.wait()
	}
}

// Both protocols are heard at once, as text, with the slots as a table.
func TestListenAsText(t *testing.T) {
	defer goleak.VerifyNone(t)
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	ear := start(t, "listen", "--artnet", "127.0.0.1:0", "--sacn", "127.0.0.1:0", "--slots")
	addr := func(protocol string) string {
		line := ear.err.says(t, "listening for "+protocol+" on ")
		a, _, _ := strings.Cut(strings.TrimPrefix(line, "listening for "+protocol+" on "), ";")
		return a
	}
	dir := shootWith(t, airTo("air", addr("sACN"), "leave", 100)+artNetTo(addr("Art-Net"), "leave"))
	desk := start(t, "run", dir, "--headless", "--yes", "--do", "0s go bow")
	for _, want := range []string{"universe  from ", "    sACN  from ", "in force", "Art-Net universe 1", "sACN universe 7", "    1: "} {
		ear.out.says(t, want)
	}
	desk.interrupt()
	desk.wait()
	ear.interrupt()
	ear.wait()
}
