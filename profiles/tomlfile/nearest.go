package tomlfile

import (
	"math"
	"math/bits"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// maxCompared is the longest name, in characters, that slips are looked for in.
const maxCompared = 64

// minPrefix is how many characters an abbreviation needs to stand for the one
// name that begins so.
const minPrefix = 3

// slips is how many slips of the keyboard a name of n characters may have and
// still be recognised: one in three to five characters, two up to eight, three
// from there. In one or two characters every other name would be near.
func slips(n int) int {
	switch {
	case n <= 2:
		return 0
	case n <= 5:
		return 1
	case n <= 8:
		return 2
	}
	return 3
}

// Nearest returns the nearest of names to text, if near enough to be a slip (""
// if none): a character too many, missing, wrong or swapped with its neighbour,
// capitals, or a hyphen, underscore and space taken for each other. Failing that
// it is the one name that text is the beginning of. Of equally near names the
// one with the same first letter wins, then the first.
func Nearest(text string, names []string) string {
	var wantRoom, haveRoom [maxCompared]rune
	want := fold(&wantRoom, text)
	if len(want) == 0 {
		return ""
	}
	mask := letters(want)
	best, bestCost := "", math.MaxInt
	begun, beginnings := "", 0
	for _, name := range names {
		have := fold(&haveRoom, name)
		if len(have) == 0 {
			continue
		}
		if len(want) >= minPrefix && len(have) > len(want) && slices.Equal(have[:len(want)], want) {
			begun, beginnings = name, beginnings+1
		}
		limit := slips(max(len(want), len(have)))
		// Two texts of distance d differ by d in length and in 2d of their letters at most.
		if abs(len(want)-len(have)) > limit || bits.OnesCount64(mask^letters(have)) > 2*limit {
			continue
		}
		d := distance(want, have)
		if d > limit {
			continue
		}
		cost := 2 * d
		if want[0] != have[0] {
			cost++
		}
		if cost < bestCost {
			best, bestCost = name, cost
		}
	}
	if best == "" && beginnings == 1 {
		return begun
	}
	return best
}

// fold takes away the differences that do not count. It returns nothing for a
// text that is longer than names are compared.
func fold(room *[maxCompared]rune, s string) []rune {
	n := 0
	for _, r := range s {
		if n == maxCompared {
			return nil
		}
		if r == '-' || r == '_' {
			r = ' '
		}
		room[n] = unicode.ToLower(r)
		n++
	}
	return room[:n]
}

// letters is the set of characters, roughly.
func letters(s []rune) (set uint64) {
	for _, r := range s {
		set |= 1 << (uint(r) % 64)
	}
	return set
}

// distance counts the insertions, deletions, substitutions and swaps of
// neighbours between a and b (Damerau-Levenshtein, each place edited once).
func distance(a, b []rune) int {
	var rows [3][maxCompared + 1]int
	two, one, row := &rows[0], &rows[1], &rows[2]
	for j := 0; j <= len(b); j++ {
		one[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d := min(one[j]+1, row[j-1]+1, one[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, two[j-2]+1)
			}
			row[j] = d
		}
		two, one, row = one, row, two
	}
	return one[len(b)]
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// DidYouMean is `did you mean "x"?`, or a listing of the known names when none is near.
func DidYouMean(text string, names []string) string {
	if near := Nearest(text, names); near != "" {
		return "did you mean " + Quote(near) + "?"
	}
	if len(names) == 0 {
		return "there is none to choose from"
	}
	var quoted []string
	for _, n := range names[:min(len(names), MaxListed)] {
		quoted = append(quoted, Quote(n))
	}
	list := strings.Join(quoted, ", ")
	if more := len(names) - MaxListed; more > 0 {
		list += " and " + strconv.Itoa(more) + " more"
	}
	return "known: " + list
}
