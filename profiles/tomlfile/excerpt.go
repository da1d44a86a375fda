package tomlfile

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// excerptWidth is how much of a long line is shown, in columns of a terminal,
// with the fault in it.
const excerptWidth = 100

// tab is what a tab is shown as: its real width is the terminal's to choose, and
// the caret must stand below the right character.
const tab = "    "

// Excerpt is String with the line of src that the problem is in below it, and a
// caret below the place:
//
//	rig.toml:3:8: fade: "2.5 m" is a length, a time is wanted; write "2.5 s"
//	  3 | fade = "2.5 m"
//	    |        ^
//
// src is the file as it was given to Parse. Without a line there, it is String.
func (p Problem) Excerpt(src []byte) string {
	line, ok := nthLine(bytes.TrimPrefix(src, utf8Mark), p.Line)
	if !ok {
		return p.String()
	}
	// The caret's column is the width of what stands before it.
	before, rest := cutRunes(line, p.Col-1)
	before, rest = shown(before), shown(rest)
	if columns(before) > excerptWidth*2/3 {
		before = "…" + lastColumns(before, excerptWidth/3)
	}
	if room := excerptWidth - columns(before); columns(rest) > room {
		rest = firstColumns(rest, room) + "…"
	}
	number := fmt.Sprintf("%3d", p.Line)
	return fmt.Sprintf("%s\n%s | %s\n%s | %s^", p,
		number, before+rest, strings.Repeat(" ", len(number)), strings.Repeat(" ", columns(before)))
}

func nthLine(src []byte, line int) (string, bool) {
	if line < 1 {
		return "", false
	}
	for ; line > 1; line-- {
		i := bytes.IndexByte(src, '\n')
		if i < 0 {
			return "", false
		}
		src = src[i+1:]
	}
	return strings.TrimRight(string(src[:lineEnd(src, 0)]), "\r"), true
}

// cutRunes splits s after n characters, or at its end.
func cutRunes(s string, n int) (before, after string) {
	for i := range s {
		if n <= 0 {
			return s[:i], s[i:]
		}
		n--
	}
	return s, ""
}

// shown is a part of a line as it is printed.
func shown(s string) string {
	parts := strings.Split(s, "\t")
	for i := range parts {
		parts[i] = clean(parts[i])
	}
	return strings.Join(parts, tab)
}

// columns is how wide a terminal shows s.
func columns(s string) (n int) {
	for _, r := range s {
		n += runeColumns(r)
	}
	return n
}

func runeColumns(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0 // stands on the character before it
	case r >= 0x1100: // no wide character comes before
		if k := width.LookupRune(r).Kind(); k == width.EastAsianWide || k == width.EastAsianFullwidth {
			return 2
		}
	}
	return 1
}

func firstColumns(s string, n int) string {
	for i, r := range s {
		if n -= runeColumns(r); n < 0 {
			return s[:i]
		}
	}
	return s
}

func lastColumns(s string, n int) string {
	from := len(s)
	for from > 0 {
		r, size := utf8.DecodeLastRuneInString(s[:from])
		if n -= runeColumns(r); n < 0 {
			break
		}
		from -= size
	}
	return s[from:]
}
