package main

import (
	"fmt"
	"strings"

	"limn/cue"
	"limn/fixtures/quantity"
)

// laidText says what lies over the cue, line by line: what status shows beyond
// the cue and what the light is doing.
func laidText(s *cue.Snapshot, shoot *cue.Shoot) []string {
	var lines []string
	line := func(format string, args ...any) { lines = append(lines, fmt.Sprintf(format, args...)) }
	name := func(i int) string { return shoot.Rig.Sources[i].Name }

	if s.Here {
		line("at %s, which no cue has; keep as NAME makes one", turnText(s.HereAt))
	}
	if len(s.Looks) > 0 {
		line("looks laid on: %s", strings.Join(s.Looks, ", "))
	}
	for i := range s.Sources {
		src := &s.Sources[i]
		if i < len(shoot.Rig.Sources) && src.Trimmed {
			line("trimmed: %s %s, kept %s", name(i), lightWords(src.Level, src.Colour), lightWords(src.KeptLevel, src.KeptColour))
		}
	}
	if s.Offered {
		line("this is the kept light; trimmed takes its trims again")
	}
	for _, one := range []struct {
		word string
		i    int
	}{{"alone", s.Alone}, {"aim", s.Aim}, {"identify", s.Identify}} {
		if one.i >= 0 {
			line("%s: %s; %[1]s off ends it", one.word, name(one.i))
		}
	}
	if len(s.Without) > 0 {
		out := make([]string, len(s.Without))
		for i, j := range s.Without {
			out[i] = name(j)
		}
		line("without %s", cue.ShortList(out))
	}
	if s.Whole != 0 {
		line("the whole set at %+.3g stops", s.Whole)
	}
	if s.Dark {
		line("dark; dark off brings the cue back")
	}
	if s.Work {
		line("work light is on")
	}
	if s.Exposure {
		line("trims hold the total: %s at the model", totalText(s))
	}
	if s.Pace != 0 && s.Pace != 1 {
		line("fades run %.3g times as fast as written", s.Pace)
	}
	return lines
}

// lightWords is a level and a colour, the colour left out where it is plain white.
func lightWords(level, colour string) string {
	if colour == "" || colour == "white" || level == "off" {
		return level
	}
	return level + " " + colour
}

// totalText adds up what is lit, as far as it has a reading.
func totalText(s *cue.Snapshot) string {
	sum := 0.0
	for i := range s.Sources {
		if lux := s.Sources[i].Lux; lux > 0 {
			sum += lux
		}
	}
	return quantity.Illuminance{}.With(sum).String()
}
