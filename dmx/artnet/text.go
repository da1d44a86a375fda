package artnet

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Text makes what a stranger wrote into a fixed field fit for a screen: it ends at the first zero,
// and what would steer a terminal or turn its reading direction (control characters, bidirectional
// marks, characters without a width) is left out; bytes that are no UTF-8 show as "?". The
// standard asks for ASCII; some devices write UTF-8.
func Text(field []byte) string {
	if i := bytes.IndexByte(field, 0); i >= 0 {
		field = field[:i]
	}
	var out strings.Builder
	for len(field) > 0 {
		r, n := utf8.DecodeRune(field)
		field = field[n:]
		switch {
		case r == utf8.RuneError && n == 1:
			out.WriteByte('?')
		case unicode.IsSpace(r):
			out.WriteByte(' ')
		case unicode.IsPrint(r): // neither Cc nor Cf, where the bidirectional marks are
			out.WriteRune(r)
		}
	}
	return strings.TrimSpace(out.String())
}

// SetText writes s into a fixed field and fills the rest with zeros, the last byte
// always. It does not cut inside a character.
func SetText(field []byte, s string) {
	clear(field)
	n := len(field) - 1
	if len(s) > n {
		for n > 0 && !utf8.RuneStart(s[n]) {
			n--
		}
		s = s[:n]
	}
	copy(field, s)
}
