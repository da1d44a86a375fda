package tomlfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Entry is a key with the value it is to have: a string, bool, int, float64,
// []string, Inline or []Inline.
type Entry struct {
	Key   string
	Value any
}

// Inline is a table in braces.
type Inline []Entry

// style is how a file writes what is put into it.
type style struct {
	quote byte   // of texts
	pad   string // within braces
	colon string // what stands between key and value: " = "
}

var plainStyle = style{'"', " ", " = "}

// text is a text in quotation marks of the style, if it can stand in them.
func (s style) text(t string) string {
	if s.quote == '\'' && !strings.ContainsFunc(t, func(r rune) bool { return r == '\'' || r < ' ' && r != '\t' || r == 0x7f }) {
		return "'" + t + "'"
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range t {
		switch {
		case r == '"' || r == '\\':
			b.WriteString(`\` + string(r))
		case r < ' ' && r != '\t' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// key is a key, in quotation marks where it needs them.
func (s style) key(k string) string {
	if isBareKey(k) {
		return k
	}
	return s.text(k)
}

func (s style) entry(e Entry) string { return s.key(e.Key) + s.colon + s.value(e.Value) }

func (s style) value(v any) string {
	switch x := v.(type) {
	case string:
		return s.text(x)
	case bool:
		return strconv.FormatBool(x)
	case int:
		return strconv.Itoa(x)
	case float64:
		return decimal(x)
	case []string:
		return list(x, s.text)
	case Inline:
		return s.inline(x)
	case []Inline:
		return list(x, s.inline)
	}
	panic(fmt.Sprintf("no TOML value: %T", v)) // a mistake of ours
}

func (s style) inline(entries Inline) string {
	if len(entries) == 0 {
		return "{}"
	}
	parts := make([]string, len(entries))
	for i, e := range entries {
		parts[i] = s.entry(e)
	}
	return "{" + s.pad + strings.Join(parts, ", ") + s.pad + "}"
}

func list[T any](values []T, write func(T) string) string {
	parts := make([]string, len(values))
	for i, v := range values {
		parts[i] = write(v)
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// decimal is a number as people write it: whole ones without a point.
func decimal(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		panic("a number is wanted") // a mistake of ours
	}
	if x == 0 {
		x = 0 // nobody writes minus nought
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
