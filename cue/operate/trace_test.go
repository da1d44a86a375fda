package operate_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures/colour"
)

func program(t *testing.T, s *cue.Shoot, text string) []operate.Timed {
	t.Helper()
	p, err := operate.ParseProgram("program", text, s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// trace plays a program and returns the frames' states and how it ended.
func trace(t *testing.T, s *cue.Shoot, text string, frames int64) (states []cue.Motion, end operate.Ending) {
	t.Helper()
	end, err := operate.Trace(s, program(t, s, text), frames, func(f *operate.Frame) error {
		if f.K != int64(len(states)) {
			t.Fatalf("frame %d comes as the %dth", f.K, len(states))
		}
		states = append(states, f.Status.Motion)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return states, end
}

// sky fades 1 s, bulb lands by 0.75 s and settles by 1 s.
func TestTraceEndsOneFrameAfterItHasSettled(t *testing.T) {
	s := shoot("bow", "beam")
	states, end := trace(t, s, "0.5s next", 0)
	first := slices.Index(states, cue.Settled)
	for first >= 0 && first < 22 { // before the command all is quiet
		first++
	}
	settled := 22 + slices.Index(states[22:], cue.Settled)
	if end != operate.EndSettled || settled < 22+44 || len(states) != settled+2 {
		t.Errorf("%d frames, settled at %d, ends as %q", len(states), settled, end)
	}
	if slices.Contains(states, cue.Waiting) {
		t.Error("a program without confirm waits for hands")
	}
}

func TestTraceWaitsForACommandToCome(t *testing.T) {
	states, end := trace(t, shoot("bow", "beam"), "0s next; 10s dark", 0)
	if end != operate.EndSettled || states[len(states)-1] != cue.Dark || len(states) < 440+44 {
		t.Errorf("%d frames, the last %s, ends as %q", len(states), states[len(states)-1], end)
	}
}

func TestTraceForHands(t *testing.T) {
	s := shoot("bow", "beam")
	// The first confirm does for bow, nothing for beam: it can never settle.
	states, end := trace(t, s, "0s next; 5s confirm; 6s next", 0)
	if end != operate.EndWaiting || states[0] != cue.Waiting || states[220] != cue.Settled || states[len(states)-1] != cue.Waiting {
		t.Errorf("ends as %q, begins %s", end, states[0])
	}
	if n := len(states); n < 264+44 || n > 264+2*44 {
		t.Errorf("%d frames: it ends when all but the hands is done", n)
	}
	if _, end := trace(t, s, "0s next; 0.5s hold", 0); end != operate.EndHeld {
		t.Errorf("on a hold it ends as %q", end)
	}
}

func TestTraceForAGivenTime(t *testing.T) {
	for _, n := range []int64{1, 10, 1000} {
		states, end := trace(t, shoot("bow", "beam"), "0s next; 5s next", n)
		if int64(len(states)) != n || end != operate.EndOfTime {
			t.Errorf("%d frames, want %d; ends as %q", len(states), n, end)
		}
	}
}

func TestTraceStopsOnAnError(t *testing.T) {
	enough := errors.New("enough")
	s := shoot("bow")
	n := 0
	if _, err := operate.Trace(s, program(t, s, "0s next"), 0, func(*operate.Frame) error {
		n++
		return enough
	}); !errors.Is(err, enough) || n != 1 {
		t.Errorf("after %d frames: %v", n, err)
	}
}

func TestTraceTellsLight(t *testing.T) {
	s := shoot("bow", "beam")
	var last []operate.Told
	_, err := operate.Trace(s, program(t, s, "1s next; 4s next; 4s next; 8s dark"), 0, func(f *operate.Frame) error {
		asked := f.Asked[sky]
		switch f.K {
		case 0:
			if f.Cue != "" || f.Status.Live || asked.Y != 0 || asked.XY != white.XY() || f.Reached[sky].XY != white.XY() {
				t.Errorf("frame 0: %+v", f)
			}
		case 44:
			if f.Cue != "bow" || len(f.Said) != 1 || len(f.Said[0].Reply.Prompts) != 1 {
				t.Errorf("frame 44: %q, %+v", f.Cue, f.Said)
			}
		case 4 * 44:
			if f.Cue != "beam" || len(f.Said) != 2 || !f.Said[1].Reply.Refused || !strings.Contains(f.Said[1].Reply.Notices[0], "last cue") {
				t.Errorf("frame 176: %q, %+v", f.Cue, f.Said)
			}
		case 7 * 44:
			if math.Abs(asked.Y-0.25) > 1e-15 || math.Abs(f.Reached[sky].Y-0.25) > 1e-4 {
				t.Errorf("settled: asked %+v, reached %+v", asked, f.Reached[sky])
			}
			last = slices.Clone(f.Reached)
		}
		if f.K > 9*44 {
			if asked.Y != 0 || f.Reached[sky].Y != 0 {
				t.Errorf("in the dark: asked %+v, reached %+v", asked, f.Reached[sky])
			}
			if far(asked.XY, white.XY()) > 1e-9 || far(f.Reached[sky].XY, last[sky].XY) > 0.02 {
				t.Errorf("in the dark the last colour is lost: asked %+v, reached %+v", asked, f.Reached[sky])
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func far(a, b colour.XY) float64 { return a.UV().Distance(b.UV()) }
