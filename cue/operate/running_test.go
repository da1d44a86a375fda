package operate_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures"
)

// timed is a program of words, played with nothing confirmed but what it says.
func playedCues(t *testing.T, s *cue.Shoot, text string) (order []string, at []int64, notices []string) {
	t.Helper()
	_, err := operate.Trace(s, program(t, s, text), 0, func(f *operate.Frame) error {
		if n := len(order); f.Cue != "" && (n == 0 || order[n-1] != f.Cue) {
			order, at = append(order, f.Cue), append(at, f.K)
		}
		for _, x := range f.Said {
			notices = append(notices, x.Reply.Notices...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return order, at, notices
}

// A sequence by time goes on by itself: each step rests for its stay once it has settled.
func TestPlayByTime(t *testing.T) {
	s := kittiwake(t)
	order, at, _ := playedCues(t, s, `0s play "round the boat"`)
	want := []string{"bow", "beam", "stern quarter", "stern", "port quarter", "head on"}
	if !slices.Equal(order, want) {
		t.Fatalf("%v", order)
	}
	for i := 1; i < len(at); i++ {
		// 4 s of rest, and the fade before it.
		fade := int64(s.Resolved[s.CueIndex(want[i-1])].Fade * 44)
		if gap := at[i] - at[i-1]; gap < 4*44+fade || gap > 4*44+fade+3*44 {
			t.Errorf("%s lasts %d frames, with a fade of %d", want[i-1], gap, fade)
		}
	}
	order, _, _ = playedCues(t, s, `0s play "round the boat"; 8s stop`)
	if len(order) > 2 {
		t.Errorf("stopped, it goes on: %v", order)
	}
	order, _, _ = playedCues(t, s, `0s play "round the boat"; 3s go stern`)
	if !slices.Equal(order, []string{"bow", "stern"}) {
		t.Errorf("a cue called by hand does not end it: %v", order)
	}
	order, _, _ = playedCues(t, s, `0s play "round the boat"; 5s dark; 30s dark off; 31s stop`)
	if !slices.Equal(order, []string{"bow"}) {
		t.Errorf("it goes on in the dark: %v", order)
	}
}

// withFrames is the example shoot with a sequence by frame.
func withFrames(t *testing.T) *cue.Shoot {
	s := kittiwake(t)
	q := cue.Sequence{Name: "passes", By: cue.ByFrame, Steps: []cue.Step{{Cue: "bow"}, {Cue: "beam"}}}
	q.Pictures.Passes = []int{s.Rig.Index("sky"), s.Rig.Index("fill")}
	s.Sequences = append(s.Sequences, q)
	return s
}

// A sequence by frame waits for each picture: sky alone, fill alone, all, and the next cue.
func TestPlayByFrame(t *testing.T) {
	s := withFrames(t)
	e := engine(t, s, operate.Options{})
	l := &live{t: t, engine: e, k: -1, out: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
	l.try("picture 482")
	l.try("play passes")
	var seen []string
	for range 40 {
		l.settle()
		snap := l.snapshot()
		if snap.Sequence == "" {
			break
		}
		if len(snap.Prompts) == 0 {
			continue
		}
		text := snap.Prompts[len(snap.Prompts)-1]
		if strings.Contains(text, "fire") && (len(seen) == 0 || seen[len(seen)-1] != text) {
			seen = append(seen, text)
			if strings.Contains(text, "sky alone") {
				for i, src := range snap.Sources {
					if lit := src.Asked.Y > 0; lit != (s.Rig.Sources[i].Name == "sky") {
						t.Errorf("%s: source %d lit %v", text, i, lit)
					}
				}
			}
			if len(seen) == 2 {
				if r := l.try("missed the mirror was down"); r.Refused {
					t.Fatal(r.Notices)
				}
				if r := l.try("resume"); r.Refused {
					t.Fatal(r.Notices)
				}
				l.settle()
			}
		}
		if r := l.try("confirm"); r.Refused {
			t.Fatalf("at %q: %v", snap.Prompts, r.Notices)
		}
	}
	if len(seen) != 6 || !strings.Contains(seen[0], "frame 1 of 6, sky alone, image 482") || !strings.Contains(seen[5], "frame 6 of 6, all lights") {
		t.Errorf("%q", seen)
	}
}

// What runs by itself comes again with the commands that began it.
func TestReplayOfASequence(t *testing.T) {
	l := goLive(t, "", false)
	var ran [][][fixtures.UniverseSize]byte
	fill := func(n int) {
		for range n {
			l.k++
			l.engine.Fill(l.k, l.out)
			ran = append(ran, slices.Clone(l.out))
		}
	}
	fill(3)
	l.try(`play "round the boat"`)
	fill(300)
	l.try("trim sky down 1 stop")
	fill(400)
	l.try("hold")
	fill(50)
	l.try("resume")
	fill(600)
	l.engine.Tell()

	again := goLive(t, "", false)
	done := slices.DeleteFunc(l.done, func(d operate.Done) bool { return d.Auto })
	for k := range ran {
		for len(done) > 0 && done[0].K <= int64(k) {
			if _, err := again.engine.Replay(done[0].K, done[0].Command.String()); err != nil {
				t.Fatal(err)
			}
			done = done[1:]
		}
		if again.engine.Fill(int64(k), again.out) && !slices.Equal(again.out, ran[k]) {
			t.Fatalf("frame %d differs", k)
		}
	}
}

// A moving shot past a table that turns by itself: from the word rolling on the light
// follows the angle, and each cue's light stands as the table passes its angle.
func TestPlayByAngle(t *testing.T) {
	s := kittiwake(t)
	q := cue.Sequence{Name: "fly past", By: cue.ByAngle}
	for _, name := range []string{"head on", "bow", "stern", "port quarter"} {
		q.Steps = append(q.Steps, cue.Step{Cue: name})
	}
	q.Turning.Drive, q.Turning.Speed = cue.DriveConstant, 36
	s.Sequences = append(s.Sequences, q)
	e := engine(t, s, operate.Options{})
	l := &live{t: t, engine: e, k: -1, out: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
	if r := l.try("play fly past"); r.Refused {
		t.Fatal(r.Notices)
	}
	for range 20 {
		l.settle()
		snap := l.snapshot()
		if len(snap.Prompts) == 1 && strings.Contains(snap.Prompts[0], "rolling") {
			break
		}
		l.try("confirm")
	}
	l.no("cut", "does not wait for that")
	if r := l.try("rolling"); r.Refused {
		t.Fatalf("%v, at %q", r.Notices, l.snapshot().Prompts)
	}
	begun := l.k + 1
	closest := map[string]float64{}
	for range 9 * 44 {
		l.k++
		l.engine.Fill(l.k, l.out)
		snap := l.snapshot()
		for _, step := range q.Steps {
			res := &s.Resolved[s.CueIndex(step.Cue)]
			// The frame nearest to the angle is half a frame away at most: 0.41° at this speed.
			if math.Abs(cue.Turn(snap.Azimuth, res.Azimuth)) > 0.5 {
				continue
			}
			for i := range snap.Sources {
				if s.Rig.Sources[i].Hand {
					continue
				}
				off := math.Abs(snap.Sources[i].Asked.Y - res.Light[i].Asked.Y)
				closest[step.Cue] = max(closest[step.Cue], off)
			}
		}
	}
	for _, name := range []string{"bow", "stern", "port quarter"} {
		if off, passed := closest[name]; !passed || off > 0.02 {
			t.Errorf("%s is passed %v with light off by %g", name, passed, off)
		}
	}
	l.k = begun + 12*44
	l.settle()
	l.settle()
	if r := l.try("cut"); r.Refused {
		t.Errorf("%v, at %q", r.Notices, l.snapshot().Prompts)
	}
	l.settle()
	if snap := l.snapshot(); snap.Sequence != "" {
		t.Errorf("%s goes on: %q", snap.Sequence, snap.Prompts)
	}
}
