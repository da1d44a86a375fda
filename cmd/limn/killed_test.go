//go:build unix

package main

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/pace"
)

// typist is limn as a process with somebody typing.
type typist struct {
	*process
	in io.WriteCloser
}

func startTyping(t *testing.T, args ...string) *typist {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &typist{process: &process{
		Cmd: &exec.Cmd{Path: self, Args: append([]string{"limn"}, args...)},
		out: newTranscript(), err: newTranscript(),
	}}
	p.Stdout, p.Stderr = p.out, p.err
	if p.in, err = p.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	limit := time.AfterFunc(patience, func() { p.Process.Kill() })
	t.Cleanup(func() {
		limit.Stop()
		p.Process.Kill()
		p.Wait()
	})
	return p
}

// within checks that frames are some of those of an undisturbed engine, in order, the first of them at
// most so many after the beginning.
func within(t *testing.T, what string, frames, engine []dmx.Frame, first int) {
	t.Helper()
	at := 0
	for i, f := range frames {
		from := at
		for at < len(engine) && engine[at] != f {
			at++
		}
		switch {
		case at == len(engine):
			t.Fatalf("%s: frame %d of %d that came is none of the undisturbed ones from %d on", what, i, len(frames), from)
		case i == 0 && at > first:
			t.Errorf("%s: the first that came is %d frames on", what, at)
		}
	}
}

// Killed at any moment, a run goes on as if nothing had been: the frames after it are those of an engine that was
// given the same commands and never disturbed.
func TestKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	b := newBand(t)
	words := []string{
		"next", "back", "go beam", "trim sky down 1/3 stop", "undo", "redo", "hold", "resume", "whole up 1/2 stop", "dark", "dark off",
		"alone sky", "alone off", "without lantern", "with lantern", "look low on", "quicker",
	}
	for round := range uint64(4) {
		rnd := rand.New(rand.NewPCG(round, 7))
		dir := shootWith(t, artNetTo(b.address, "leave"))
		edit(t, dir, "cues.toml", `fade = "0.2 s"`, `fade = "0.9 s"`)
		edit(t, dir, "cues.toml", "", "\n[look.low]\nsky = \"10 %\"\n")
		p := startTyping(t, "run", dir)
		p.err.says(t, "nothing is sent before the first command")
		fmt.Fprintln(p.in, "next")
		p.out.says(t, "bow: fading")
		killed := time.After(time.Duration(200+rnd.IntN(1500)) * time.Millisecond)
		for dead := false; !dead; {
			select {
			case <-killed:
				p.Process.Kill()
				dead = true
			case <-time.After(time.Duration(rnd.IntN(300)) * time.Millisecond):
				fmt.Fprintln(p.in, words[rnd.IntN(len(words))])
			}
		}
		p.ended()
		before := b.take()

		// A program cannot go on in the middle, and says what to do.
		refused := start(t, "run", dir, "--do", "0s next")
		if status := refused.wait(); status != statusUsage || !strings.Contains(refused.err.String(), "--fresh") {
			t.Errorf("--do after a crash: status %d, %s", status, refused.err)
		}

		run := lastRun(t, dir)
		if run.Ended || run.Commands == 0 {
			t.Fatalf("%+v", run)
		}
		after := startTyping(t, "run", dir, "--for", "1.5s")
		after.err.says(t, "broke off and goes on: ")
		if st := after.ended(); st.ExitStatus() != statusDone {
			t.Errorf("status %v\n%s", st, after.err)
		}
		engine := undisturbed(t, dir, run, run.Reached+3*pace.Rate)
		within(t, fmt.Sprintf("round %d before", round), before, engine, 1<<30)
		// A busy machine may miss some frames at the start.
		within(t, fmt.Sprintf("round %d after", round), b.take(), engine[run.Reached+1:], pace.Rate/2)
		replays(t, dir)
		t.Logf("round %d: killed after %d commands at frame %d", round, run.Commands, run.Reached)
	}
}

