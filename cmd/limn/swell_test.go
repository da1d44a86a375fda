package main

import (
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx/pace"
)

// A swell begins and ends dark, has one crest in its period, and is far below three
// flashes a second (WCAG 2.2, 2.3.1, from memory).
func TestSwellIsGentle(t *testing.T) {
	g := glow{since: 1000}
	crests, rising := 0, true
	frames := int64(10 * swellPeriod / pace.Offset(1))
	for k := int64(0); k < frames; k++ {
		a, b := g.at(1000+k), g.at(1000+k+1)
		if d := int(b) - int(a); d > 10 || d < -10 {
			t.Fatalf("frame %d steps from %d to %d", k, a, b)
		}
		if rising && b < a {
			crests++
			rising = false
		} else if b > a {
			rising = true
		}
		if a > swellPeak {
			t.Fatalf("frame %d is %d", k, a)
		}
	}
	if crests != 10 || g.at(1000) != 0 || g.at(0) != 0 {
		t.Errorf("%d crests in 10 periods, begins at %d", crests, g.at(1000))
	}
	if perSecond := 1 / swellPeriod.Seconds(); perSecond > 1 {
		t.Errorf("%g swells a second", perSecond)
	}
	steady := glow{steady: true}
	if a, b := steady.at(0), steady.at(int64(44*swellPeriod/time.Second)); a != 0 || b != swellPeak {
		t.Errorf("a steady light goes from %d to %d", a, b)
	}
}

func TestParseSlots(t *testing.T) {
	for text, want := range map[string]glow{
		"21": {universe: 1, from: 21, to: 21}, "3:21": {universe: 3, from: 21, to: 21}, "1:1-512": {universe: 1, from: 1, to: 512},
	} {
		if got, err := parseSlots(text); err != nil || got != want {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "0", "513", "1:", ":1", "64000:1", "5-4", "1:2:3", "a"} {
		if _, err := parseSlots(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

// The named slots swell on the wire, no other does, and all is dark at the end.
func TestFindTest(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	s := start(t, "find", "--to", addr, "--test", "1:3-4", "--wait", "2.5s", "--yes")
	ear.hears(0, "a swell", func(h *heardLine) bool {
		slots := h.Universes["1"].Slots
		return len(slots) == 1024 && slots[4:8] != "0000" && slots[:4] == "0000" && slots[4:6] == slots[6:8] && strings.Trim(slots[8:], "0") == ""
	})
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d %s", status, s.err)
	}
	ear.hears(0, "darkness", func(h *heardLine) bool {
		return h.Universes["1"].Received > 50 && h.Universes["1"].Rate > 0 && strings.Trim(h.Universes["1"].Slots, "0") == ""
	})
	ear.interrupt()
	ear.wait()
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--test", "1"}, "nothing says where the light goes"},
		{[]string{"--test", "1", "--to", addr}, "add --yes"},
		{[]string{"--test", "2:1", "--to", addr, "--yes"}, "no output carries universe 2"},
		{[]string{"--test", "1", "--walk", "--to", addr}, "cannot stand together"},
	} {
		s := start(t, append([]string{"find"}, c.args...)...)
		if status := s.wait(); status != statusUsage || !strings.Contains(s.err.String(), c.want) {
			t.Errorf("%v: status %d: %s", c.args, status, s.err)
		}
	}
}

// The walk names what swells and prints its source; a profile takes its slots.
func TestFindWalk(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	s := start(t, "find", "--to", addr, "--walk", "--yes")
	says := func(question string) {
		t.Helper()
		s.err.line(t, 0, question, func(l string) bool { return strings.Contains(l, question) })
	}
	answer := func(line, next string) {
		t.Helper()
		s.typed(line)
		says(next)
	}
	answer("", "slot 1 swells. Name?")
	answer("sky", "slot 2 swells. Name?")
	answer("no-such-panel", "profile of sky (Enter = dimmer)?")
	s.err.says(t, `there is no profile "no-such-panel"`)
	answer("rgb-light", "profile of sky (Enter = dimmer)?")
	answer("21", "slot 5 swells. Name?")
	ear.hears(0, "slot 21", func(h *heardLine) bool {
		slots := h.Universes["1"].Slots
		return len(slots) == 1024 && slots[40:42] != "00"
	})
	answer("torch", "slot 21 swells. Name?")
	answer("", "profile of torch (Enter = dimmer)?")
	s.typed("q")
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d %s", status, s.err)
	}
	for i, want := range []string{
		"name     = \"sky\"\n", "profile  = \"rgb-light\"\nuniverse = 1\naddress  = 2\n", "name     = \"torch\"\n", "profile  = \"dimmer\"\nuniverse = 1\naddress  = 21\n",
	} {
		if !strings.Contains(s.out.String(), want) {
			t.Errorf("%d: %q is missing in %s", i, want, s.out)
		}
	}
	ear.interrupt()
	ear.wait()
}

// The pull test leads through a cable's absence and keeps what was seen.
func TestFindPullTest(t *testing.T) {
	defer goleak.VerifyNone(t)
	ear, addr := listener(t, "--artnet", "127.0.0.1:0")
	s := start(t, "find", shootWith(t, artNetTo(addr, "leave")), "--pull-test", "--yes")
	ear.hears(0, "the sky's light", func(h *heardLine) bool { return h.levelOf("sky") < 0 && h.Universes["1"].Received > 0 })
	s.typed("y")
	s.err.line(t, 0, "the request to pull", func(l string) bool { return strings.Contains(l, "Is a light on? [y/n]") })
	ear.interrupt()
	ear.wait()
	s.err.says(t, "output bench: down")
	s.typed("")
	s.typed("h")
	back, _ := listener(t, "--artnet", addr)
	s.typed("")
	s.typed("y")
	if status := s.wait(); status != statusDone {
		t.Fatalf("status %d %s", status, s.err)
	}
	if got := s.out.String(); !strings.HasPrefix(got, "bench: the light held when the cable was out; back ") || !strings.HasSuffix(got, ", as it was: good for a shoot\n") {
		t.Errorf("verdict %q", got)
	}
	back.interrupt()
	back.wait()
}
