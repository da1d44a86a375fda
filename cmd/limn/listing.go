package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"limn/cue"
	"limn/fixtures"
)

// listing is what was read of a shoot, for people.
func listing(s *cue.Shoot) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, 1:%g\n", s.Subject.Name, s.Subject.Scale)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	row := func(head string, cells ...string) {
		fmt.Fprintf(w, "\n%s", head)
		for _, c := range cells {
			fmt.Fprintf(w, "\t%s", c)
		}
	}
	head := func(word string, i int) string {
		if i > 0 {
			return ""
		}
		return word
	}
	for i, a := range s.Angles {
		row(head("angles", i), a.Name, turnText(a.Azimuth))
	}
	for i, c := range s.Resolved {
		row(head("cues", i), c.Name, angleText(&c), fadeText(c.Fade))
	}
	for i, l := range s.Looks {
		row(head("looks", i), l.Name, count(len(l.Light), "source"))
	}
	for i, q := range s.Sequences {
		row(head("sequences", i), q.Name, count(len(q.Steps), "step"), "by "+q.By)
	}
	for i := range s.Rig.Sources {
		src := &s.Rig.Sources[i]
		row(head("sources", i), src.Name, string(src.Role), makeText(src), addressText(src))
	}
	for i, c := range s.Cards {
		row(head("cards", i), c.Name, c.Kind)
	}
	for i, g := range s.Groups {
		row(head("groups", i), g.Name, strings.Join(names(s.Rig, g.Members), ", "))
	}
	for i := range s.Outputs {
		o := &s.Outputs[i]
		row(head("outputs", i), o.Name, o.Kind, whereText(o), universeText(o), "on exit "+o.OnExit)
	}
	w.Flush()
	b.WriteString("\n\n")
	b.WriteString(measuredText(s.Rig))
	b.WriteString("if this computer dies:\n")
	for _, line := range deaths(s) {
		fmt.Fprintf(&b, "  %s\n", line)
	}
	return cleanLines(b.String())
}

// cleanLines cleans a text of several lines.
func cleanLines(text string) string {
	lines := strings.Split(text, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(clean(lines[i]), " ")
	}
	return strings.Join(lines, "\n")
}

func angleText(c *cue.Resolved) string {
	switch {
	case !c.HasAngle:
		return "no angle"
	case c.Angle != "":
		return c.Angle + " " + turnText(c.Azimuth)
	}
	return turnText(c.Azimuth)
}

func fadeText(seconds float64) string { return fmt.Sprintf("fade %g s", seconds) }

func names(rig *fixtures.Rig, members []int) []string {
	out := make([]string, len(members))
	for i, m := range members {
		out[i] = rig.Sources[m].Name
	}
	return out
}

func makeText(s *fixtures.Source) string {
	if s.Profile == nil {
		return ""
	}
	return s.Profile.Name
}

// addressText says where a source listens: "universe 1: 1-2, 21-22".
func addressText(s *fixtures.Source) string {
	if s.Hand {
		return "by hand"
	}
	spans := make([]string, len(s.Addresses))
	for i, a := range s.Addresses {
		spans[i] = fmt.Sprint(a)
		if last := a + s.Profile.Footprint() - 1; last > a {
			spans[i] = fmt.Sprintf("%d-%d", a, last)
		}
	}
	text := fmt.Sprintf("universe %d: %s", s.Universe, strings.Join(spans, ", "))
	if s.Units > 1 {
		text += fmt.Sprintf(" (%d units each)", s.Units)
	}
	return text
}

// listingObject is what was read of a shoot, for programs.
func listingObject(s *cue.Shoot) object {
	angles, cues, sources, outputs, groups, cards, looks, sequences := []any{}, []any{}, []any{}, []any{}, []any{}, []any{}, []any{}, []any{}
	for _, a := range s.Angles {
		angles = append(angles, object{{"name", a.Name}, {"azimuth", a.Azimuth}})
	}
	for _, c := range s.Resolved {
		var azimuth any
		if c.HasAngle {
			azimuth = c.Azimuth
		}
		cues = append(cues, object{{"name", c.Name}, {"angle", c.Angle}, {"azimuth", azimuth}, {"fade", c.Fade}})
	}
	for _, l := range s.Looks {
		looks = append(looks, object{{"name", l.Name}, {"sources", len(l.Light)}})
	}
	for _, q := range s.Sequences {
		sequences = append(sequences, object{{"name", q.Name}, {"by", q.By}, {"steps", len(q.Steps)}})
	}
	for i := range s.Rig.Sources {
		src := &s.Rig.Sources[i]
		o := object{{"name", src.Name}, {"role", src.Role}, {"hand", src.Hand}, {"profile", makeText(src)}}
		if !src.Hand {
			o = append(o, object{{"universe", src.Universe}, {"addresses", src.Addresses}, {"slots", src.Profile.Footprint()}, {"calibration", calibrationObject(src.Calibration)}}...)
		}
		sources = append(sources, o)
	}
	for _, c := range s.Cards {
		cards = append(cards, object{{"name", c.Name}, {"kind", c.Kind}})
	}
	for _, g := range s.Groups {
		groups = append(groups, object{{"name", g.Name}, {"sources", names(s.Rig, g.Members)}})
	}
	for i := range s.Outputs {
		o := &s.Outputs[i]
		outputs = append(outputs, object{
			{"name", o.Name},
			{"kind", o.Kind},
			{"to", o.To},
			{"universes", o.Universes},
			{"offset", o.Offset},
			{"on_exit", o.OnExit},
			{"discover", o.Discover},
			{"interface", o.Interface},
			{"multicast", o.Multicast()},
			{"survives", survives(o)},
		})
	}
	return object{
		{"subject", s.Subject.Name},
		{"scale", s.Subject.Scale},
		{"angles", angles},
		{"cues", cues},
		{"looks", looks},
		{"sequences", sequences},
		{"sources", sources},
		{"cards", cards},
		{"groups", groups},
		{"outputs", outputs},
	}
}
