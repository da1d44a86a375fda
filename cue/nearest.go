package cue

import (
	"fmt"
	"math/bits"
	"strings"
	"unicode"
)

const (
	// maxListed is how many names a message lists when none is near.
	maxListed = 8
	// maxCompared is the longest text, in characters, that names are compared
	// with; theirs end at 64.
	maxCompared = 80
	// maxSlips is the most letters that may be wrong.
	maxSlips = 3
)

// Nearest is the name that text was probably meant to be, "" if none is near:
// at most a third of the letters are wrong, and never more than maxSlips. Of
// equally near names the first wins.
func Nearest(text string, names []string) string {
	want := fold(text)
	if len(want) > maxCompared {
		return ""
	}
	mask := letters(want)
	best, least := "", min(maxSlips, (len(want)+2)/3)+1
	for _, name := range names {
		have := fold(name)
		switch d := len(want) - len(have); {
		case d >= least, -d >= least, len(have) > maxCompared:
		case bits.OnesCount64(mask^letters(have)) >= 2*least: // d slips change at most 2d of the bits
		default:
			if d := slips(want, have); d < least {
				best, least = name, d
			}
		}
	}
	return best
}

// DidYouMean is `did you mean "x"?`, or the known names when none is near.
func DidYouMean(text string, names []string) string {
	if near := Nearest(text, names); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	switch n := len(names); {
	case n == 0:
		return "there are none yet"
	case n > maxListed:
		return fmt.Sprintf("known are %s and %d more", quoted(names[:maxListed]), n-maxListed)
	}
	return "known are " + quoted(names)
}

func quoted(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}

// fold takes away the differences that do not count.
func fold(s string) []rune {
	out := []rune(s)
	for i, r := range out {
		out[i] = unicode.ToLower(r)
	}
	return out
}

// letters is the set of letters, roughly: a bit for each sixty-fourth of them.
func letters(s []rune) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint(r) % 64)
	}
	return set
}

// slips counts the letters left out, put in, changed or swapped with their
// neighbour between a and b (optimal string alignment). b is at most
// maxCompared long.
func slips(a, b []rune) int {
	var rows [3][maxCompared + 1]int
	before, last, row := &rows[0], &rows[1], &rows[2]
	for j := range len(b) + 1 {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
