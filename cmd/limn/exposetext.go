package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"limn/cue/plan"
	"limn/fixtures"
)

// exposeText prints the report: the verdict of each cue first, its figures below.
func exposeText(w io.Writer, r *plan.Expose, explain bool) error {
	fmt.Fprintf(w, "%s, 1:%g\n", r.Name, r.Scale)
	for i := range r.Cues {
		fmt.Fprintln(w)
		if err := exposeCue(w, &r.Cues[i], explain); err != nil {
			return err
		}
	}
	if len(r.Balance) > 0 {
		fmt.Fprintf(w, "\nacross the angles, held against %s (alike within %s)\n", r.Like, plan.Stops(plan.Alike))
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for i := range r.Balance {
			b := &r.Balance[i]
			fmt.Fprintf(t, "  %s\t%s\t%s\n", b.Name, valueText(&b.Off), b.Say)
		}
		if err := t.Flush(); err != nil {
			return err
		}
		if r.All != "" {
			fmt.Fprintf(w, "  %s\n", r.All)
		}
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	return nil
}

func exposeCue(w io.Writer, c *plan.CueExposure, explain bool) error {
	head := c.Name
	if c.Angle != "" {
		head += ", " + c.Angle
	}
	fmt.Fprintf(w, "%s %s   %s\n", head, turnText(c.Azimuth), c.Settings)
	for _, say := range c.Say {
		fmt.Fprintf(w, "  > %s\n", say)
	}
	figures := figureGroups(c)
	if explain {
		for _, g := range figures {
			fmt.Fprintf(w, "  %s\n", g.name)
			for i := range g.figures {
				explainFigure(w, &g.figures[i])
			}
		}
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "  light\tkey %s\tfacing the camera %s\tasked for %s\t%s\n", valueText(c.Figure("lux-key")), valueText(c.Figure("lux-camera")),
		valueText(c.Figure("lux-wanted")), valueText(c.Figure("over")))
	fmt.Fprintf(t, "  meter\tincident %s\tgrey card %s\teffective %s\t%s\n", valueText(c.Figure("ev-incident")), valueText(c.Figure("ev-grey")),
		valueText(c.Figure("n-effective")), ratioText(c))
	f := &c.Focus
	fmt.Fprintf(t, "  focus\tmodel %s\tsharp %s deep\tdiffraction %s\tbest %s\n", spanText(f), valueText(&f.Sharp), valueText(&f.Airy), valueText(&f.Best))
	if err := t.Flush(); err != nil {
		return err
	}
	return sourcesText(w, c)
}

// ratioText is the lighting ratio by its name.
func ratioText(c *plan.CueExposure) string {
	if ratio := &c.Light.Ratio[0]; ratio.Known() {
		return "key and fill to fill " + ratio.Text
	}
	return "no fill"
}

// sourcesText lists the lit sources and the cards that stand.
func sourcesText(w io.Writer, c *plan.CueExposure) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "    \tfacing it\tkey\tto camera\tleft\tmirrored, to clipping")
	for i := range c.Light.Sources {
		s := &c.Light.Sources[i]
		if !s.Lit {
			continue
		}
		against := valueText(&s.KeyStops)
		if s.Role == fixtures.Key {
			against = "key"
		}
		fmt.Fprintf(t, "    %s\t%s\t%s\t%s\t%s\t%s\n", s.Name, valueText(&s.Lux), against, valueText(&s.ToCamera), valueText(&s.Left), mirroredText(c, s.Source))
	}
	for i := range c.Light.Cards {
		card := &c.Light.Cards[i]
		fmt.Fprintf(t, "    %s\t\tcard\t%s\t\t\n", card.Name, valueText(&card.Gives))
	}
	return t.Flush()
}

// mirroredText is how the coat shows a source.
func mirroredText(c *plan.CueExposure, source int) string {
	for i := range c.Highlights {
		if h := &c.Highlights[i]; h.Source == source && h.Left.Known() && h.Incidence <= plan.Steep {
			if h.Left.Value < 0 {
				return fmt.Sprintf("clips by %s at %.0f°", plan.Stops(-h.Left.Value), h.Incidence)
			}
			return fmt.Sprintf("%s at %.0f°", plan.Stops(h.Left.Value), h.Incidence)
		}
	}
	return ""
}

func spanText(f *plan.Focus) string {
	if !f.Near.Known() || !f.Far.Known() {
		return "?"
	}
	return plan.Near((f.Far.Value-f.Near.Value)/1000) + " deep"
}

// valueText is a figure, or "?" where something is missing.
func valueText(f *plan.Figure) string {
	if f == nil || !f.Known() {
		return "?"
	}
	return f.Text
}

// figureGroup is figures under a heading.
type figureGroup struct {
	name    string
	figures []plan.Figure
}

// figureGroups is every figure of a cue.
func figureGroups(c *plan.CueExposure) []figureGroup {
	groups := []figureGroup{{"exposure", c.Exposure}}
	light := figureGroup{name: "light"}
	for i := range c.Light.Sources {
		if s := &c.Light.Sources[i]; s.Lit {
			light.figures = append(light.figures, s.Lux, s.ToCamera, s.KeyStops, s.Left, s.Luminance)
		}
	}
	for i := range c.Light.Cards {
		light.figures = append(light.figures, c.Light.Cards[i].Gives, c.Light.Cards[i].Takes)
	}
	light.figures = append(append(light.figures, c.Light.Ambient), c.Light.Ratio...)
	mirrored := figureGroup{name: "mirrored"}
	for i := range c.Highlights {
		mirrored.figures = append(mirrored.figures, c.Highlights[i].Over, c.Highlights[i].Left)
	}
	look := figureGroup{"look", append([]plan.Figure{c.Look.Now, c.Look.Deepest}, c.Look.Wanted...)}
	return append(groups, light, mirrored, figureGroup{"focus", c.Focus.Figures}, look)
}

// explainFigure prints one figure with its why.
func explainFigure(w io.Writer, f *plan.Figure) {
	if !f.Known() {
		missing := f.Missing
		if missing == "" {
			missing = "a meaning: these inputs have none"
		}
		fmt.Fprintf(w, "    %s: needs %s\n", f.Title, missing)
		return
	}
	text := f.Text
	if text == "" {
		text = strings.TrimSpace(figureText(f.Value) + " " + f.Unit)
	}
	fmt.Fprintf(w, "    %s: %s\n", f.Title, text)
	law := f.Why.Law
	if f.Why.Formula != "" {
		law += "   [limn calc " + f.Why.Formula + "]"
	}
	fmt.Fprintf(w, "        %s\n", law)
	var in []string
	for _, i := range f.Why.Inputs {
		in = append(in, strings.TrimSpace(fmt.Sprintf("%s = %s %s", i.Key, figureText(i.Value), i.Unit)))
	}
	if len(in) > 0 {
		fmt.Fprintf(w, "        with %s\n", strings.Join(in, ", "))
	}
	fmt.Fprintf(w, "        source: %s", f.Why.Source)
	if f.Why.Valid != "" {
		fmt.Fprintf(w, "; holds for: %s", f.Why.Valid)
	}
	fmt.Fprintln(w)
	if f.Why.Outside != "" {
		fmt.Fprintf(w, "        outside of that: %s\n", f.Why.Outside)
	}
}
