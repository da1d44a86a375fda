//go:build soak

package operate_test

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/fixtures/quantity"
)

// A day on the virtual clock: a random command every few seconds for 24 hours. A cue
// settles on the same bytes at night as in the morning, and the heap does not grow.
func TestADayOfCommands(t *testing.T) {
	const hours = 24
	s := kittiwake(t)
	names := s.CueNames()
	random := rand.New(rand.NewPCG(44, 24))
	var b strings.Builder
	for at := 0.0; at < hours*3600; at += 1 + 12*random.Float64() {
		word := fmt.Sprintf("go %q", names[random.IntN(len(names))])
		switch random.IntN(8) {
		case 0:
			word = "dark"
		case 1:
			word = "hold"
		case 2:
			word = "back"
		}
		fmt.Fprintf(&b, "%.3fs %s\n", at, word)
	}
	heap := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	commands := program(t, s, b.String())
	first := map[string][][fixtures.UniverseSize]byte{}
	var early uint64
	frames := int64(0)
	_, err := operate.Trace(s, commands, 0, func(f *operate.Frame) error {
		frames++
		if frames == 3600*44 { // by now every cue has been worked out
			early = heap()
		}
		if f.Status.Motion != cue.Settled {
			return nil
		}
		if want, ok := first[f.Cue]; !ok {
			first[f.Cue] = slices.Clone(f.Frames)
		} else if !slices.Equal(want, f.Frames) {
			return fmt.Errorf("frame %d: %q settled on other bytes than before", f.K, f.Cue)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(first) != len(names) {
		t.Errorf("%d of %d cues settled in a day", len(first), len(names))
	}
	if late := heap(); late > early+early/4 {
		t.Errorf("the heap grew from %d to %d bytes", early, late)
	}
	t.Logf("%d frames, %d commands", frames, len(commands))
}

// A day of a sequence that runs by itself, with trims on and off as it goes: every
// frame of it made in much less than a minute a core, the heap as it was in the
// first hour.
func TestADayOfASequence(t *testing.T) {
	const hours = 24
	s := kittiwake(t)
	q := cue.Sequence{Name: "day", By: cue.ByTime}
	names := s.CueNames()
	stay, err := quantity.ParseDuration("7 s")
	if err != nil {
		t.Fatal(err)
	}
	for len(q.Steps) < cue.MaxSteps {
		q.Steps = append(q.Steps, cue.Step{Cue: names[len(q.Steps)%len(names)], Stay: &stay})
	}
	s.Sequences = append(s.Sequences, q)
	e := engine(t, s, operate.Options{AutoConfirm: true})
	out := make([][fixtures.UniverseSize]byte, len(e.Universes()))
	heap := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	give := func(text string) {
		c, err := operate.Parse(text, s)
		if err != nil {
			t.Fatal(err)
		}
		e.Do(c)
	}
	give("play day")
	var early uint64
	var snap cue.Snapshot
	begun := time.Now()
	entry := 0
	for k := int64(0); k < hours*3600*44; k++ {
		e.Fill(k, out)
		switch k {
		case 3600 * 44:
			early = heap()
		case 5000 * 44, 40000 * 44:
			give("trim sky down 1/3 stop")
		case 5001 * 44, 40001 * 44:
			give("undo trims")
		}
		if k%(3600*44) == 0 {
			e.Snapshot(&snap)
			if k > 0 && snap.Entry <= entry {
				t.Fatalf("after %d h it stands at step %d", k/3600/44, snap.Entry)
			}
			entry = snap.Entry
		}
	}
	if late := heap(); late > early+early/4 {
		t.Errorf("the heap grew from %d to %d bytes", early, late)
	}
	t.Logf("%d h in %v, at step %d of %d", hours, time.Since(begun), entry, len(q.Steps))
}
