package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"limn/cue/plan"
)

func newPower(std stdio) *cobra.Command {
	var cues []string
	var asJSON, explain bool
	cmd := &cobra.Command{
		Use:   "power [SHOOT]",
		Short: "Watts and amperes of every cue, circuits, cables, battery, heat",
		Long: `Adds up what the lights draw in each cue, what each circuit then carries against what
it may carry for hours, what low-voltage cables lose, how long a battery lasts, and
the heat that the light brings to the model. Planning figures, each with its caution:
a qualified person decides what a circuit may carry.`,
		Example: `  limn power harbour
  limn power harbour --explain
  limn power harbour --json`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			shoot, _, err := reportShoot(args, std)
			if err != nil {
				return err
			}
			report, err := plan.NewPower(shoot, plan.Options{Cues: cues})
			if err != nil {
				return planFault(err)
			}
			if asJSON {
				return powerJSON(std.Out, report, explain)
			}
			return powerText(std.Out, report, explain)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.BoolVar(&explain, "explain", false, "show formula, inputs, source and validity of every figure")
	fl.BoolVar(&asJSON, "json", false, "print one JSON object")
	return cmd
}

func powerText(w io.Writer, r *plan.Power, explain bool) error {
	fmt.Fprintf(w, "%s\n\n", r.Name)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i := range r.Cues {
		c := &r.Cues[i]
		line := fmt.Sprintf("  %s\t%s\theat on the model %s", c.Name, valueText(&c.Watts), valueText(&c.Heat))
		if len(r.Battery) > 0 && r.Battery[i].Known() {
			line += fmt.Sprintf("\tbattery %s, %s", c.Battery.Text, r.Battery[i].Text)
		}
		fmt.Fprintln(t, line)
	}
	fmt.Fprintf(t, "  peak\t%s\tin %s; every light at its most %s\n", valueText(&r.Peak), r.PeakCue, valueText(&r.Most))
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	for i := range r.Circuits {
		c := &r.Circuits[i]
		fmt.Fprintf(w, "  %s: %s", c.Name, c.Watts.Text)
		if c.Amperes.Known() {
			fmt.Fprintf(w, ", %s", c.Amperes.Text)
		}
		if c.Load.Known() {
			fmt.Fprintf(w, ", %s of the %s it carries for hours", c.Load.Text, c.Carries.Text)
		} else {
			fmt.Fprintf(w, "; its load needs %s", c.Load.Missing)
		}
		fmt.Fprintf(w, " (%s)\n", strings.Join(c.Sources, ", "))
	}
	for i := range r.Cables {
		c := &r.Cables[i]
		fmt.Fprintf(w, "  cable to %s: %s, loses %s, %s at its end\n", c.Source, valueText(&c.Amperes), valueText(&c.Drop), valueText(&c.Volts))
	}
	if explain {
		fmt.Fprintln(w)
		for _, f := range powerFigures(r) {
			explainFigure(w, &f)
		}
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	for i := range r.Cues {
		if why := r.Cues[i].Watts.Why.Outside; why != "" {
			fmt.Fprintf(w, "\nnote: in %s %s; write watts = \"40 W\"\n", r.Cues[i].Name, why)
			break
		}
	}
	fmt.Fprintln(w)
	for _, c := range r.Cautions {
		fmt.Fprintf(w, "caution: %s\n", c)
	}
	return nil
}

func powerFigures(r *plan.Power) []plan.Figure {
	fs := []plan.Figure{r.Peak, r.Most, r.Heat}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		fs = append(fs, c.Watts, c.Amperes, c.Carries, c.Load)
	}
	for i := range r.Cables {
		c := &r.Cables[i]
		fs = append(fs, c.Amperes, c.Drop, c.Volts)
	}
	return append(fs, r.Battery...)
}

func powerJSON(w io.Writer, r *plan.Power, explain bool) error {
	cues := make([]object, len(r.Cues))
	for i := range r.Cues {
		c := &r.Cues[i]
		cues[i] = object{{"cue", c.Name}, {"watts", planFigure(&c.Watts, explain)}, {"battery", planFigure(&c.Battery, explain)}, {"sources", planFigures(c.Each, explain)}, {"heat", planFigure(&c.Heat, explain)}}
		if len(r.Battery) > 0 {
			cues[i] = append(cues[i], member{"hours", planFigure(&r.Battery[i], explain)})
		}
	}
	circuits := []object{}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		circuits = append(circuits, object{{"circuit", c.Name}, {"sources", c.Sources}, {"over", c.Over}, {"figures", planFigures([]plan.Figure{c.Watts, c.Amperes, c.Carries, c.Load}, explain)}})
	}
	cables := []object{}
	for i := range r.Cables {
		c := &r.Cables[i]
		cables = append(cables, object{{"source", c.Source}, {"over", c.Over}, {"figures", planFigures([]plan.Figure{c.Amperes, c.Drop, c.Volts}, explain)}})
	}
	return writeJSON(w, object{
		{"version", jsonVersion},
		{"shoot", r.Name},
		{"cues", cues},
		{"peak_cue", r.PeakCue},
		{"peak", planFigure(&r.Peak, explain)},
		{"most", planFigure(&r.Most, explain)},
		{"circuits", circuits},
		{"cables", cables},
		{"notes", append([]string{}, r.Notes...)},
		{"cautions", r.Cautions},
	})
}
