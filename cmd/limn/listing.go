package main

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"limn/cue"
	"limn/dmx"
	"limn/dmx/artnet"
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
		row(head("outputs", i), o.Name, o.Kind, strings.Join(o.To, ", "), universeText(o), "on exit "+o.OnExit)
	}
	w.Flush()
	b.WriteString("\n\n")
	b.WriteString(measuredText(s.Rig))
	b.WriteString("if this computer dies:\n")
	for _, d := range deaths(s) {
		fmt.Fprintf(&b, "  %s: %s\n", strings.Join(d.sources, ", "), d.what)
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

// universeText gives an output's universes, and what they are called on a wire
// that counts in its own way.
func universeText(o *cue.Output) string {
	text := "universe " + joined(universes(o.Universes))
	if o.Kind != cue.ArtNet {
		return text
	}
	ports := make([]string, len(o.Universes))
	for i, u := range o.Universes {
		port, err := artnet.PortAddress(dmx.Universe(u), o.Offset)
		if err != nil { // the check of the files has passed it
			ports[i] = "?"
			continue
		}
		ports[i] = artnet.FormatPortAddress(port)
	}
	return text + " = Port-Address " + strings.Join(ports, ", ")
}

// death is what becomes of some lights when this computer stops sending for good.
type death struct {
	sources []string
	what    string
}

// What survives by kind of output. The node's failsafe is what ArtPollReply
// calls it (hold, zero, full, scene); the widget's repeating is its protocol's rule.
var survives = map[string]string{
	cue.ArtNet:    "the node holds the last frame, or follows its own failsafe setting (hold, dark, full or a stored scene)",
	cue.SACN:      "data is lost after 2.5 s, and the receiver follows its own rule",
	cue.USBRaw:    "the line goes silent at once, and the light follows its own rule for a lost signal (hold or dark)",
	cue.USBWidget: "the adapter repeats the last frame by itself as long as it has power",
	cue.USB:       "it depends on the adapter: one that frames its packets repeats the last frame while it has power, a plain serial line goes silent",
}

// deaths says for every source what it does if the computer dies, those of one
// output together.
func deaths(s *cue.Shoot) []death {
	var out []death
	for i := range s.Outputs {
		o := &s.Outputs[i]
		var on []string
		for j := range s.Rig.Sources {
			src := &s.Rig.Sources[j]
			if !src.Hand && slices.Contains(o.Universes, src.Universe) {
				on = append(on, src.Name)
			}
		}
		if len(on) > 0 {
			out = append(out, death{on, survives[o.Kind]})
		}
	}
	var hand []string
	for i := range s.Rig.Sources {
		if s.Rig.Sources[i].Hand {
			hand = append(hand, s.Rig.Sources[i].Name)
		}
	}
	if len(hand) > 0 {
		out = append(out, death{hand, "set by hand, stays as it is"})
	}
	return out
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
			{"survives", survives[o.Kind]},
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
