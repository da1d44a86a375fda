package operate

import (
	"fmt"
	"strings"

	"limn/fixtures/nearest"
)

// blanks are what may stand between words: a space that does not break a line
// comes with text copied from elsewhere.
const blanks = " \t\r\n\u00a0"

// find looks a name up: exact, else in any case if only one fits. cure is what
// to do where it is not found.
func find(name string, names []string) (found, cure string) {
	var alike []string
	for _, n := range names {
		if n == name {
			return n, ""
		}
		if strings.EqualFold(n, name) {
			alike = append(alike, n)
		}
	}
	switch len(alike) {
	case 0:
		return "", nearest.DidYouMean(name, names)
	case 1:
		return alike[0], ""
	}
	return "", fmt.Sprintf("mind the case: %q or %q", alike[0], alike[1])
}

// quote puts a name in double quotes, with a backslash before a quote or a
// backslash in it.
func quote(name string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(name) + `"`
}

// unquote reads the quoted text that s begins with, and says how many bytes it
// took; not ok where it does not end.
func unquote(s string) (text string, n int, ok bool) {
	var b strings.Builder
	for i := 1; i < len(s); i++ {
		switch c := s[i]; {
		case c == '"':
			return b.String(), i + 1, true
		case c == '\\' && i+1 < len(s):
			i++
			b.WriteByte(s[i])
		default:
			b.WriteByte(c)
		}
	}
	return "", len(s), false
}
