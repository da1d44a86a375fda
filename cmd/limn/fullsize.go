package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"limn/cue/plan"
	"limn/fixtures/quantity"
)

type fullSizeFlags struct {
	cues                      []string
	aperture, shutter, cable  string
	iso, efficacy, head, wire float64
	json, csv, explain        bool
}

func newFullSize(std stdio) *cobra.Command {
	var f fullSizeFlags
	cmd := &cobra.Command{
		Use:   "fullsize [SHOOT]",
		Short: "The same picture at 1:1: sizes, places, light, heads, circuits",
		Long: `Carries the set to full size: every length, source and card, the light and flux it
takes for the same exposure or for another stop, shutter and ISO, what kind of light
gives that, circuits, and where everything stands when the subject stays and camera
and lights go round it. Places are metres right of the axis and away from where the
camera stands at azimuth 0.

These are light quantities, not a rigging design.`,
		Example: `  limn fullsize harbour
  limn fullsize harbour --aperture f/5.6 --shutter "1/50 s" --iso 800
  limn fullsize harbour --csv > plan.csv`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			opt, err := f.options()
			if err != nil {
				return err
			}
			if f.json && f.csv {
				return usagef("take one of the two", "--json and --csv are two shapes of one report")
			}
			shoot, _, err := reportShoot(args, std)
			if err != nil {
				return err
			}
			report, err := plan.NewFullSize(shoot, opt)
			switch {
			case err != nil:
				return planFault(err)
			case f.json:
				return fullSizeJSON(std.Out, report, f.explain)
			case f.csv:
				return fullSizeCSV(std.Out, report)
			}
			return fullSizeText(std.Out, report, f.explain)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.StringVar(&f.aperture, "aperture", "", "the full-size camera's `APERTURE`, as f/5.6 (the model's if left out)")
	fl.StringVar(&f.shutter, "shutter", "", "its `SHUTTER`, as \"1/50 s\" (the model's if left out)")
	fl.Float64Var(&f.iso, "iso", 0, "its `ISO` (the model's if left out)")
	fl.Float64Var(&f.efficacy, "efficacy", plan.DefaultEfficacy, "`LM/W` of the lights")
	fl.Float64Var(&f.head, "head", plan.DefaultHead, "`LUMENS` of one light")
	fl.StringVar(&f.cable, "cable", "30 m", "`LENGTH` of cable from the distribution to the lights")
	fl.Float64Var(&f.wire, "wire", plan.DefaultWire, "`MM2` of its wires")
	fl.BoolVar(&f.explain, "explain", false, "show formula, inputs, source and validity of every figure")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	fl.BoolVar(&f.csv, "csv", false, "print a table of comma-separated values")
	return cmd
}

// The most that figures of the full size may be asked for: more is a slip.
const (
	maxEfficacy = 400.0 // lm/W; the limit of white light
	maxHead     = 1e7   // lumens
	maxWire     = 500.0 // mm²
	maxFullISO  = 1e7
)

func (f *fullSizeFlags) options() (plan.FullOptions, error) {
	opt := plan.FullOptions{Cues: f.cues}
	if f.aperture != "" {
		a, err := quantity.ParseAperture(f.aperture)
		if err != nil {
			what, cure := complaint(err)
			return opt, usagef(cure, "--aperture: %s", what)
		}
		opt.Aperture = a.N
	}
	if f.shutter != "" {
		s, err := quantity.ParseShutter(f.shutter)
		if err != nil {
			what, cure := complaint(err)
			return opt, usagef(cure, "--shutter: %s", what)
		}
		if s.IsAngle() {
			return opt, usagef(`write a time, as --shutter "1/50 s"`, "--shutter: %s is an angle, and no frame rate is given with it", s)
		}
		opt.Shutter = s.Time
	}
	c, err := quantity.ParseLength(f.cable)
	if err != nil {
		what, cure := complaint(err)
		return opt, usagef(cure, "--cable: %s", what)
	}
	opt.Cable = c.Metres
	for _, n := range []struct {
		flag  string
		value float64
		most  float64
		zero  bool
		to    *float64
	}{{"iso", f.iso, maxFullISO, true, &opt.ISO}, {"efficacy", f.efficacy, maxEfficacy, false, &opt.Efficacy}, {"head", f.head, maxHead, false, &opt.Head}, {"wire", f.wire, maxWire, false, &opt.Wire}} {
		if !(n.value > 0 && n.value <= n.most) && !(n.zero && n.value == 0) {
			return opt, usagef(fmt.Sprintf("it lies above 0 and up to %g", n.most), "--%s %g is out of range", n.flag, n.value)
		}
		*n.to = n.value
	}
	return opt, nil
}

func fullSizeText(w io.Writer, r *plan.FullSize, explain bool) error {
	fmt.Fprintf(w, "%s at full size, %g times the model\n\n", r.Name, r.Scale)
	for _, group := range []struct {
		name  string
		items []plan.FullItem
	}{{"set", r.Set}, {"sources, each at its brightest", r.Sources}, {"cards", r.Cards}} {
		fmt.Fprintln(w, group.name)
		if err := itemsText(w, group.items); err != nil {
			return err
		}
		fmt.Fprintln(w)
	}
	fmt.Fprint(w, "light ")
	for i := range r.Light {
		fmt.Fprintf(w, "  %s %s", r.Light[i].Title, orNeeds(&r.Light[i]))
	}
	fmt.Fprint(w, "\n\nturning\n")
	for _, t := range r.Turns {
		fmt.Fprintf(w, "  %s\n", t)
	}
	fmt.Fprintln(w)
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Fprintf(w, "%s, the subject stays and the rest goes round by %g°: %s", c.Name, 0-c.Azimuth, c.Watts.Text)
		if c.Count.Known() {
			fmt.Fprintf(w, ", %s, %s", c.Amperes.Text, count(int(c.Count.Value), "circuit"))
		}
		fmt.Fprintln(w)
		if err := placesText(w, c.Items); err != nil {
			return err
		}
	}
	fmt.Fprintln(w, "\nmotion")
	for i := range r.Motion {
		fmt.Fprintf(w, "  %s: %s\n", r.Motion[i].Title, orNeeds(&r.Motion[i]))
	}
	if explain {
		fmt.Fprintln(w, "\nwhy")
		explainAll(w, r)
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	fmt.Fprintln(w)
	for _, c := range r.Cautions {
		fmt.Fprintf(w, "caution: %s\n", c)
	}
	return nil
}

func itemsText(w io.Writer, items []plan.FullItem) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i := range items {
		item := &items[i]
		var size, rest []string
		var needs []string
		for j := range item.Figures {
			f := &item.Figures[j]
			switch {
			case !f.Known():
				if len(needs) == 0 {
					needs = append(needs, f.Missing)
				}
			case f.Key == "width" || f.Key == "height" && item.Kind != "camera" || f.Key == "length":
				size = append(size, strings.TrimSuffix(f.Text, " m"))
			default:
				rest = append(rest, strings.TrimSpace(shortTitle(f)+" "+f.Text))
			}
		}
		line := ""
		if len(size) > 0 {
			line = strings.Join(size, " x ") + " m"
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\n", item.Name, line, strings.Join(rest, ", "))
		if item.Class != "" {
			fmt.Fprintf(t, "  \t\t%s\n", item.Class)
		}
		if len(needs) > 0 {
			fmt.Fprintf(t, "  \t\tthe rest needs %s\n", needs[0])
		}
	}
	return t.Flush()
}

// shortTitle is a figure's name in a line of many.
func shortTitle(f *plan.Figure) string {
	switch f.Key {
	case "distance":
		return "at"
	case "subtense":
		return "subtends"
	case "lux", "luminance", "flux", "watts":
		return ""
	case "above":
		return "above the ground"
	}
	return f.Title
}

// placesText is where everything stands about the subject that stays.
func placesText(w io.Writer, items []plan.FullItem) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i := range items {
		cells := map[string]string{}
		for j := range items[i].Figures {
			if f := &items[i].Figures[j]; f.Known() {
				cells[f.Key] = f.Text
			}
		}
		place := "no place is written"
		if cells["x"] != "" {
			place = fmt.Sprintf("right %s\taway %s\tup %s", cells["x"], cells["y"], cells["above"])
		}
		fmt.Fprintf(t, "  %s\t%s\t%s\t%s\n", items[i].Name, place, cells["lux"], cells["flux"])
	}
	return t.Flush()
}

