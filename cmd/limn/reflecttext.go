package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"limn/cue"
	"limn/cue/plan"
)

// reflectText prints what the varnish shows, cue by cue; bare is without mirror images.
func reflectText(w io.Writer, r *plan.Mirror, bare, explain bool) error {
	fmt.Fprintf(w, "%s, 1:%g\n", r.Name, r.Scale)
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Fprintf(w, "\n%s %s\n", cueHead(c), turnText(c.Azimuth))
		if c.Missing != "" {
			fmt.Fprintf(w, "  nothing can be seen: needs %s\n", c.Missing)
			continue
		}
		if len(c.Images) == 0 && !bare {
			fmt.Fprintln(w, "  the camera sees no light and no card in the coat")
		}
		for j := range c.Images {
			m := &c.Images[j]
			fmt.Fprintf(w, "  %s\n", m.Say)
			if explain {
				for _, f := range mirrorFigures(m) {
					explainFigure(w, &f)
				}
			}
		}
		if len(c.Unseen) > 0 {
			fmt.Fprintf(w, "  not mirrored to the camera: %s\n", strings.Join(c.Unseen, ", "))
		}
		for j := range c.View {
			fmt.Fprintf(w, "  %s\n", c.View[j].Say)
		}
		dotsLines(w, c, explain)
		for j := range c.Lines {
			linePlace(w, &c.Lines[j], explain)
		}
		for _, n := range c.Notes {
			fmt.Fprintf(w, "  note: %s\n", n)
		}
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	return nil
}

func cueHead(c *plan.CueMirror) string {
	if c.Angle != "" {
		return c.Name + ", " + c.Angle
	}
	return c.Name
}

// dotsText prints the diodes alone.
func dotsText(w io.Writer, r *plan.Mirror, explain bool) error {
	fmt.Fprintf(w, "%s, 1:%g\n", r.Name, r.Scale)
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Fprintf(w, "\n%s %s\n", cueHead(c), turnText(c.Azimuth))
		switch {
		case c.Missing != "":
			fmt.Fprintf(w, "  nothing can be seen: needs %s\n", c.Missing)
		case len(c.Dots) == 0:
			fmt.Fprintln(w, "  every lit source is fully diffused, and none has an led-pitch")
		}
		dotsLines(w, c, explain)
	}
	return nil
}

func dotsLines(w io.Writer, c *plan.CueMirror, explain bool) {
	var unknown, needs []string
	for i := range c.Dots {
		d := &c.Dots[i]
		if d.Missing != "" {
			unknown = append(unknown, d.Name)
			if !slices.Contains(needs, d.Missing) {
				needs = append(needs, d.Missing)
			}
			continue
		}
		fmt.Fprintf(w, "  %s\n", d.Say)
		if explain {
			for _, f := range dotsFigures(d) {
				explainFigure(w, &f)
			}
		}
	}
	if len(unknown) > 0 {
		fmt.Fprintf(w, "  whether the diodes of %s show needs %s\n", cue.ShortList(unknown), strings.Join(needs, "; "))
	}
}

func linePlace(w io.Writer, l *plan.LinePlace, explain bool) {
	fmt.Fprintf(w, "  line %s\n", l.Text)
	if l.Missing != "" {
		fmt.Fprintf(w, "    no one flat source or card does it: %s\n", l.Missing)
		return
	}
	fmt.Fprintf(w, "    %s\n    %s\n", l.Say, l.Place)
	if explain {
		for i := range l.Figures {
			explainFigure(w, &l.Figures[i])
		}
	}
}

func mirrorFigures(m *plan.MirrorImage) []plan.Figure {
	all := []plan.Figure{m.Luminance, m.Over, m.Left, m.Length, m.Width}
	if !m.Always {
		all = append(all, m.From, m.To)
	}
	return append(all, m.Speed, m.Drift)
}

func dotsFigures(d *plan.MirrorDots) []plan.Figure {
	return []plan.Figure{d.InPaint, d.HideBehind, d.HideNumber, d.HideSource}
}

// reflectJSON prints the report as one object.
func reflectJSON(w io.Writer, r *plan.Mirror, dotsAlone, explain bool) error {
	cues := make([]object, len(r.Cues))
	for i := range r.Cues {
		c := &r.Cues[i]
		o := object{{"cue", c.Name}, {"angle", c.Angle}, {"azimuth", c.Azimuth}}
		if c.Missing != "" {
			o = append(o, member{"missing", c.Missing})
		}
		dots := []object{}
		for j := range c.Dots {
			d := &c.Dots[j]
			if d.Missing != "" {
				dots = append(dots, object{{"source", d.Name}, {"missing", d.Missing}})
				continue
			}
			dots = append(dots, object{{"source", d.Name}, {"show", d.Show}, {"say", d.Say}, {"figures", planFigures(dotsFigures(d), explain)}})
		}
		if dotsAlone {
			cues[i] = append(o, member{"dots", dots})
			continue
		}
		images := []object{}
		for j := range c.Images {
			m := &c.Images[j]
			kind := "source"
			if m.Card {
				kind = "card"
			}
			images = append(images, object{
				{"kind", kind},
				{"name", m.Name},
				{"where", m.Where},
				{"x", number{m.X, 4}},
				{"y", number{m.Y, 4}},
				{"always", m.Always},
				{"say", m.Say},
				{"figures", planFigures(mirrorFigures(m), explain)},
			})
		}
		lines := []object{}
		for j := range c.Lines {
			l := &c.Lines[j]
			if l.Missing != "" {
				lines = append(lines, object{{"line", l.Text}, {"missing", l.Missing}})
				continue
			}
			lines = append(lines, object{{"line", l.Text}, {"place", l.Place}, {"say", l.Say}, {"figures", planFigures(l.Figures, explain)}})
		}
		views := []object{}
		for j := range c.View {
			v := &c.View[j]
			views = append(views, object{{"name", v.Name}, {"card", v.Card}, {"before_model", planFigure(&v.Hides, explain)}, {"of_picture", planFigure(&v.Share, explain)}, {"say", v.Say}})
		}
		cues[i] = append(o, member{"images", images}, member{"in_view", views}, member{"unseen", append([]string{}, c.Unseen...)}, member{"dots", dots},
			member{"lines", lines}, member{"notes", append([]string{}, c.Notes...)})
	}
	return writeJSON(w, object{{"version", jsonVersion}, {"shoot", r.Name}, {"scale", r.Scale}, {"cues", cues}, {"notes", append([]string{}, r.Notes...)}})
}
