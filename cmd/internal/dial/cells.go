package dial

import (
	"unicode"

	"golang.org/x/text/width"
)

// cells is how many columns of a terminal a character takes (UAX #11; what is
// ambiguous there counts as narrow, as terminals outside of East Asia have it).
func cells(r rune) int {
	switch {
	case combines(r):
		return 0
	case r < 0x1100:
		return 1
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	if unicode.Is(unicode.Regional_Indicator, r) {
		return 2
	}
	return 1
}

// columns is how many columns a line takes.
func columns(text string) int {
	n := 0
	for _, r := range text {
		n += cells(r)
	}
	return n
}

// clip shortens a line to so many columns, with a sign that it was.
func clip(text string, most int) string {
	if columns(text) <= most {
		return text
	}
	if most <= 0 {
		return ""
	}
	used, end := 0, 0
	for i, r := range text {
		w := cells(r)
		if used+w > most-1 {
			break
		}
		used += w
		end = i + len(string(r))
	}
	return trimRight(text[:end]) + "…"
}
