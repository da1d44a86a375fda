package tomlfile

import (
	"regexp"
	"strconv"
	"strings"

	"limn/fixtures/nearest"
)

// Read parses a text value with a quantity's parser and reports its error at the
// value's place. Numbers without quotation marks are passed as text, so that the
// parser can ask for the unit. An error that reads "what is wrong; what would be
// right" is taken apart at the first semicolon outside quotation marks. ok is
// false if the key is absent, silently, or cannot be parsed.
func Read[T any](t *Table, key string, parse func(string) (T, error)) (T, bool) {
	v, ok := t.Value(key)
	if !ok {
		var none T
		return none, false
	}
	return ReadValue(v, parse)
}

// ReadValue is Read for a value at hand, such as an entry of a list.
func ReadValue[T any](v Value, parse func(string) (T, error)) (T, bool) {
	var none T
	if v.in == nil {
		return none, false
	}
	text, ok := v.asText()
	if !ok {
		v.in.d.ps.Error(v.Pos(), "write "+written(v.key)+` = "..."`, "%s is %s, a text is wanted", written(v.key), v.found())
		return none, false
	}
	out, err := parse(text)
	if err != nil {
		what, cure := splitError(err.Error())
		v.in.d.ps.Error(v.Pos(), cure, "%s: %s", written(v.key), what)
		return none, false
	}
	return out, true
}

var decimalNumber = regexp.MustCompile(`^[+-]?[0-9]+(\.[0-9]+)?$`)

// asText is a text, or a number as one would write it in a text.
func (v Value) asText() (string, bool) {
	switch x := v.v.(type) {
	case string:
		return x, true
	case int64:
		if raw := v.raw(); decimalNumber.MatchString(raw) {
			return raw, true
		}
		return strconv.FormatInt(x, 10), true
	case float64:
		if raw := v.raw(); decimalNumber.MatchString(raw) {
			return raw, true
		}
		return strconv.FormatFloat(x, 'f', -1, 64), true
	}
	return "", false
}

// splitError takes an error apart into what is wrong and what would be right.
func splitError(text string) (what, cure string) {
	quoted := false
	for i := 0; i < len(text); i++ {
		switch {
		case text[i] == '\\' && quoted:
			i++
		case text[i] == '"':
			quoted = !quoted
		case !quoted && strings.HasPrefix(text[i:], "; "):
			return text[:i], text[i+2:]
		}
	}
	return text, ""
}

// OneOf reads a text that must be one of names; another one is reported with the
// nearest of them. ok is false if the key is absent, silently, or wrong.
func (t *Table) OneOf(key string, names ...string) (string, bool) {
	s, ok := t.String(key)
	if !ok {
		return "", false
	}
	for _, n := range names {
		if s == n {
			return s, true
		}
	}
	t.d.ps.Error(t.ValuePos(key), nearest.DidYouMean(s, names), "%s cannot be %s", written(key), Quote(s))
	return "", false
}