func orNeeds(f *plan.Figure) string {
	if !f.Known() {
		return "needs " + f.Missing
	}
	return f.Text
}

// fullRow is one figure with what it belongs to.
type fullRow struct {
	cue, kind, name string
	figure          *plan.Figure
}

// fullRows is every figure of the report.
func fullRows(r *plan.FullSize) []fullRow {
	var rows []fullRow
	items := func(cue string, list []plan.FullItem) {
		for i := range list {
			for j := range list[i].Figures {
				rows = append(rows, fullRow{cue, list[i].Kind, list[i].Name, &list[i].Figures[j]})
			}
		}
	}
	items("", r.Set)
	items("", r.Sources)
	items("", r.Cards)
	for i := range r.Light {
		rows = append(rows, fullRow{"", "light", "", &r.Light[i]})
	}
	for i := range r.Motion {
		rows = append(rows, fullRow{"", "motion", "", &r.Motion[i]})
	}
	for i := range r.Cues {
		c := &r.Cues[i]
		items(c.Name, c.Items)
		for _, f := range []*plan.Figure{&c.Watts, &c.Amperes, &c.Count} {
			rows = append(rows, fullRow{c.Name, "power", "", f})
		}
	}
	return rows
}

func explainAll(w io.Writer, r *plan.FullSize) {
	for _, row := range fullRows(r) {
		fmt.Fprintf(w, "  %s\n", strings.Join(strings.Fields(row.cue+" "+row.kind+" "+row.name), " "))
		explainFigure(w, row.figure)
	}
}

