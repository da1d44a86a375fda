package calc

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MaxValues is the most numbers of one input.
const MaxValues = 100_000

// values is the inputs and outputs of one computation.
type values struct {
	in, out map[string]any
	wrong   *InputError
}

func (v *values) n(key string) float64      { return v.in[key].(float64) }
func (v *values) list(key string) []float64 { return v.in[key].([]float64) }
func (v *values) rows(key string) [][]float64 {
	return v.in[key].([][]float64)
}
func (v *values) is(key string) bool { return v.in[key].(bool) }

func (v *values) put(key string, value any) { v.out[key] = value }

// refuse says what is wrong with the inputs; the first counts.
func (v *values) refuse(key, cure, what string, args ...any) {
	if v.wrong == nil {
		v.wrong = &InputError{Key: key, What: fmt.Sprintf(what, args...), Cure: cure}
	}
}

// positive refuses inputs that are not above 0.
func (v *values) positive(keys ...string) bool {
	for _, key := range keys {
		if !(v.n(key) > 0) {
			v.refuse(key, "write one above 0", "%s is %g", key, v.n(key))
			return false
		}
	}
	return true
}

// read brings a value into the form of its kind; what says what is wrong with it.
func (f *Field) read(given any) (value any, what string) {
	switch f.Kind {
	case Truth:
		if b, ok := given.(bool); ok {
			return b, ""
		}
		return nil, fmt.Sprintf("is %v, neither true nor false", given)
	case List:
		return numbers(given)
	case Matrix:
		return matrix(given)
	}
	x, ok := number(given)
	if !ok {
		return nil, fmt.Sprintf("is %v, not a number", given)
	}
	return x, ""
}

// number takes what JSON and Go call a number, as long as it is finite.
func number(given any) (float64, bool) {
	var x float64
	switch g := given.(type) {
	case float64:
		x = g
	case int:
		x = float64(g)
	default:
		return 0, false
	}
	return x, !math.IsNaN(x) && !math.IsInf(x, 0)
}

func numbers(given any) (any, string) {
	switch g := given.(type) {
	case []float64:
		return g, ""
	case []any:
		if len(g) > MaxValues {
			return nil, fmt.Sprintf("has %d numbers, more than %d", len(g), MaxValues)
		}
		list := make([]float64, len(g))
		for i := range g {
			x, ok := number(g[i])
			if !ok {
				return nil, fmt.Sprintf("has %v in the place %d, which is not a number", g[i], i+1)
			}
			list[i] = x
		}
		return list, ""
	}
	return nil, "is not a list of numbers"
}

func matrix(given any) (any, string) {
	switch g := given.(type) {
	case [][]float64:
		return g, ""
	case []any:
		rows, most := make([][]float64, len(g)), 0
		for i := range g {
			row, what := numbers(g[i])
			if what != "" {
				return nil, fmt.Sprintf("in row %d %s", i+1, what)
			}
			rows[i] = row.([]float64)
			if len(rows[i]) != len(rows[0]) || len(rows[i]) == 0 {
				return nil, fmt.Sprintf("has %d numbers in row %d, %d in row 1", len(rows[i]), i+1, len(rows[0]))
			}
			if most += len(rows[i]); most > MaxValues {
				return nil, fmt.Sprintf("has more than %d numbers", MaxValues)
			}
		}
		return rows, ""
	}
	return nil, "is not a list of rows"
}

// Read reads a value as it is written on a command line: 1.5, "1,2,3",
// "1,2;3,4", true. what says what is wrong with it.
func (f *Field) Read(text string) (value any, what string) {
	switch f.Kind {
	case Truth:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return nil, fmt.Sprintf("is %q, neither true nor false", text)
		}
		return b, ""
	case List:
		return list(text)
	case Matrix:
		var rows []any
		for _, row := range strings.Split(text, ";") {
			values, what := list(row)
			if what != "" {
				return nil, what
			}
			rows = append(rows, values)
		}
		return rows, ""
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(text, "\u2212", "-"), 64)
	if err != nil {
		return nil, fmt.Sprintf("is %q, not a number", text)
	}
	return x, ""
}

func list(text string) (any, string) {
	var values []any
	for _, word := range strings.Split(text, ",") {
		x, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil {
			return nil, fmt.Sprintf("has %q, which is not a number", word)
		}
		values = append(values, x)
	}
	return values, ""
}
