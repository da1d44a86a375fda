package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"limn/cue/plan/calc"
)

type calcFlags struct {
	list, json, explain bool
	batch               string
}

func newCalc(std stdio) *cobra.Command {
	var f calcFlags
	cmd := &cobra.Command{
		Use:   "calc FORMULA [KEY=VALUE ...]",
		Short: "The formulas by themselves: exposure, focus, light, flicker, power",
		Long: `Computes one of the formulas that the reports use. --list names them; a formula
by itself, or with --explain, shows its law, inputs, units, source and where it holds.
Lists are written 1,2,3 and tables 1,2;3,4.

A batch is lines of {"id": ..., "name": "dof-hyper", "inputs": {"f": 50, ...}};
each is answered by a line {"id": ..., "outputs": {...}}, or {"id": ..., "error": ...}.`,
		Example: `  limn calc --list
  limn calc dof-hyper f=50 N=8 c=0.03
  limn calc exp-lux N=17.6 t=0.02 S=800 --explain
  limn calc --batch problems.jsonl`,
		GroupID:           groupFigures,
		ValidArgsFunction: completeFormula,
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case f.batch != "":
				if len(args) > 0 || f.list {
					return usagef("a batch brings its own", "with --batch, %q is one word too many", strings.Join(args, " "))
				}
				return calcBatch(f.batch, std)
			case f.list:
				if len(args) > 0 {
					return usagef("limn calc "+args[0]+" --explain shows one formula", "--list takes no formula")
				}
				return listFormulas(&f, std)
			case len(args) == 0:
				return usagef("limn calc --list names them", "no formula is given")
			}
			return calcOne(args[0], args[1:], &f, std)
		},
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.list, "list", false, "list the formulas")
	fl.BoolVar(&f.explain, "explain", false, "show law, inputs, source and where it holds")
	fl.BoolVar(&f.json, "json", false, "one JSON object")
	fl.StringVar(&f.batch, "batch", "", "answer the lines of `FILE`; - is standard input")
	return cmd
}

func completeFormula(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []cobra.Completion
	if len(args) == 0 {
		for _, f := range calc.Formulas() {
			names = append(names, cobra.CompletionWithDesc(f.Name, f.Title))
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	}
	if f, err := calc.Find(args[0]); err == nil {
		for _, in := range f.In {
			names = append(names, cobra.CompletionWithDesc(in.Key+"=", fieldText(&in)))
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// calcOne computes one formula, or explains it where no input is given.
func calcOne(name string, words []string, f *calcFlags, std stdio) error {
	formula, err := calc.Find(name)
	if err != nil {
		return calcFault(err)
	}
	needed := false
	for _, in := range formula.In {
		needed = needed || in.Default == nil
	}
	if len(words) == 0 && needed {
		if f.json {
			return writeJSON(std.Out, formulaJSON(formula))
		}
		return explainFormula(std.Out, formula, nil)
	}
	inputs, err := readInputs(formula, words)
	if err != nil {
		return err
	}
	answer, err := formula.Solve(inputs)
	if err != nil {
		return calcFault(err)
	}
	if f.json {
		o := object{{"version", jsonVersion}, {"name", formula.Name}, {"outputs", outputsJSON(formula, answer)}}
		if answer.Outside != "" {
			o = append(o, member{"outside", answer.Outside})
		}
		if f.explain {
			o = append(o, formulaJSON(formula)[2:]...)
		}
		return writeJSON(std.Out, o)
	}
	if f.explain {
		if err := explainFormula(std.Out, formula, inputs); err != nil {
			return err
		}
		fmt.Fprintln(std.Out)
	}
	if err := answerText(std.Out, formula, answer); err != nil {
		return err
	}
	if answer.Outside != "" {
		note(std.Err, "outside of where the formula holds: %s", answer.Outside)
	}
	return nil
}

// readInputs reads KEY=VALUE words.
func readInputs(f *calc.Formula, words []string) (map[string]any, error) {
	inputs := map[string]any{}
	for _, word := range words {
		key, text, ok := strings.Cut(word, "=")
		if !ok {
			return nil, usagef("write KEY=VALUE, as in f=50", "%q is no input", word)
		}
		if _, twice := inputs[key]; twice {
			return nil, usagef("give it once", "%s is given twice", key)
		}
		var value any = text // an unknown key is Solve's to refuse
		for i := range f.In {
			if f.In[i].Key != key {
				continue
			}
			var what string
			if value, what = f.In[i].Read(text); what != "" {
				return nil, usagef("it is "+fieldText(&f.In[i]), "%s %s", key, what)
			}
		}
		inputs[key] = value
	}
	return inputs, nil
}

// calcFault is a fault of the inputs as the command line has it.
func calcFault(err error) error {
	what, cure := complaint(err)
	return usagef(cure, "%s", what)
}

func listFormulas(f *calcFlags, std stdio) error {
	if f.json {
		var all []object
		for _, formula := range calc.Formulas() {
			all = append(all, formulaJSON(formula)[1:])
		}
		return writeJSON(std.Out, object{{"version", jsonVersion}, {"formulas", all}})
	}
	w := tabwriter.NewWriter(std.Out, 0, 0, 2, ' ', 0)
	subject := ""
	for _, formula := range calc.Formulas() {
		if s, _, _ := strings.Cut(formula.Name, "-"); s != subject {
			if subject != "" {
				fmt.Fprintln(w)
			}
			subject = s
		}
		keys := make([]string, len(formula.In))
		for i := range formula.In {
			keys[i] = formula.In[i].Key
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", formula.Name, formula.Title, strings.Join(keys, " "))
	}
	return w.Flush()
}

// explainFormula shows what a formula is; with inputs, those that are not given too.
func explainFormula(w io.Writer, f *calc.Formula, inputs map[string]any) error {
	fmt.Fprintf(w, "%s: %s\n\n  %s\n\n", f.Name, f.Title, f.Law)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i := range f.In {
		in := &f.In[i]
		left := ""
		if in.Default != nil {
			left = fmt.Sprintf(" (%v where it is left out)", in.Default)
		}
		if given, ok := inputs[in.Key]; ok {
			left = fmt.Sprintf(" = %v", given)
		}
		fmt.Fprintf(t, "  in\t%s\t%s%s\n", in.Key, fieldText(in), left)
	}
	for i := range f.Out {
		fmt.Fprintf(t, "  out\t%s\t%s\n", f.Out[i].Key, fieldText(&f.Out[i]))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "\n  source: %s\n", f.Source)
	if f.Valid != "" {
		fmt.Fprintf(w, "  holds:  %s\n", f.Valid)
	}
	return nil
}

func fieldText(f *calc.Field) string {
	if f.Unit == "" {
		return f.Means
	}
	return f.Means + ", " + f.Unit
}
