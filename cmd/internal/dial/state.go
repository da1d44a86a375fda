package dial

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
)

// shape is the sign of a state: each has one of its own, so that no colour is
// needed to tell them apart.
type shape uint8

const (
	ringShape   shape = iota // nothing yet, and dark
	handShape                // a triangle: hands are needed
	halfShape                // a disc half filled: on its way
	discShape                // settled
	squareShape              // held
)

// state is what the light is doing.
type state struct {
	word   string
	shape  shape
	detail string
}

func (v *view) stateOf() state {
	s := v.snap
	switch {
	case s.Cue < 0 && s.CueName == "" && !s.Dark:
		return state{"not begun", ringShape, "no light is sent yet"}
	case s.Dark || s.Motion == cue.Dark:
		return state{"dark", ringShape, "the lights are told to be dark"}
	case s.Motion == cue.Waiting:
		n := len(s.Prompts)
		switch {
		case n == 0:
			return state{"waiting", handShape, "for you"}
		case n == 1:
			return state{"waiting", handShape, "1 thing to do by hand"}
		}
		return state{"waiting", handShape, fmt.Sprintf("%d things to do by hand", n)}
	case s.Motion == cue.Fading:
		return state{"fading", halfShape, percentWords(finite(s.Progress))}
	case s.Motion == cue.Held:
		return state{"held", squareShape, "at " + percentWords(finite(s.Progress))}
	case s.Motion == cue.Settled:
		return state{"settled", discShape, ""}
	}
	return state{clean(string(s.Motion)), ringShape, ""}
}

// moves says whether a fade is on its way or held there.
func (v *view) moves() bool {
	return !v.snap.Dark && (v.snap.Motion == cue.Fading || v.snap.Motion == cue.Held)
}

// whereOf is how the table stands.
func (v *view) whereOf() string {
	if !v.stood {
		return "nobody has told how the table stands"
	}
	at := degreesWords(v.azimuth)
	if v.speed != 0 {
		sense := "counter-clockwise"
		if v.speed < 0 {
			sense = "clockwise"
		}
		return fmt.Sprintf("table at %s, turning %s at %.3g°/s: keep clear", at, sense, math.Min(math.Abs(v.speed), cue.MaxTurnSpeed))
	}
	for i := range v.angles {
		if v.angles[i].now && v.angles[i].name != "" {
			return v.angles[i].name + ", " + at
		}
	}
	return "table at " + at
}

// overOf is what lies over the cue, in words.
func (v *view) overOf() []string {
	s := v.snap
	var out []string
	add := func(on bool, format string, args ...any) {
		if on {
			out = append(out, clean(fmt.Sprintf(format, args...)))
		}
	}
	add(s.Work, "work light")
	add(len(s.Looks) > 0, "look %s", strings.Join(s.Looks, ", "))
	add(s.Trimmed, "trims not kept")
	add(s.Offered, "the kept light; trims are put aside")
	add(s.Here, "from another angle's light, not kept")
	add(s.Whole != 0 && finite(s.Whole) == s.Whole, "whole set %s", plural(s.Whole))
	add(s.Exposure, "exposure is held")
	add(s.Pace > 0 && s.Pace != 1 && finite(s.Pace) == s.Pace, "fades at %s", times(s.Pace))
	add(s.Sequence != "", "%s: %d of %d", s.Sequence, s.Entry, s.Entries)
	return out
}

// plural is a number of stops with its unit.
func plural(stops float64) string {
	if math.Abs(stops) > 1.005 {
		return stopsWords(stops) + " stops"
	}
	return stopsWords(stops) + " stop"
}

// times is a factor of speed.
func times(f float64) string { return fmt.Sprintf("%.3g times the speed", f) }
