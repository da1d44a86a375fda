package plan

import (
	"math"
	"slices"
	"strings"

	"limn/cue/plan/calc"
)

// Figure is one figure of a report. Value is not a number where something is
// missing, or the figure has no meaning.
type Figure struct {
	Key   string // for programs: "lux-camera"
	Title string // in words
	Unit  string
	Value float64
	Text  string // as a photographer writes it, with its unit; "" where it is not known

	// Missing says what would have to be written, or why there is no such figure;
	// "" = it is known.
	Missing string

	Why Why
}

// Why is where a figure comes from.
type Why struct {
	Formula string // by its name in package calc; "" = it stands here alone
	Law     string
	Source  string
	Valid   string // where it holds
	Outside string // why it does not hold for these inputs; "" = it does
	Inputs  []Input
}

// Input is one value that went into a figure.
type Input struct {
	Key, Unit, Means string
	Value            float64
}

// Known says whether the figure has a value.
func (f *Figure) Known() bool { return f.Missing == "" && !math.IsNaN(f.Value) }

// as gives the figure its text: how value and unit are written.
func (f Figure) as(write func(float64) string) Figure {
	if f.Known() {
		f.Text = write(f.Value)
	}
	return f
}

// known is a value, or what is missing for it.
type known struct {
	value   float64
	missing string
}

func is(v float64) known           { return known{value: v} }
func lacks(what string) known      { return known{value: math.NaN(), missing: what} }
func (k known) ok() bool           { return k.missing == "" && !math.IsNaN(k.value) }
func (f *Figure) known() known     { return known{f.Value, f.Missing} }
func (k known) or(v float64) known { return map[bool]known{true: k, false: is(v)}[k.ok()] }

// term is an input of a formula by its key.
type term struct {
	key string
	known
}

func with(key string, k known) term { return term{key, k} }

// sep joins what is missing.
const sep = " and "

// missingOf joins what is missing of several inputs, each once.
func missingOf(in []term) string {
	var all []string
	for _, t := range in {
		if t.missing == "" {
			continue
		}
		for _, one := range strings.Split(t.missing, sep) { // itself of several
			if !slices.Contains(all, one) {
				all = append(all, one)
			}
		}
	}
	return strings.Join(all, sep)
}

// formulas is the table by name: reports ask it thousands of times.
var formulas = func() map[string]*calc.Formula {
	m := map[string]*calc.Formula{}
	for _, f := range calc.Formulas() {
		m[f.Name] = f
	}
	return m
}()

// ask computes one output of a formula of package calc.
func ask(key, title, formula, out string, in ...term) Figure {
	law := formulas[formula] // names are constants
	f := Figure{Key: key, Title: title, Value: math.NaN()}
	f.Why = Why{Formula: law.Name, Law: law.Law, Source: law.Source, Valid: law.Valid}
	for i := range law.Out {
		if law.Out[i].Key == out {
			f.Unit = law.Out[i].Unit
		}
	}
	inputs := map[string]any{}
	for _, t := range in {
		inputs[t.key] = t.value
		for i := range law.In {
			if law.In[i].Key == t.key {
				f.Why.Inputs = append(f.Why.Inputs, Input{t.key, law.In[i].Unit, law.In[i].Means, t.value})
			}
		}
	}
	if f.Missing = missingOf(in); f.Missing != "" {
		return f
	}
	answer, err := law.Solve(inputs)
	if err != nil {
		f.Missing = err.Error()
		return f
	}
	f.Why.Outside = answer.Outside
	switch v := answer.Outputs[out].(type) {
	case float64:
		f.Value = v
	default:
		panic("no such number: " + formula + " " + out)
	}
	return f
}

// law is a relation that stands here: plain geometry, or a sum.
type law struct{ text, source, valid string }

// figure is a figure by a law of this package.
func (l law) figure(key, title, unit string, value float64, in ...Input) Figure {
	return Figure{Key: key, Title: title, Unit: unit, Value: value, Why: Why{Law: l.text, Source: l.source, Valid: l.valid, Inputs: in}}
}

// absent is a figure that lacks something.
func (l law) absent(key, title, unit, missing string) Figure {
	f := l.figure(key, title, unit, math.NaN())
	f.Missing = missing
	return f
}
