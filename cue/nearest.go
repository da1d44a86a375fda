package cue

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// maxListed is how many names a message lists when none is near.
const maxListed = 8

// Nearest is the name that text was probably meant to be, "" if none is near:
// at most a third of the letters differ, and never more than three.
func Nearest(text string, names []string) string {
	best, least := "", min(3, (utf8.RuneCountInString(text)+2)/3)+1
	for _, name := range names {
		if strings.EqualFold(text, name) {
			return name
		}
		if d := slips(text, name, least); d < least {
			best, least = name, d
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
	default:
		return "known are " + quoted(names)
	}
}

func quoted(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}

// slips counts the letters left out, put in, changed or swapped with their
// neighbour between a and b (optimal string alignment), in small letters. It
// gives up at limit, so that a long list of names stays cheap.
func slips(a, b string, limit int) int {
	x, y := []rune(strings.ToLower(a)), []rune(strings.ToLower(b))
	if d := len(x) - len(y); d >= limit || -d >= limit {
		return limit
	}
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least >= limit {
			return limit
		}
		before, last, row = last, row, before
	}
	return min(last[len(y)], limit)
}
