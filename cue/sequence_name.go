package cue

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// maxFileWord is the most characters of a name that go into the name of a file.
const maxFileWord = 24

// nameShots gives every picture a name for its files: of letters a to z, digits and
// hyphens alone, so that it is safe on every system; unique within the
// sequence, and sorting in the order they are taken.
//
//	harbour-0007-bow-p03-sky-f002
//	sequence, picture, cue, pass and its light, focus
//
// n is the frame of a cue that has several, x the exposure of several.
func nameShots(s *Shoot, q *Sequence, shots []Shot) {
	digits := max(4, len(fmt.Sprint(len(shots))))
	head := FileWord(q.Name)
	words := map[int]string{} // by cue
	for i := range shots {
		shot := &shots[i]
		name, ok := words[shot.Cue]
		if !ok {
			name = FileWord(s.Resolved[shot.Cue].Name)
			words[shot.Cue] = name
		}
		var b strings.Builder
		fmt.Fprintf(&b, "%s-%0*d-%s", head, digits, i+1, name)
		if q.frames(shot.Step) > 1 {
			fmt.Fprintf(&b, "-n%04d", shot.Frame)
		}
		if shot.Pass > 0 {
			light := "all"
			if shot.Alone >= 0 {
				light = FileWord(shot.Light)
			}
			fmt.Fprintf(&b, "-p%02d-%s", shot.Pass, light)
		}
		if shot.FocusNo > 0 {
			fmt.Fprintf(&b, "-f%03d", shot.FocusNo)
		}
		if q.Pictures.Exposures > 1 {
			fmt.Fprintf(&b, "-x%02d", shot.Exposure)
		}
		shot.Name, shot.split = b.String(), len(head)
	}
}

// FileWord is a name as it goes into the name of a file: a to z, digits and single
// hyphens between them, at most 24 characters. Letters lose their accents; what
// has none of those is "x".
func FileWord(name string) string {
	out := make([]byte, 0, maxFileWord)
	gap := false
	for _, r := range norm.NFKD.String(name) {
		r = unicode.ToLower(r)
		if unicode.Is(unicode.Mn, r) {
			continue // an accent on the letter before
		}
		if !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') {
			gap = true
			continue
		}
		if gap && len(out) > 0 {
			out = append(out, '-')
		}
		gap = false
		if len(out) >= maxFileWord {
			break
		}
		out = append(out, byte(r))
	}
	word := strings.TrimSuffix(string(out[:min(len(out), maxFileWord)]), "-")
	if word == "" {
		return "x"
	}
	return word
}
