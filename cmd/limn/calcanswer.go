package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"limn/cue/plan/calc"
)

// calcDigits is how many significant digits a computed figure is shown with:
// more than any of it is true to on a set, few enough to read.
const calcDigits = 4

// figureDigits is how many a program is given: all that check values have, less
// what binary fractions add.
const figureDigits = 12

// answerText prints the outputs, one a line.
func answerText(w io.Writer, f *calc.Formula, a calc.Answer) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i := range f.Out {
		out := &f.Out[i]
		value := figureText(a.Outputs[out.Key])
		if out.Unit != "" {
			value += " " + out.Unit
		}
		fmt.Fprintf(t, "%s\t%s\t%s\n", out.Key, value, out.Means)
	}
	return t.Flush()
}

// figureText is a value for people.
func figureText(value any) string {
	switch v := value.(type) {
	case float64:
		switch {
		case math.IsInf(v, 1):
			return "no limit"
		case math.IsInf(v, -1):
			return "none"
		case math.IsNaN(v):
			return "without meaning"
		case v != 0 && (math.Abs(v) >= 1e6 || math.Abs(v) < 1e-4):
			return strconv.FormatFloat(v, 'g', calcDigits, 64)
		}
		rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', calcDigits, 64), 64)
		if err != nil {
			return fmt.Sprint(v)
		}
		return strconv.FormatFloat(rounded, 'f', -1, 64)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case []float64:
		words := make([]string, len(v))
		for i := range v {
			words[i] = figureText(v[i])
		}
		return strings.Join(words, ", ")
	case [][]float64:
		words := make([]string, len(v))
		for i := range v {
			words[i] = figureText(v[i])
		}
		return strings.Join(words, "; ")
	}
	return fmt.Sprint(value)
}

// outputsJSON is the outputs in the formula's order.
func outputsJSON(f *calc.Formula, a calc.Answer) object {
	var o object
	for i := range f.Out {
		o = append(o, member{f.Out[i].Key, figureJSON(a.Outputs[f.Out[i].Key])})
	}
	return o
}

// figureJSON is a value as JSON has it: "inf" and "-inf" stand for no limit, null
// for what has no meaning.
func figureJSON(value any) any {
	switch v := value.(type) {
	case float64:
		switch {
		case math.IsInf(v, 1):
			return "inf"
		case math.IsInf(v, -1):
			return "-inf"
		case math.IsNaN(v):
			return nil
		}
		return digits{v, figureDigits}
	case []float64:
		list := make([]any, len(v))
		for i := range v {
			list[i] = figureJSON(v[i])
		}
		return list
	case [][]float64:
		list := make([]any, len(v))
		for i := range v {
			list[i] = figureJSON(v[i])
		}
		return list
	}
	return value
}

// formulaJSON is what a formula is; its first members are the version and the name.
func formulaJSON(f *calc.Formula) object {
	return object{
		{"version", jsonVersion},
		{"name", f.Name},
		{"title", f.Title},
		{"law", f.Law},
		{"source", f.Source},
		{"valid", f.Valid},
		{"inputs", fieldsJSON(f.In)},
		{"outputs_explained", fieldsJSON(f.Out)},
	}
}

func fieldsJSON(fields []calc.Field) []object {
	kinds := map[calc.Kind]string{calc.Number: "number", calc.List: "list", calc.Matrix: "matrix", calc.Truth: "truth"}
	out := make([]object, len(fields))
	for i := range fields {
		f := &fields[i]
		out[i] = object{{"key", f.Key}, {"unit", f.Unit}, {"means", f.Means}, {"kind", kinds[f.Kind]}}
		if f.Default != nil {
			out[i] = append(out[i], member{"default", f.Default})
		}
	}
	return out
}

// calcProblem is one line of a batch.
type calcProblem struct {
	ID     json.RawMessage `json:"id"`
	Name   string          `json:"name"`
	Inputs map[string]any  `json:"inputs"`
}

// calcBatch answers a batch, line by line, as the lines come in.
func calcBatch(name string, std stdio) error {
	in, err := openFile(name, std)
	if err != nil {
		return err
	}
	defer in.Close()
	out := bufio.NewWriter(std.Out)
	lines, bad := newLineReader(in), 0
	for {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil && !errors.Is(err, errLongLine) {
			return fmt.Errorf("reading %s: %w", name, err)
		}
		if err == nil && len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		answer, fault := object(nil), err
		if err == nil {
			answer, fault = calcLine(line)
		}
		if fault != nil {
			what, cure := complaint(fault)
			note(std.Err, "%s:%d: %s; %s", name, lines.number, what, cure)
			answer = append(answer, member{"error", what})
			bad++
		}
		if err := writeJSON(out, answer); err != nil {
			return err
		}
		if !lines.waiting() {
			if err := out.Flush(); err != nil {
				return err
			}
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	if bad > 0 {
		return failuref(statusFailed, "their lines have an error in place of outputs", "%s could not be computed", count(bad, "line"))
	}
	return nil
}

// calcLine answers one line; on an error the answer so far is its id.
func calcLine(line []byte) (object, error) {
	var p calcProblem
	dec := json.NewDecoder(bytes.NewReader(line))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil {
		return nil, &calc.InputError{What: "this is no problem", Cure: `a line is {"id": 1, "name": "dof-hyper", "inputs": {"f": 50, "N": 8, "c": 0.03}}`}
	}
	id := member{"id", p.ID}
	if p.ID == nil {
		id.value = nil
	}
	f, err := calc.Find(p.Name)
	if err != nil {
		return object{id}, err
	}
	a, err := f.Solve(p.Inputs)
	if err != nil {
		return object{id}, err
	}
	return object{id, {"outputs", outputsJSON(f, a)}}, nil
}
