package files

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"limn/cue"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// measure is a quantity that only the geometry of a rig is told in: a number and
// its unit.
type measure struct {
	noun     string
	units    []string // first as we write it
	example  string
	min, max float64
}

var (
	voltages    = measure{"a voltage", []string{"V", "volt", "volts"}, "230 V", 1, cue.MaxVolts}
	currents    = measure{"a current", []string{"A", "amp", "amps", "ampere", "amperes"}, "16 A", 0.1, cue.MaxBreaker}
	energies    = measure{"what a battery holds", []string{"Wh"}, "98 Wh", 0.1, cue.MaxBattery}
	wires       = measure{"a wire's area", []string{"mm2", "mm²"}, "1.5 mm2", 0.01, cue.MaxWireArea}
	intensities = measure{"an intensity", []string{"cd", "candela"}, "1200 cd", 0.01, cue.MaxCandela}
	fluxes      = measure{"a luminous flux", []string{"lm", "lumen", "lumens"}, "2000 lm", 0.01, cue.MaxLumens}
)

// read reads the value of a key, 0 where there is none or it is wrong, which is said.
func (m *measure) read(t *tomlfile.Table, key string) float64 {
	v, _ := tomlfile.Read(t, key, m.parse)
	return v
}

// parse reads a text; the error says what is wrong and what would be right.
func (m *measure) parse(text string) (float64, error) {
	text = strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, text)
	trimmed := strings.TrimSpace(text)
	cut := strings.IndexFunc(trimmed, func(r rune) bool { return !strings.ContainsRune("0123456789.+-", r) })
	if cut < 0 {
		cut = len(trimmed)
	}
	number, unit := trimmed[:cut], strings.TrimSpace(trimmed[cut:])
	v, err := strconv.ParseFloat(number, 64)
	example := fmt.Sprintf("write for example %q", m.example)
	switch {
	case len(text) > quantity.MaxText || err != nil || math.IsInf(v, 0):
		return 0, &quantity.Error{What: fmt.Sprintf("%s is not %s", tomlfile.Quote(text), m.noun), Cure: example}
	case unit == "":
		return 0, &quantity.Error{What: fmt.Sprintf("%s has no unit", tomlfile.Quote(text)), Cure: fmt.Sprintf("write %q", number+" "+m.units[0])}
	}
	for _, u := range m.units {
		if !strings.EqualFold(u, unit) {
			continue
		}
		if v < m.min || v > m.max {
			return 0, &quantity.Error{
				What: fmt.Sprintf("%s is out of range", tomlfile.Quote(text)),
				Cure: fmt.Sprintf("%s lies in %g..%g %s", m.noun, m.min, m.max, m.units[0]),
			}
		}
		return v, nil
	}
	return 0, &quantity.Error{What: fmt.Sprintf("%s is not in %s, as %s is", tomlfile.Quote(text), m.units[0], m.noun), Cure: example}
}

// within reads a plain number of a range, 0 where there is none or it is wrong,
// which is said.
func (l *loader) within(t *tomlfile.Table, key string, least, most float64, example string) float64 {
	n, ok := t.Float(key)
	if ok && !(n >= least && n <= most) {
		l.ps.Error(t.ValuePos(key), fmt.Sprintf("it lies in %g..%g; write for example %s", least, most, example), "%s %g is out of range", key, n)
		return 0
	}
	return n
}