// --fresh leaves a run that broke off alone; so does an end that was meant.
func TestFresh(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1:1", "leave"))
	p := startTyping(t, "run", dir)
	p.err.says(t, "nothing is sent before the first command")
	fmt.Fprintln(p.in, "go beam")
	p.out.says(t, "beam: settled")
	p.Process.Kill()
	p.ended()
	s := start(t, "run", dir, "--fresh")
	s.err.says(t, "the run that broke off is left alone")
	s.err.says(t, "nothing is sent before the first command")
	s.typed("status")
	s.out.says(t, "nothing has been called yet")
	s.typed("quit")
	s.wait()
	s = start(t, "run", dir)
	s.err.says(t, "nothing is sent before the first command")
	if strings.Contains(s.err.String(), "broke off") {
		t.Error("a run that ended is taken up")
	}
	s.typed("quit")
	s.wait()
}

// Files that were edited after a crash fade in over the light there was; files with errors leave it.
func TestEditedAfterCrash(t *testing.T) {
	b := newBand(t)
	dir := shootWith(t, artNetTo(b.address, "leave"))
	p := startTyping(t, "run", dir)
	p.err.says(t, "nothing is sent before the first command")
	fmt.Fprintln(p.in, "next")
	p.out.says(t, "bow: settled")
	fmt.Fprintln(p.in, "trim lantern up 1/2 stop")
	p.out.says(t, "lantern 70")
	p.Process.Kill()
	p.ended()
	lit := b.take()
	held := lit[len(lit)-1]
	recent := lit[max(0, len(lit)-pace.Rate):] // what is on record of the frame reached is half a second old at most

	edit(t, dir, "cues.toml", `sky = "80 %"`, `sky = "80"`)
	s := start(t, "run", dir)
	s.err.says(t, "cues.toml:")
	s.err.says(t, "have errors; the light comes back as it was before")
	s.out.says(t, "bow: ")
	s.typed("status")
	s.out.says(t, "trimmed: lantern")
	edit(t, dir, "cues.toml", `sky = "80"`, `sky = "40 %"`)
	s.out.says(t, "the changed files are in")
	_, n := s.out.line(t, 0, "the edit", func(l string) bool { return strings.Contains(l, "the changed files are in") })
	s.out.line(t, n, "the end of its fade", func(l string) bool { return strings.Contains(l, "bow: settled") })
	s.typed("quit")
	s.wait()
	got := b.take()
	if len(got) < 2 || !slices.Contains(recent, got[0]) {
		t.Fatalf("%d frames, the first %x, held %x", len(got), got[0][:20], held[:20])
	}
	if sky := got[len(got)-1][0]; sky >= held[0] {
		t.Errorf("the edit did not fade in: %d after %d", sky, held[0])
	}
	replays(t, dir)
}

// A picture that was being taken when the run broke off may have been taken: the operator says so, whoever takes the
// next ones.
func TestKilledAtAPicture(t *testing.T) {
	dir := shootWith(t, artNetTo(deaf(t), "leave"))
	edit(t, dir, "cues.toml", "", passes)
	p := startTyping(t, "run", dir, "--capture", "sleep 600")
	p.err.says(t, "nothing is sent before the first command")
	fmt.Fprintln(p.in, "play passes")
	p.out.says(t, "picture 1 of 3: ")
	// The frame reached must be on record beyond the picture's.
	for lastRun(t, dir).Reached < 60 {
		<-time.After(50 * time.Millisecond)
	}
	p.Process.Kill()
	p.ended()
	s := start(t, "run", dir, "--capture-dry")
	s.err.says(t, "a picture was being taken: confirm if it was, else missed REASON and resume")
	s.out.says(t, "frame 1 of 3, sky alone: fire, confirm")
	s.typed(`missed "the cable came out"`)
	s.out.says(t, "the cable came out; resume takes it again")
	s.typed("resume")
	for i := range 3 {
		s.out.says(t, fmt.Sprintf("picture %d of 3: ", i+1))
	}
	s.out.says(t, "the sequence is over")
	s.typed("quit")
	if status := s.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, s.err)
	}
	replays(t, dir)
}
