package sacn

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// nameSize is the field of a source name (ANSI E1.31-2018, 6.2.2): UTF-8, ended by a zero.
const nameSize = 64

// MaxName is how many bytes of UTF-8 a source name may have.
const MaxName = nameSize - 1

// CleanName makes a source name fit for a screen: it ends at the first zero, and what would steer a terminal
// or turn its reading direction is left out; bytes that are no UTF-8 show as "?".
func CleanName(field []byte) string {
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

// CutName cleans a name and cuts it to [MaxName] bytes, not inside a character.
func CutName(s string) string {
	s = CleanName([]byte(s))
	if len(s) <= MaxName {
		return s
	}
	n := MaxName
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return strings.TrimSpace(s[:n])
}

// appendName writes a name's field. It goes as it is but for its length.
func appendName(dst []byte, name string) []byte {
	at := len(dst)
	dst = append(dst, make([]byte, nameSize)...)
	if len(name) > MaxName {
		name = CutName(name)
	}
	copy(dst[at:], name)
	return dst
}

// nameOf gives the bytes of a name's field up to its zero.
func nameOf(field []byte) ([]byte, bool) {
	i := bytes.IndexByte(field, 0)
	if i < 0 {
		return nil, false
	}
	return field[:i:i], true
}
