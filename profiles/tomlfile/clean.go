package tomlfile

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// clean makes a message safe for a terminal: control characters, marks that turn
// the direction of text, other invisible characters and broken UTF-8 are shown
// as escapes.
func clean(s string) string {
	for i, r := range s {
		if hidden(r) || r == utf8.RuneError {
			return s[:i] + cleanRest(s[i:])
		}
	}
	return s
}

func cleanRest(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		if hidden(r) || r == utf8.RuneError && n == 1 {
			q := strconv.Quote(s[i : i+n])
			b.WriteString(q[1 : len(q)-1])
		} else {
			b.WriteRune(r)
		}
		i += n
	}
	return b.String()
}

// hidden says whether a character would not be seen, or would act on a terminal.
// Other kinds of space than ' ' are not hidden: messages may contain them.
func hidden(r rune) bool {
	return r < ' ' || r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029')
}

// Quote repeats a text in a message: in quotation marks, cut to MaxQuoted
// characters, and with everything that cannot be seen as an escape.
func Quote(text string) string { return strconv.Quote(shorten(text)) }

// shorten cuts a text to MaxQuoted characters.
func shorten(text string) string {
	if len(text) <= MaxQuoted || utf8.RuneCountInString(text) <= MaxQuoted {
		return text
	}
	at, n := 0, 0
	for i := range text {
		if n == MaxQuoted-1 {
			at = i
			break
		}
		n++
	}
	return text[:at] + "…"
}
