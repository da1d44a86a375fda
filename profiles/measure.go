package profiles

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// measure is a quantity that only profiles write: a number and its unit.
type measure struct {
	noun     string
	units    []string // first as we write it
	example  string
	min, max float64
}

var (
	lumens  = measure{"a luminous flux", []string{"lm", "lumen", "lumens"}, "1800 lm", 0, MaxFlux}
	kelvins = measure{"a colour temperature", []string{"K", "kelvin"}, "2700 K", 1000, 25000}
	nanos   = measure{"a wavelength", []string{"nm"}, "452 nm", MinPeak, MaxPeak}
	widths  = measure{"a width in wavelength", []string{"nm"}, "20 nm", MinWidth, MaxWidth}
	speeds  = measure{"a speed", []string{"deg/s", "°/s"}, "30 deg/s", -MaxSpeed, MaxSpeed}
)

// measureError is a text that is no such quantity.
type measureError struct{ what, cure string }

func (e *measureError) Error() string { return e.what + "; " + e.cure }

// parse reads a text; the error says what is wrong and shows what would be right.
func (m *measure) parse(text string) (float64, error) {
	number, unit := split(text)
	v, err := strconv.ParseFloat(number, 64)
	switch {
	case err != nil || math.IsInf(v, 0):
		return 0, m.fail("%s is not %s", quote(text), m.noun)
	case unit == "":
		return 0, &measureError{fmt.Sprintf("%s has no unit", quote(text)), fmt.Sprintf("write %q", number+" "+m.units[0])}
	}
	for _, u := range m.units {
		if !strings.EqualFold(u, unit) {
			continue
		}
		if v < m.min || v > m.max {
			return 0, &measureError{
				fmt.Sprintf("%s is out of range", quote(text)),
				fmt.Sprintf("%s lies in %g..%g %s", m.noun, m.min, m.max, m.units[0]),
			}
		}
		return v, nil
	}
	return 0, m.fail("%s is not in %s, as %s is", quote(text), m.units[0], m.noun)
}

func (m *measure) fail(format string, args ...any) error {
	return &measureError{fmt.Sprintf(format, args...), fmt.Sprintf("write for example %q", m.example)}
}

// split parts a text into its number, with an ASCII sign, and its unit.
func split(text string) (number, unit string) {
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\u2212':
			return '-'
		case unicode.Is(unicode.Zs, r):
			return ' '
		}
		return r
	}, text)
	text = strings.TrimSpace(text)
	i := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) })
	if i < 0 {
		i = len(text)
	}
	return text[:i], strings.TrimSpace(text[i:])
}

// maxQuoted is how many characters of a text a message repeats.
const maxQuoted = 40

func quote(text string) string {
	if r := []rune(text); len(r) > maxQuoted {
		text = string(r[:maxQuoted-1]) + "…"
	}
	return strconv.Quote(text)
}
