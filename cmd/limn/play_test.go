package main

import (
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.uber.org/goleak"
)

// What was recorded is played to another receiver, which is told the same light.
func TestRecordAndPlay(t *testing.T) {
	defer goleak.VerifyNone(t)
	file := filepath.Join(t.TempDir(), "rehearsal.jsonl")
	ear, addr := listener(t, "--artnet", "127.0.0.1:0", "--record", file)
	dir := shootWith(t, artNetTo(addr, "leave"))
	desk := start(t, "run", dir, "--headless", "--do", "0s go bow; 0.5s go beam", "--for", "1.2s")
	if status := desk.wait(); status != statusDone {
		t.Fatalf("run: status %d %s", status, desk.err)
	}
	ear.hears(0, "the end of the run", func(h *heardLine) bool { return h.Universes["1"].Received > 20 })
	ear.interrupt()
	ear.wait()
	ear.err.says(t, "recorded ")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(text), `{"recording":"dmx","version":1,"started":"`) || !strings.Contains(string(text), `"protocol":"artnet","universe":1,"source":"127.0.0.1:`) {
		t.Errorf("the recording is %.300s", text)
	}

	// An existing file is left alone.
	again := start(t, "listen", "--artnet", "127.0.0.1:0", "--record", file)
	if status := again.wait(); status != statusFailed || !strings.Contains(again.err.String(), "what is there stays as it is") {
		t.Errorf("status %d: %s", status, again.err)
	}

	for _, to := range []string{"--shoot", "--to"} {
		other, otherAddr := listener(t, "--artnet", "127.0.0.1:0")
		args := []string{"listen", "--play", file, "--yes", to}
		if to == "--to" {
			args = append(args, otherAddr)
		} else {
			args = append(args, shootWith(t, artNetTo(otherAddr, "leave")))
		}
		play := start(t, args...)
		if status := play.wait(); status != statusDone {
			t.Fatalf("%s: status %d %s", to, status, play.err)
		}
		if !strings.Contains(play.err.String(), "played ") {
			t.Errorf("%s: %s", to, play.err)
		}
		want := lastTraced(t, dir, "0s go bow; 0.5s go beam; 1.2s confirm")
		other.hears(0, "the last light", func(h *heardLine) bool { return h.Universes["1"].Slots == hexOf(want) })
		other.interrupt()
		other.wait()
	}
}

// What is wrong with a recording or with where it goes is told before anything is sent.
func TestPlayRefuses(t *testing.T) {
	defer goleak.VerifyNone(t)
	dir := t.TempDir()
	good, bad, wrong := filepath.Join(dir, "good"), filepath.Join(dir, "bad"), filepath.Join(dir, "wrong")
	write(t, good, `{"recording":"dmx","version":1}`+"\n"+`{"t":0,"protocol":"artnet","universe":9,"slots":"ff"}`+"\n")
	write(t, bad, "slots\n")
	write(t, wrong, `{"recording":"dmx","version":1}`+"\n{}\n")
	for _, c := range []struct {
		args   []string
		status int
		want   string
	}{
		{[]string{"--play", filepath.Join(dir, "none"), "--to", "127.0.0.1", "--yes"}, statusFailed, "cannot read"},
		{[]string{"--play", bad, "--to", "127.0.0.1", "--yes"}, statusFiles, "this is no recording"},
		{[]string{"--play", good, "--yes"}, statusUsage, "nothing says where the light goes"},
		{[]string{"--play", good, "--to", "127.0.0.1"}, statusUsage, "add --yes"},
		{[]string{"--play", good, "--to", "239.255.0.1", "--yes"}, statusUsage, "is no single receiver"},
		{[]string{"--play", good, "--to", "127.0.0.1", "--universe", "64000", "--yes"}, statusUsage, "there is no universe 64000"},
		{[]string{"--play", good, "--to", "127.0.0.1:1", "--yes"}, statusFailed, "1 packet of artnet universe 9 were not sent"},
		{[]string{"--play", wrong, "--to", "127.0.0.1:1", "--yes"}, statusFailed, "line 2: it has no time"},
		{[]string{"--play", good, "--record", good}, statusUsage, "cannot stand together"},
	} {
		s := start(t, append([]string{"listen"}, c.args...)...)
		if status := s.wait(); status != c.status || !strings.Contains(s.err.String(), c.want) {
			t.Errorf("%v: status %d, want %d with %q\n%s", c.args, status, c.status, c.want, s.err)
		}
	}
}

func hexOf(slots []byte) string { return hex.EncodeToString(slots) }
