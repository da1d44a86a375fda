package cue

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// MaxLevelLength is the most bytes a written level may have.
const MaxLevelLength = 80

const levelCure = `write one of "60 %", "-1.5 stops" (below full), "key -2 stops", "850 lx", "off"`

// ParseLevel reads a level (see Level). The error is a *quantity.Error.
func ParseLevel(written string) (Level, error) {
	text := strings.TrimFunc(written, unicode.IsSpace)
	switch {
	case len(text) > MaxLevelLength || !utf8.ValidString(text):
		return Level{}, &quantity.Error{What: quote(text) + " is not a level", Cure: levelCure}
	case text == "":
		return Level{}, &quantity.Error{What: "a level is wanted, the text is empty", Cure: levelCure}
	case strings.EqualFold(text, "off"):
		return Level{text: text}, nil
	}
	if word, rest := cutKey(text); word != "" {
		return parseKey(text, rest)
	}
	if q, err := quantity.ParsePercent(text); err == nil {
		return Level{LevelPercent, q.Share, text}, nil
	}
	if q, err := quantity.ParseIlluminance(text); err == nil {
		return Level{LevelLux, q.Lux, text}, nil
	}
	q, err := quantity.ParseStops(text)
	switch {
	case err != nil:
		return Level{}, notLevel(text)
	case q.Stops > 0:
		cure := fmt.Sprintf(`write "-%[1]s" for stops below full, "key +%[1]s" for stops above the key`, strings.TrimLeft(text, "+ "))
		return Level{}, &quantity.Error{What: quote(text) + " is above full", Cure: cure}
	}
	return Level{LevelStops, q.Stops, text}, nil
}

// cutKey splits "key -2 stops" into "key" as written and the rest; word is ""
// where the text does not begin with the word key.
func cutKey(text string) (word, rest string) {
	if len(text) < 3 || !strings.EqualFold(text[:3], "key") {
		return "", text
	}
	if r, _ := utf8.DecodeRuneInString(text[3:]); text[3:] != "" && unicode.IsLetter(r) {
		return "", text
	}
	return text[:3], strings.TrimFunc(text[3:], unicode.IsSpace)
}

func parseKey(text, rest string) (Level, error) {
	if rest == "" {
		return Level{kind: LevelKey, text: text}, nil
	}
	q, err := quantity.ParseStops(rest)
	switch {
	case err != nil:
		return Level{}, &quantity.Error{What: fmt.Sprintf("%s: %s", quote(text), what(err)), Cure: `write stops against the key, as in "key -2 stops" or "key +1/3 stop"`}
	case q.Stops != 0 && !isMinus(rest) && !strings.HasPrefix(rest, "+"):
		cure := fmt.Sprintf(`write "key -%[1]s" (below the key) or "key +%[1]s" (above it)`, rest)
		return Level{}, &quantity.Error{What: quote(text) + " has no sign", Cure: cure}
	}
	return Level{LevelKey, q.Stops, text}, nil
}

// notLevel says why a text is no level, by the unit it seems to have.
func notLevel(text string) error {
	small := strings.ToLower(text)
	_, asPercent := quantity.ParsePercent(text)
	_, asStops := quantity.ParseStops(text)
	_, asLux := quantity.ParseIlluminance(text)
	switch {
	case strings.ContainsAny(small, "%") || strings.Contains(small, "per"):
		return asPercent
	case strings.Contains(small, "stop"):
		return asStops
	case strings.HasSuffix(small, "lx"), strings.HasSuffix(small, "lux"), strings.HasSuffix(small, "fc"):
		return asLux
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		cure := fmt.Sprintf(`write "%s %%", or "-1.5 stops" (below full), "key -2 stops", "850 lx"`, text)
		return &quantity.Error{What: quote(text) + " has no unit", Cure: cure}
	}
	if _, err := colour.ParseSpec(text); err == nil {
		cure := fmt.Sprintf(`write { colour = %q }, with a level beside it where one is wanted`, text)
		return &quantity.Error{What: quote(text) + " is a colour, a level is wanted", Cure: cure}
	}
	return &quantity.Error{What: quote(text) + " is not a level", Cure: levelCure}
}

// what is the first half of a quantity's error.
func what(err error) string {
	var q *quantity.Error
	if errors.As(err, &q) {
		return q.What
	}
	return err.Error()
}

// isMinus says whether a text begins with a minus sign, true minus and dashes included.
func isMinus(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return strings.ContainsRune("-\u2212\u2010\u2011\u2012\u2013\uFE63\uFF0D", r)
}

// maxQuoted is how many characters of a text a message repeats.
const maxQuoted = 40

func quote(text string) string {
	if r := []rune(text); len(r) > maxQuoted {
		text = string(r[:maxQuoted-1]) + "…"
	}
	return strconv.Quote(text)
}
