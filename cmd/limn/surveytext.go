package main

import (
	"fmt"
	"math"
	"strings"
	"text/tabwriter"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// surveyText is a survey as two tables and what to make of them; level is how
// much was asked for.
func surveyText(s *fixtures.Survey, level string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n%s\n\n", titleOf(s.Profile), surveySummary(s))
	fmt.Fprintf(&b, "Asked for %s of the most at each white\n\n", level)
	surveyFull(&b, s)
	fmt.Fprintf(&b, "\nDimmed: the deepest level that still holds the white, stops below full and per cent\n\n")
	surveyClean(&b, s)
	b.WriteString("\n")
	surveyVerdict(&b, s)
	return cleanLines(b.String())
}

// outOfReach marks a white that the light cannot make.
const outOfReach = "*"

func surveyFull(b *strings.Builder, s *fixtures.Survey) {
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "asked\tgives\ttint\terror\toutput\tflux\tpower\t\tRa\tR9\tSSI\t")
	fmt.Fprintln(w, "K\tK\tDuv\tsteps\tstops\tlm\tW\tlm/W\t\t\t\t")
	missed := false
	for i := range s.Points {
		p := &s.Points[i]
		mark := ""
		if missedWhite(p) {
			mark, missed = outOfReach, true
		}
		kelvin, tint := "-", "-"
		if p.HasWhite {
			kelvin, tint = fmt.Sprintf("%.0f", p.Reached.Kelvin), unsignZero(fmt.Sprintf("%+.4f", p.Reached.Duv))
		}
		watts, efficacy := "-", "-"
		if p.HasWatts && p.Report.Watts > 0 {
			watts, efficacy = fmt.Sprintf("%.1f", p.Report.Watts), fmt.Sprintf("%.0f", p.Report.Lumens/p.Report.Watts)
		}
		ra, r9, ssi := "-", "-", "-"
		if p.Unjudged == nil {
			ra, r9, ssi = whole(p.Quality.CRI.Ra), whole(p.Quality.CRI.R[8]), whole(p.Quality.SSI)
		}
		fmt.Fprintf(w, "%.0f\t%s\t%s\t%s%.1f\t%s\t%.0f\t%s\t%s\t%s\t%s\t%s\t\n", p.Asked.Kelvin, kelvin, tint, mark, p.Steps,
			unsignZero(fmt.Sprintf("%.1f", -p.Stops)), p.Report.Lumens, watts, efficacy, ra, r9, ssi)
	}
	w.Flush()
	if missed {
		fmt.Fprintf(b, "\n  %s the light cannot make this white; what it gives is the nearest\n", outOfReach)
	}
	if err := unjudged(s); err != nil {
		fmt.Fprintf(b, "\n  Ra, R9, SSI not known: %v\n", err)
	}
}

// reachSlack is how many steps from the white asked the nearest white of a light
// must lie to count as another one: less is a matter of digits.
const reachSlack = 0.1

func missedWhite(p *fixtures.SurveyPoint) bool {
	return p.Report.Aim.DeltaUV > reachSlack*colour.Step
}

// cleanCells is the width of the bar of a clean level.
const cleanCells = 24

func surveyClean(b *strings.Builder, s *fixtures.Survey) {
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprint(w, "asked\t")
	for _, n := range fixtures.CleanSteps {
		fmt.Fprintf(w, "within %s\t", count(int(n), "step"))
	}
	fmt.Fprintln(w)
	for i := range s.Points {
		p := &s.Points[i]
		fmt.Fprintf(w, "%5.0f\t", p.Asked.Kelvin)
		for _, d := range p.Clean {
			fmt.Fprintf(w, "%s\t", depthText(d))
		}
		fmt.Fprintf(w, "%s\n", depthBar(p.Clean))
	}
	w.Flush()
	fmt.Fprintf(b, "\n  Bars, to -%d stops: █ within 1 step, ▓ within 2, ░ within 4. One step is %g in u'v', from the\n"+
		"  nearest white the light can make. This level and every one above it holds, to 1/3 stop.\n",
		fixtures.CleanLimit, colour.Step)
}

// depthText is a clean level in stops and per cent.
func depthText(d fixtures.Depth) string {
	switch {
	case math.IsNaN(d.Stops):
		return "not even full"
	case d.Limit:
		return fmt.Sprintf("%5.1f and below", -d.Stops)
	case d.Stops == 0:
		return "full only"
	}
	return fmt.Sprintf("%5.1f  %s", -d.Stops, percentText(d.Share()))
}

// percentText is a share to two figures.
func percentText(share float64) string {
	percent := 100 * share
	return fmt.Sprintf("%.*f %%", max(0, 1-int(math.Floor(math.Log10(percent)))), percent)
}

// depthBar shows the three levels in one bar, the strictest darkest.
func depthBar(depths [len(fixtures.CleanSteps)]fixtures.Depth) string {
	marks := [len(fixtures.CleanSteps)]string{"█", "▓", "░"}
	text, length := "", 0
	for i, d := range depths {
		if math.IsNaN(d.Stops) {
			continue
		}
		end := int(math.Round(d.Stops / fixtures.CleanLimit * cleanCells))
		text += strings.Repeat(marks[i], max(end-length, 0))
		length = max(length, end)
	}
	return text + strings.Repeat("·", cleanCells-length)
}

// surveyVerdict says in words which whites the light is good for.
func surveyVerdict(b *strings.Builder, s *fixtures.Survey) {
	line := func(what string, good func(*fixtures.SurveyPoint) bool) {
		fmt.Fprintf(b, "  %-33s  %s\n", what, whitesText(s, good))
	}
	line("hits the white (1 step)", func(p *fixtures.SurveyPoint) bool { return p.Steps <= 1 })
	line("near enough (4 steps)", func(p *fixtures.SurveyPoint) bool { return p.Steps <= 4 })
	if unjudged(s) == nil {
		line("of those, Ra 90 or better", func(p *fixtures.SurveyPoint) bool { return p.Steps <= 4 && p.Quality.CRI.Ra >= 90 })
	}
	line("of those, within 2 steps to 10 %", func(p *fixtures.SurveyPoint) bool {
		return p.Steps <= 4 && p.Clean[1].Share() <= 0.1
	})
}

// whitesText lists whites, runs of neighbours as ranges.
func whitesText(s *fixtures.Survey, good func(*fixtures.SurveyPoint) bool) string {
	var runs []string
	for i := 0; i < len(s.Points); i++ {
		if !good(&s.Points[i]) {
			continue
		}
		first := i
		for i+1 < len(s.Points) && good(&s.Points[i+1]) {
			i++
		}
		run := fmt.Sprintf("%.0f", s.Points[first].Asked.Kelvin)
		if i > first {
			run += fmt.Sprintf(" to %.0f", s.Points[i].Asked.Kelvin)
		}
		runs = append(runs, run)
	}
	switch {
	case runs == nil:
		return "no white of the survey"
	case len(runs) == 1 && good(&s.Points[0]) && good(&s.Points[len(s.Points)-1]):
		return "all whites, " + runs[0] + " K"
	}
	return strings.Join(runs, ", ") + " K"
}
