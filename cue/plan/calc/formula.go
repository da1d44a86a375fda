package calc

import (
	"fmt"
	"slices"
	"strings"

	"limn/fixtures/nearest"
)

// Kind is what a value is.
type Kind uint8

// The kinds of values.
const (
	Number Kind = iota
	List        // of numbers
	Matrix      // list of lists of numbers, all of one length
	Truth
)

// Field is one input or output.
type Field struct {
	Key     string
	Unit    string // "" where it is a plain number
	Means   string // in words
	Kind    Kind
	Default any // of an input that may be left out; nil = it may not
}

// Formula is one formula of the table.
type Formula struct {
	Name   string // "dof-hyper"
	Title  string // in words
	Law    string // in one line
	Source string // where it is published; or "common practice, no source"
	Valid  string // where it holds; "" = everywhere it makes sense
	In     []Field
	Out    []Field

	run func(*values)
	// out says why the inputs lie outside of what the formula holds for, "" where they do not.
	out func(*values) string
}

// Answer is what a formula gives.
type Answer struct {
	Outputs map[string]any // by key; a number may be infinite or not a number
	Outside string         // why the formula does not hold for these inputs; "" = it does
}

// InputError is what is wrong with the inputs of a formula.
type InputError struct {
	Formula, Key string // Key "" = none of them
	What, Cure   string
}

// Error is "what is wrong; what would be right".
func (e *InputError) Error() string { return e.What + "; " + e.Cure }

// Formulas lists all, by subject and name. The slice must not be written to.
func Formulas() []*Formula { return table }

// Find is the formula of a name. The error says which there is instead.
func Find(name string) (*Formula, error) {
	for _, f := range table {
		if f.Name == name {
			return f, nil
		}
	}
	names := make([]string, len(table))
	for i, f := range table {
		names[i] = f.Name
	}
	cure := "limn calc --list shows all"
	if near := nearest.Name(name, names); near != "" {
		cure = fmt.Sprintf("did you mean %q?", near)
	}
	return nil, &InputError{What: fmt.Sprintf("there is no formula %q", name), Cure: cure}
}

// Solve computes a formula. Inputs are as JSON has them: float64, []any, bool;
// also []float64 and [][]float64. The error is an *InputError.
func (f *Formula) Solve(inputs map[string]any) (Answer, error) {
	v := &values{in: map[string]any{}, out: map[string]any{}}
	for key := range inputs {
		if !slices.ContainsFunc(f.In, func(x Field) bool { return x.Key == key }) {
			return Answer{}, f.fault(key, f.known(key), "%s has no input %q", f.Name, key)
		}
	}
	for i := range f.In {
		field := &f.In[i]
		given, ok := inputs[field.Key]
		if !ok {
			if field.Default == nil {
				return Answer{}, f.fault(field.Key, "write "+field.example(), "%s needs %s: %s", f.Name, field.Key, field.meaning())
			}
			given = field.Default
		}
		read, what := field.read(given)
		if what != "" {
			return Answer{}, f.fault(field.Key, "write "+field.example(), "%s of %s %s", field.Key, f.Name, what)
		}
		v.in[field.Key] = read
	}
	a := Answer{Outputs: v.out}
	if f.out != nil {
		a.Outside = f.out(v)
	}
	if v.wrong == nil {
		f.run(v)
	}
	if v.wrong != nil {
		v.wrong.Formula = f.Name
		return Answer{}, v.wrong
	}
	return a, nil
}

func (f *Formula) fault(key, cure, what string, args ...any) error {
	return &InputError{Formula: f.Name, Key: key, What: fmt.Sprintf(what, args...), Cure: cure}
}

// known says which inputs there are, or which one was meant.
func (f *Formula) known(key string) string {
	keys := make([]string, len(f.In))
	for i := range f.In {
		keys[i] = f.In[i].Key
	}
	if near := nearest.Name(key, keys); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return "it takes " + strings.Join(keys, ", ")
}

// meaning is a field in words with its unit.
func (f *Field) meaning() string {
	if f.Unit == "" {
		return f.Means
	}
	return f.Means + ", " + f.Unit
}

func (f *Field) example() string {
	switch f.Kind {
	case List:
		return f.Key + "=1,2,3"
	case Matrix:
		return f.Key + "=1,2,3;4,5,6"
	case Truth:
		return f.Key + "=true or " + f.Key + "=false"
	}
	return f.Key + "=1.5"
}
