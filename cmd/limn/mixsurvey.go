package main

import (
	"context"
	"fmt"
	"io"

	"limn/cmd/internal/chart"
	"limn/fixtures"
)

// mixSurvey answers limn mix --survey: a light over the whites, before it is
// bought or rigged.
func mixSurvey(ctx context.Context, f *mixFlags, std stdio) error {
	head, err := profileHead(f.survey, f, std)
	if err != nil {
		return err
	}
	var plot *plotFile
	if f.plot != "" {
		if plot, err = newPlotFile(f.plot); err != nil {
			return err
		}
	}
	share, err := parseShare(f.level)
	if err != nil {
		return badFlag("level", err)
	}
	if !(share > 0 && share <= 1) {
		return usagef("write a level above 0 and up to full, as \"50 %\"", "--level: %q leaves nothing to survey", f.level)
	}
	s, err := head.Survey(ctx, fixtures.SurveyWhites(), share)
	if err != nil {
		return err
	}
	if plot != nil {
		picture := chart.Survey{Title: titleOf(s.Profile), Subtitle: surveySummary(s) + ", asked for " + f.level + " of the most at each white", Survey: s}
		if err := plot.write(ctx, picture.SVG()); err != nil {
			return err
		}
	}
	switch f.csv {
	case "":
	case "-":
		_, err := std.Out.Write(surveyCSV(s))
		return err
	default:
		if err := writeFile(f.csv, surveyCSV(s)); err != nil {
			return err
		}
	}
	if f.json {
		return writeJSON(std.Out, surveyObject(s, f.prefer))
	}
	_, err = io.WriteString(std.Out, surveyText(s, f.level))
	return err
}

// surveySummary is a light in one line.
func surveySummary(s *fixtures.Survey) string {
	text := fmt.Sprintf("%s: %s, %.0f lm at the most", s.Profile.Name, count(s.Profile.Footprint(), "slot"), s.Lumens)
	low, high := 0.0, 0.0
	for i := range s.Points {
		if p := &s.Points[i]; p.HasWatts {
			if w := p.Report.Watts; high == 0 || w < low {
				low = w
			}
			high = max(high, p.Report.Watts)
		}
	}
	switch {
	case high == 0:
		return text + ", power not known"
	case high-low < 0.5:
		return text + fmt.Sprintf(", %.0f W", high)
	}
	return text + fmt.Sprintf(", %.0f to %.0f W over the whites", low, high)
}

// unjudged is why the light, or the first white of it that has none, has no Ra
// and SSI; nil where all have.
func unjudged(s *fixtures.Survey) error {
	for i := range s.Points {
		if err := s.Points[i].Unjudged; err != nil {
			return err
		}
	}
	return nil
}
