package serial

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the longest text of an adapter that is shown; a USB string has 126 characters at most.
const maxText = 126

// clean makes what a device wrote fit for a screen: what would steer a terminal or turn its
// reading direction is left out, bytes that are no UTF-8 show as "?".
func clean(s string) string {
	var out strings.Builder
	for n := 0; len(s) > 0 && n < maxText; n++ {
		r, size := utf8.DecodeRuneInString(s)
		switch {
		case r == utf8.RuneError && size == 1:
			out.WriteByte('?')
		case unicode.IsSpace(r):
			out.WriteByte(' ')
		case unicode.IsPrint(r): // neither control characters nor bidirectional marks
			out.WriteRune(r)
		}
		s = s[size:]
	}
	return strings.TrimSpace(out.String())
}
