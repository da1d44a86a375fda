package main

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// profileObject is the JSON of one light solved by its profile. The unit of Y
// is the light's own: 1 is the most it gives at any colour. Slots are the codes
// of its controls, a coarse and fine pair as one number.
func profileObject(h *fixtures.Head, target colour.XY, r *fixtures.Report) any {
	drives, slots := reportMembers(r)
	o := object{
		{"version", jsonVersion},
		{"id", nil},
		{"profile", h.Profile().Name},
		{"in_gamut", r.Aim.InGamut},
		{"reachable", r.InLevel},
		{"drives", drives},
		{"slots", slots},
	}
	o = append(o, predictedMembers(r.Light, target, r.Aim.MaxY, r.Watts)...)
	return append(append(o, member{"lumens", digits{r.Lumens, mixDigits}}), qualityMembers(h, r)...)
}

// reportMembers are the exact drives of a light and the codes of its controls.
func reportMembers(r *fixtures.Report) (drives, slots object) {
	drives, slots = object{}, object{}
	for _, e := range r.Emitters {
		drives = append(drives, member{e.Name, number{e.Exact, exactDecimals}})
	}
	for _, c := range r.Controls {
		slots = append(slots, member{c.Name, c.Code})
	}
	return drives, slots
}

// qualityMembers are the indices of the light given, null where there are none.
func qualityMembers(h *fixtures.Head, r *fixtures.Report) object {
	ra, r9, ssi := none, none, none
	var reference any
	if q, err := h.Quality(r); err == nil {
		ra, r9, ssi, reference = q.CRI.Ra, q.CRI.R[8], q.SSI, q.Reference
	}
	return object{
		{"ra", number{ra, indexDecimals}},
		{"r9", number{r9, indexDecimals}},
		{"ssi", number{ssi, indexDecimals}},
		{"reference", reference},
	}
}

// profileText is the same at a glance: what to set, what it gives, what it costs.
func profileText(h *fixtures.Head, target colour.XY, r *fixtures.Report, asked, level string) string {
	var b strings.Builder
	p := h.Profile()
	fmt.Fprintf(&b, "%s: %s at %s\n\n", titleOf(p), asked, level)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, e := range r.Emitters {
		fmt.Fprintf(w, "  %s\t%.1f %%\t%s\t\n", e.Name, 100*e.Drive, bar(e.Drive))
	}
	w.Flush()
	if len(r.Emitters) > 0 {
		b.WriteString("\n")
	}
	w = tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, s := range r.Slots {
		fmt.Fprintf(w, "  slot %d\t%d\t%s\t\n", s.Slot, s.Value, s.What)
	}
	w.Flush()
	if p.Cells > 1 {
		fmt.Fprintf(&b, "  and the same in each of %d cells, %s apart\n", p.Cells, count(p.Stride, "slot"))
	}
	b.WriteString("\n")
	givesText(&b, r.Light, target, r.Aim.MaxY, r.Aim.InGamut, r.InLevel)
	rendersText(&b, h, r)
	if r.Lumens > 0 {
		fmt.Fprintf(&b, "  flux   %.0f lm\n", r.Lumens)
	}
	wattsText(&b, r.Watts)
	return cleanLines(b.String())
}

// text is an answer for emitters by hand, at a glance.
func (a *answer) text(p *problem, asked, level string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s at %s\n\n", asked, level)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', tabwriter.AlignRight)
	for i, e := range p.Emitters {
		fmt.Fprintf(w, "  %s\t%.1f %%\t%s\t", e.Name, 100*a.Drives[i], bar(a.Drives[i]))
		if a.Codes != nil {
			fmt.Fprintf(w, "%d of %d\t", a.Codes[i], 1<<p.Bits-1)
		}
		fmt.Fprintln(w)
	}
	w.Flush()
	b.WriteString("\n")
	givesText(&b, a.Light, p.Target, a.MaxY, a.InGamut, a.Reachable)
	wattsText(&b, a.Watts)
	return cleanLines(b.String())
}

// farSteps is from how many steps on a colour that could be made needs a word on why it is not.
const farSteps = 4

// givesText says what comes out against what was asked.
func givesText(b *strings.Builder, light colour.XYZ, target colour.XY, maxY float64, inGamut, reachable bool) {
	xy, ok := light.XY()
	if !ok {
		b.WriteString("  gives  no light\n")
		return
	}
	fmt.Fprintf(b, "  gives  %s\n", lightColour(light))
	missing := ""
	switch steps := colour.Steps(xy, target); {
	case !inGamut:
		missing = "; the light cannot make quite this colour"
	case steps > farSteps:
		missing = "; so low, its codes are too coarse for this colour"
	}
	fmt.Fprintf(b, "  error  %s%s\n", stepsText(colour.Steps(xy, target)), missing)
	fmt.Fprintf(b, "  level  %s\n", belowText(light.Y/maxY, reachable))
}

// rendersText says how the light shows colours, where it is a white and its
// spectrum known.
func rendersText(b *strings.Builder, h *fixtures.Head, r *fixtures.Report) {
	q, err := h.Quality(r)
	var unknown *fixtures.UnknownSpectrumError
	switch {
	case err == nil:
		fmt.Fprintf(b, "  Ra     %s\n", qualityText(&q))
	case errors.As(err, &unknown) && r.Light.Y > 0:
		fmt.Fprintf(b, "  Ra     and SSI not known: the profile does not tell the spectra\n")
	}
}

// stepsText is a colour error as it is judged by eye.
func stepsText(steps float64) string {
	text := fmt.Sprintf("%.1f steps off", steps)
	switch {
	case steps < 1:
		text += ", not to be seen"
	case steps < 2:
		text += ", hardly to be seen side by side"
	}
	return text
}

// belowText is a share of the most at a colour in per cent and stops.
func belowText(share float64, reachable bool) string {
	text := fmt.Sprintf("%.1f %% of the most at this colour", 100*share)
	if stops := -math.Log2(share); stops >= 0.05 {
		text += fmt.Sprintf(", %.1f stops below full", stops)
	} else {
		text += ", full"
	}
	if !reachable {
		text += "; more cannot be had"
	}
	return text
}

func wattsText(b *strings.Builder, watts float64) {
	if watts > 0 {
		fmt.Fprintf(b, "  power  %.1f W\n", watts)
	}
}

// barCells is the width of a drive's bar.
const barCells = 20

// bar shows a share 0..1, in eighths of a cell.
func bar(share float64) string {
	eighths := int(math.Round(min(max(share, 0), 1) * barCells * 8))
	text := strings.Repeat("█", eighths/8)
	if r := eighths % 8; r > 0 {
		text += string(rune('█' + 8 - r)) // U+2588 full block down to U+258F one eighth
	}
	return text + strings.Repeat("·", barCells-(eighths+7)/8)
}
