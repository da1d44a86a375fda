package main

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"
)

// traced is one line of trace --json.
type traced struct {
	Version int                     `json:"version"`
	K       int64                   `json:"k"`
	T       float64                 `json:"t"`
	Cue     *string                 `json:"cue"`
	State   string                  `json:"state"`
	Azimuth float64                 `json:"azimuth"`
	Light   map[string]tracedLight  `json:"light"`
	Reached map[string]*tracedLight `json:"reached"`
	Frames  map[string]string       `json:"frames"`
}

type tracedLight struct {
	X, Small float64
	LittleY  float64
	Y        float64
}

// UnmarshalJSON keeps y and Y apart, which the standard decoder does not.
func (l *tracedLight) UnmarshalJSON(b []byte) error {
	var m map[string]float64
	if err := json.Unmarshal(b, &m); err != nil {
		return err
	}
	l.X, l.LittleY, l.Y = m["x"], m["y"], m["Y"]
	return nil
}

// traceJSON traces a program and gives its frames.
func traceJSON(t *testing.T, dir string, args ...string) []traced {
	t.Helper()
	var out, errs bytes.Buffer
	args = append([]string{"trace", dir, "--json"}, args...)
	if status := run(t.Context(), args, stdio{In: strings.NewReader(""), Out: &out, Err: &errs}); status != statusDone {
		t.Fatalf("%v: status %d\n%s", args, status, errs.String())
	}
	var frames []traced
	for line := range strings.Lines(out.String()) {
		var f traced
		if err := json.Unmarshal([]byte(line), &f); err != nil {
			t.Fatalf("%v: %s", err, line)
		}
		frames = append(frames, f)
	}
	return frames
}

// lastTraced is the 512 slots of universe 1 at the end of a program.
func lastTraced(t *testing.T, dir, program string) []byte {
	t.Helper()
	frames := traceJSON(t, dir, "--do", program)
	slots, err := hex.DecodeString(frames[len(frames)-1].Frames["1"])
	if err != nil || len(slots) != 512 {
		t.Fatalf("%d slots, %v", len(slots), err)
	}
	return slots
}

func TestTraceKeepsItsContract(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1", "leave"))
	frames := traceJSON(t, dir, "--do", "0.1s next; 1s next; 2s dark")
	for i, f := range frames {
		if f.Version != 1 || f.K != int64(i) || f.T != round6(float64(i)/44) {
			t.Fatalf("frame %d: version %d, k %d, t %v", i, f.Version, f.K, f.T)
		}
		if len(f.Light) != 2 || len(f.Reached) != 2 || len(f.Frames) != 1 || len(f.Frames["1"]) != 1024 {
			t.Fatalf("frame %d lacks something: %+v", i, f)
		}
	}
	// 0.1 s is frame ceil(4.4) = 5.
	if frames[4].Cue != nil || frames[5].Cue == nil || *frames[5].Cue != "bow" {
		t.Errorf("the first command does not act in frame 5: %v %v", frames[4].Cue, frames[5].Cue)
	}
	if f := frames[43]; f.State != "settled" || f.Light["sky"].Y <= 0 {
		t.Errorf("before the second command: %+v", f)
	}
	if f := frames[44]; *f.Cue != "beam" || f.State != "fading" {
		t.Errorf("the second command: %+v", f)
	}
	last := frames[len(frames)-1]
	if last.State != "dark" || last.Light["sky"].Y != 0 {
		t.Errorf("the end: %+v", last)
	}
	if before := frames[len(frames)-2]; before.State != "dark" || frames[len(frames)-3].State == "dark" {
		t.Errorf("it ends %s, %s, %s; one frame after it has settled is wanted",
			frames[len(frames)-3].State, before.State, last.State)
	}
	// Y = 0 keeps the last chromaticity.
	if last.Light["sky"].X != frames[87].Light["sky"].X || last.Light["lantern"].X != frames[43].Light["lantern"].X {
		t.Errorf("darkness has lost the colours: %+v", last.Light)
	}
}

func round6(v float64) float64 {
	var r float64
	if err := json.Unmarshal(appendFixed(nil, v, 6), &r); err != nil {
		panic(err)
	}
	return r
}

func TestTraceIsTheSameEveryTime(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1", "leave"))
	texts := [2]string{}
	for i := range texts {
		s := start(t, "trace", dir, "--json", "--do", "0s next; 0.3s back; 0.4s next; 1s go bow; 1.1s hold; 2s resume")
		if status := s.wait(); status != statusDone {
			t.Fatalf("status %d\n%s", status, s.err)
		}
		texts[i] = s.out.String()
	}
	if texts[0] != texts[1] {
		t.Error("the same program gave two different traces")
	}
}

func TestTraceChanges(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1", "leave"))
	all := traceJSON(t, dir, "--do", "0s next; 5s next")
	some := traceJSON(t, dir, "--do", "0s next; 5s next", "--changes")
	if len(some) >= len(all) || len(some) < 10 {
		t.Fatalf("%d of %d frames", len(some), len(all))
	}
	for i := 1; i < len(some); i++ {
		a, b := some[i-1], some[i]
		if a.Frames["1"] == b.Frames["1"] && a.State == b.State && a.Light["sky"] == b.Light["sky"] &&
			a.Light["lantern"] == b.Light["lantern"] && *a.Cue == *b.Cue {
			t.Errorf("frame %d repeats frame %d", b.K, a.K)
		}
	}
}

func TestTraceFor(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1", "leave"))
	frames := traceJSON(t, dir, "--do", "0s next", "--for", "2s")
	if last := frames[len(frames)-1]; last.K != 88 {
		t.Errorf("--for 2s ends at frame %d, want 88", last.K)
	}
}

func TestFramesIn(t *testing.T) {
	for _, c := range []struct {
		seconds float64
		want    int64
	}{{0, 0}, {1, 44}, {0.999, 43}, {0.5, 22}, {0.1, 4}, {3600, 158400}} {
		if got := framesIn(c.seconds); got != c.want {
			t.Errorf("%g s hold frames 0..%d, want %d", c.seconds, got, c.want)
		}
	}
}
