package plan

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
)

// slateLetters are those that cannot be heard or read for a figure: no I, no O.
const slateLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ"

// Slates are short names of a shoot's cues for the radio, parallel to its cues: a
// letter for each angle in the order of the cues, and after it what tells a cue from
// the others of that angle: its look, else a number. "A", "A-dusk", "B", "B-2". No two
// are the same.
func Slates(s *cue.Shoot) []string {
	type stand struct {
		azimuth float64
		known   bool
	}
	letters := map[stand]string{}
	taken := map[string]bool{}
	out := make([]string, len(s.Cues))
	for i := range s.Cues {
		r := &s.Resolved[i]
		at := stand{known: r.HasAngle}
		if r.HasAngle {
			at.azimuth = math.Mod(math.Mod(math.Round(r.Azimuth*10), 3600)+3600, 3600)
		}
		letter, ok := letters[at]
		if !ok {
			letter = slateLetter(len(letters))
			letters[at] = letter
		}
		name := letter
		if looks := s.Cues[i].Looks; len(looks) > 0 {
			var words []string
			for _, l := range looks {
				words = append(words, cue.FileWord(l))
			}
			name += "-" + strings.Join(words, "-")
		}
		for n := 2; taken[name]; n++ {
			if try := fmt.Sprintf("%s-%d", name, n); !taken[try] {
				name = try
			}
		}
		taken[name] = true
		out[i] = name
	}
	return out
}

// slateLetter is the nth letter; after Z comes AA.
func slateLetter(n int) string {
	k := len(slateLetters)
	if n < k {
		return slateLetters[n : n+1]
	}
	return slateLetter(n/k-1) + slateLetters[n%k:n%k+1]
}

// CameraSettings is the camera of a cue in words: "f/16, 1/10 s, ISO 400"; "" where
// nothing is written.
func CameraSettings(s *cue.Shoot, r *cue.Resolved) string {
	l := lensOf(s, &r.Camera)
	return l.settings()
}
