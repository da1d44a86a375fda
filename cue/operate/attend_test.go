package operate_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"limn/cue/operate"
	"limn/fixtures"
)

// What is queued is worked out ahead: the frame in which it becomes due does nothing slow.
func TestQueuedTrimsAreWorkedOutAhead(t *testing.T) {
	l := goLive(t, "", false)
	l.do("go beam")
	c, err := l.engine.Parse("trim everything down 1/3 stop, strokes 10 mired warmer")
	if err != nil {
		t.Fatal(err)
	}
	due := l.k + 40
	l.engine.DoAt(due, c)
	before := slices.Clone(l.out)
	allocs := testing.AllocsPerRun(30, func() {
		l.k++
		l.engine.Fill(l.k, l.out)
	})
	if !slices.Equal(before, l.out) {
		t.Error("it came early")
	}
	// The frames around the one in which it acts; what is told of it is the one
	// thing kept.
	more := testing.AllocsPerRun(30, func() {
		l.k++
		l.engine.Fill(l.k, l.out)
	})
	if l.k <= due || slices.Equal(before, l.out) {
		t.Fatal("it never came")
	}
	if allocs != 0 || more > 1 {
		t.Errorf("%g allocations a frame before, %g around it", allocs, more)
	}
}

// Commands for later that touch files are nobody's but Attend's: the frame thread
// passes them over, and what is queued behind them waits.
func TestAttendKeeps(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("go port quarter")
	l.do("trim fill to 70 lx")
	for i, text := range []string{"keep", "go stern"} {
		c, err := l.engine.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		l.engine.DoAt(l.k+5+int64(i), c)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); l.engine.Attend(ctx) }()
	defer func() { cancel(); <-done }()
	for deadline := time.Now().Add(20 * time.Second); ; {
		l.k++
		l.engine.Fill(l.k, l.out)
		if l.snapshot().CueName == "stern" {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("at %s", l.snapshot().CueName)
		}
		time.Sleep(time.Millisecond)
	}
	if !strings.Contains(l.file("cues.toml"), "70 lx") {
		t.Error("it was not kept before the next cue was called")
	}
}

// A long program typed ahead acts where each command says.
func TestManyQueued(t *testing.T) {
	s := kittiwake(t)
	text := ""
	for i := range 40 {
		text += []string{"trim sky down 0.1 stop", "next", "trim fill up 0.1 stop", "back"}[i%4] + "\n"
	}
	run := func(ahead bool) (frames [][][fixtures.UniverseSize]byte) {
		e := engine(t, s, operate.Options{AutoConfirm: true})
		out := make([][fixtures.UniverseSize]byte, len(e.Universes()))
		e.Fill(0, out)
		e.Do(operate.Command{Verb: operate.Next})
		k := int64(1)
		for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
			c, err := operate.Parse(line, s)
			if err != nil {
				t.Fatal(err)
			}
			at := int64(10 + 7*i)
			if ahead {
				e.DoAt(at, c)
				continue
			}
			for ; k < at; k++ {
				e.Fill(k, out)
				frames = append(frames, slices.Clone(out))
			}
			e.DoAt(at, c)
		}
		for ; k < 400; k++ {
			e.Fill(k, out)
			frames = append(frames, slices.Clone(out))
		}
		return frames
	}
	typed, queued := run(false), run(true)
	for k := range typed {
		if !slices.Equal(typed[k], queued[k]) {
			t.Fatalf("frame %d differs", k+1)
		}
	}
}