// fullSizeCSV is one figure a line; what is not known is left empty.
func fullSizeCSV(w io.Writer, r *plan.FullSize) error {
	out := csv.NewWriter(w)
	if err := out.Write([]string{"cue", "kind", "name", "figure", "value", "unit", "needs"}); err != nil {
		return err
	}
	for _, row := range fullRows(r) {
		value := ""
		if row.figure.Known() {
			value = strconv.FormatFloat(row.figure.Value, 'g', calcDigits, 64)
		}
		if err := out.Write([]string{row.cue, row.kind, row.name, row.figure.Key, value, row.figure.Unit, row.figure.Missing}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func fullSizeJSON(w io.Writer, r *plan.FullSize, explain bool) error {
	items := func(list []plan.FullItem) []object {
		out := make([]object, len(list))
		for i := range list {
			out[i] = object{{"kind", list[i].Kind}, {"name", list[i].Name}, {"class", list[i].Class}, {"overhead", list[i].Hangs}, {"figures", planFigures(list[i].Figures, explain)}}
		}
		return out
	}
	cues := make([]object, len(r.Cues))
	for i := range r.Cues {
		c := &r.Cues[i]
		cues[i] = object{{"cue", c.Name}, {"azimuth", c.Azimuth}, {"items", items(c.Items)}, {"power", planFigures([]plan.Figure{c.Watts, c.Amperes, c.Count}, explain)}}
	}
	return writeJSON(w, object{
		{"version", jsonVersion},
		{"shoot", r.Name},
		{"scale", r.Scale},
		{"set", items(r.Set)},
		{"sources", items(r.Sources)},
		{"cards", items(r.Cards)},
		{"light", planFigures(r.Light, explain)},
		{"cues", cues},
		{"motion", planFigures(r.Motion, explain)},
		{"turns", r.Turns},
		{"notes", r.Notes},
		{"cautions", r.Cautions},
	})
}
