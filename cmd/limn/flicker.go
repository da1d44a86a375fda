package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"limn/cmd/internal/chart"
	"limn/cue"
	"limn/cue/plan"
	"limn/profiles/tomlfile"
)

type flickerFlags struct {
	cues          []string
	plot          string
	json, explain bool
}

// newFlicker is a command of its own, not a part of expose: it is asked at another
// time (once in the morning, at the real shutter, and again when a level goes down
// or the frame rate up), and it needs neither geometry nor a meter reading.
func newFlicker(std stdio) *cobra.Command {
	var f flickerFlags
	cmd := &cobra.Command{
		Use:   "flicker [SHOOT]",
		Short: "Whether the lights band at the camera's shutter",
		Long: `Holds the switching of each light (pwm in rig.toml) against shutter, frame rate and
readout of every cue: how much frames and rows differ, how many bands a picture
shows, whether they crawl, how deep a light may be dimmed, and the shutter angles
that are safe under lamps on the mains. The strip below a light is its picture, row
by row from the top.`,
		Example: `  limn flicker harbour
  limn flicker harbour --cue bow --plot bands.svg
  limn flicker harbour --explain            # with what standards advise for people`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			var plot *plotFile
			if f.plot != "" {
				var err error
				if plot, err = newPlotFile(f.plot); err != nil {
					return err
				}
			}
			shoot, _, err := reportShoot(args, std)
			if err != nil {
				return err
			}
			report, err := plan.NewFlicker(shoot, plan.Options{Cues: f.cues})
			if err != nil {
				return planFault(err)
			}
			if plot != nil {
				if err := plot.write(cmd.Context(), flickerChart(report)); err != nil {
					return err
				}
			}
			if f.json {
				return flickerJSON(std.Out, report, f.explain)
			}
			return flickerText(std.Out, report, f.explain)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.StringVar(&f.plot, "plot", "", "draw the first cue's bands into `FILE`.svg, or .png where a converter is installed")
	fl.BoolVar(&f.explain, "explain", false, "show formula, inputs, source and validity of every figure")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	return cmd
}

// stripWidth is how many characters a picture of bands takes, plotRows how many
// rows a drawn one.
const (
	stripWidth = 56
	plotRows   = 240
)

func flickerText(w io.Writer, r *plan.Flicker, explain bool) error {
	fmt.Fprintln(w, r.Name)
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Fprintf(w, "\n%s   %s\n", c.Name, c.Settings)
		if len(c.Sources) == 0 {
			fmt.Fprintln(w, "  no lit light is known to flicker")
		}
		patterns := c.Patterns(stripWidth)
		for j := range c.Sources {
			s := &c.Sources[j]
			fmt.Fprintf(w, "  > %s\n", s.Say)
			if patterns[j] != nil {
				of := "frames"
				if patterns[j].Rows {
					of = "rows"
				}
				fmt.Fprintf(w, "    %s %s\n", patterns[j].Strip(), of)
			}
			if explain {
				for _, f := range flickerFigures(s) {
					explainFigure(w, &f)
				}
			}
		}
		if c.Angles.Known() {
			fmt.Fprintf(w, "  mains-safe shutter angles: %s\n", c.Angles.Text)
		} else if explain {
			explainFigure(w, &c.Angles)
		}
	}
	for _, n := range r.Notes {
		fmt.Fprintf(w, "\nnote: %s\n", n)
	}
	return nil
}

func flickerFigures(s *plan.SourceFlicker) []plan.Figure {
	return []plan.Figure{s.Variation, s.Worst, s.Bands, s.Rows, s.Crawl, s.Beat, s.Deepest, s.Percent, s.LowRisk, s.NoEffect, s.SVM}
}

func flickerJSON(w io.Writer, r *plan.Flicker, explain bool) error {
	cues := make([]object, len(r.Cues))
	for i := range r.Cues {
		c := &r.Cues[i]
		sources := []object{}
		for j := range c.Sources {
			s := &c.Sources[j]
			sources = append(sources, object{
				{"source", s.Name},
				{"verdict", string(s.Verdict)},
				{"hertz", digits{s.Hertz, figureDigits}},
				{"duty", digits{s.Duty, figureDigits}},
				{"depth", digits{s.Depth, figureDigits}},
				{"share_of_light", digits{s.Share, figureDigits}},
				{"cycles", digits{s.Cycles, figureDigits}},
				{"say", s.Say},
				{"figures", planFigures(flickerFigures(s), explain)},
			})
		}
		cues[i] = object{
			{"cue", c.Name},
			{"camera", c.Settings},
			{"verdict", string(c.Worst)},
			{"sources", sources},
			{"mains_safe_deg", figureJSON(c.Safe)},
			{"mains_any_angle", c.AnySafe},
		}
	}
	return writeJSON(w, object{{"version", jsonVersion}, {"shoot", r.Name}, {"cues", cues}, {"notes", r.Notes}})
}

// flickerChart draws the first cue.
func flickerChart(r *plan.Flicker) []byte {
	picture := &chart.Flicker{Title: r.Name, Seen: plan.SeenRipple}
	if len(r.Cues) > 0 {
		c := &r.Cues[0]
		picture.Subtitle = c.Name + ", " + c.Settings
		for j, p := range c.Patterns(plotRows) {
			light := chart.FlickerLight{Name: c.Sources[j].Name, Verdict: string(c.Sources[j].Verdict)}
			if p != nil {
				light.Rows, light.Values = p.Rows, p.Values
			}
			picture.Lights = append(picture.Lights, light)
		}
	}
	return picture.SVG()
}

// flickerProblems are the warnings that check gives of flicker.
func flickerProblems(shoot *cue.Shoot) []tomlfile.Problem {
	if shoot == nil {
		return nil
	}
	var ps []tomlfile.Problem
	for _, f := range plan.FlickerFaults(shoot) {
		ps = append(ps, tomlfile.Problem{Pos: tomlfile.Pos(f.Origin), Warning: true, What: f.What, Cure: f.Cure})
	}
	return ps
}
