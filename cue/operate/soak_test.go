//go:build soak

package operate_test

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures"
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
