package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/fixtures/colour"
)

type mixFlags struct {
	profile  string
	profiles bool
	shoot    string
	measured string // calibration file
	colour   string
	white    string
	level    string
	emitters []string
	bits     int
	prefer   string
	batch    string
	json     bool
	plot     string
	survey   string
	csv      string
}

func newMix(std stdio) *cobra.Command {
	var f mixFlags
	cmd := &cobra.Command{
		Use:   "mix",
		Short: "Find the drives and slots that give a colour",
		Long: `Finds how far to drive each emitter of a light so that it gives a colour, and
which slots say so: exact where the light can, the nearest it can make where it
cannot, rounded to the codes that fit best. The light is one of a profile, or
emitters given by hand. --survey asks a light for white after white and shows
what it is good for.`,
		Example: `  limn mix --profile bicolour-panel --colour "5600 K" --level "50 %"
  limn mix --profiles
  limn mix --emitter warm=0.46,0.41,300,18 --emitter cool=0.31,0.32,320,18 --colour "4300 K" --bits 8
  limn mix --profile rgbww-panel --colour "4300 K" --plot mix.svg
  limn mix --survey rgbww-panel --plot panel.svg --csv panel.csv
  limn mix --profile bicolour-panel --calibration harbour/calibrations/sky.toml --level "10 %"
  limn mix --batch problems.jsonl > answers.jsonl`,
		GroupID: groupFigures,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			for _, pair := range [][]string{
				{"profile", "emitter", "batch", "survey"},
				{"profile", "bits"},
				{"survey", "colour"},
				{"survey", "white"},
				{"survey", "bits"},
				{"plot", "batch"},
				{"plot", "profiles"},
				{"survey", "profiles"},
				{"csv", "profile"},
				{"csv", "emitter"},
				{"csv", "batch"},
				{"csv", "profiles"},
				{"batch", "json"},
				{"batch", "colour"},
				{"profiles", "profile", "emitter", "batch"},
				{"batch", "level"},
				{"batch", "bits"},
				{"batch", "prefer"},
				{"emitter", "shoot"},
				{"batch", "shoot"},
				{"calibration", "emitter"},
				{"calibration", "batch"},
				{"calibration", "profiles"},
			} {
				if err := exclusive(cmd, pair...); err != nil {
					return err
				}
			}
			if f.csv == "-" && f.json {
				return usagef("give --csv a file, or leave one of them out", "--csv - and --json both want standard output")
			}
			switch {
			case f.profiles:
				return listProfiles(&f, std)
			case f.batch != "":
				return mixBatch(f.batch, std)
			case f.survey != "":
				return mixSurvey(cmd.Context(), &f, std)
			case f.profile != "":
				return mixProfile(cmd.Context(), &f, std)
			case len(f.emitters) > 0:
				return mixEmitters(cmd.Context(), &f, std)
			}
			return usagef(`limn mix --profile bicolour-panel --colour "5600 K"`, "no light given: one of --profile, --emitter, --survey, --batch is needed")
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.profile, "profile", "", "`NAME` of a light's profile")
	fl.BoolVar(&f.profiles, "profiles", false, "list the profiles there are")
	fl.StringVar(&f.shoot, "shoot", "", "look for profiles in the shoot in `DIR` first")
	fl.StringVar(&f.measured, "calibration", "", "lay what was measured of one light, in `FILE`, over its profile")
	fl.StringArrayVar(&f.emitters, "emitter", nil, "an emitter `NAME=x,y,Y[,watts]` at full drive; once for each")
	fl.IntVar(&f.bits, "bits", 0, "with --emitter: round to `BITS`, 8 or 16; 0 = exact")
	fl.StringVar(&f.colour, "colour", "white", "the `COLOUR` wanted: \"5600 K tint +0.003\", \"#ff6a1a\", \"xy 0.45 0.41\"")
	fl.StringVar(&f.white, "white", cue.DefaultWhite, "what \"white\" means in --colour: the camera's `WHITE`")
	fl.StringVar(&f.level, "level", "100 %", "how much, of the most at that colour: a `LEVEL` like \"50 %\" or \"-1.5 stops\"")
	fl.StringVar(&f.prefer, "prefer", "even", "what freedom is spent on: `GOAL` even, power, or spectrum where the profile tells spectra")
	fl.StringVar(&f.batch, "batch", "", "read problems from `FILE` (- for standard input), one JSON object a line, and answer so")
	fl.StringVar(&f.plot, "plot", "", "draw it into `FILE`.svg, or .png where a converter is installed")
	fl.StringVar(&f.survey, "survey", "", "survey the light of profile `NAME` from 2000 to 10000 K")
	fl.StringVar(&f.csv, "csv", "", "with --survey: write its figures to `FILE` (- for standard output)")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	must(cmd.MarkFlagDirname("shoot"))
	must(cmd.RegisterFlagCompletionFunc("profile", func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		library, err := openLibrary(f.shoot, std)
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return library.Names(), cobra.ShellCompDirectiveNoFileComp
	}))
	return cmd
}

// mixEmitters answers for emitters given by hand.
func mixEmitters(ctx context.Context, f *mixFlags, std stdio) error {
	p := problem{ID: []byte("null"), Bits: f.bits}
	for _, text := range f.emitters {
		e, err := parseEmitterFlag(text)
		if err != nil {
			return usagef("limn mix --emitter warm=0.46,0.41,300,18 ...", "--emitter %q: %v", text, err)
		}
		p.Emitters = append(p.Emitters, e)
	}
	var err error
	if p.Target, err = parseColour(f.colour, f.white); err != nil {
		return err
	}
	if p.Prefer, err = parsePrefer(f.prefer); err != nil {
		return badFlag("prefer", err)
	}
	share, err := parseShare(f.level)
	if err != nil {
		return badFlag("level", err)
	}
	if err := p.check(); err != nil {
		return usagef("", "%v", err)
	}
	most, err := p.most()
	if err != nil {
		return usagef("", "%v", err)
	}
	p.Y = float64(share * most)
	a, err := p.solve()
	if err != nil {
		return usagef("", "%v", err)
	}
	if f.plot != "" {
		plot, err := newPlotFile(f.plot)
		if err != nil {
			return err
		}
		if err := plot.write(ctx, a.emittersChart(&p, f.colour, f.level).SVG()); err != nil {
			return err
		}
	}
	if f.json {
		return writeJSON(std.Out, a.object(&p))
	}
	_, err = io.WriteString(std.Out, a.text(&p, f.colour, f.level))
	return err
}

// parseEmitterFlag reads NAME=x,y,Y[,watts].
func parseEmitterFlag(text string) (e emitter, err error) {
	name, rest, ok := strings.Cut(text, "=")
	if !ok {
		return e, errors.New("no = in it; write NAME=x,y,Y or NAME=x,y,Y,watts")
	}
	parts := strings.Split(rest, ",")
	if len(parts) < 3 || len(parts) > 4 {
		return e, fmt.Errorf("%s after the =; three or four are needed, x,y,Y[,watts]", count(len(parts), "number"))
	}
	var v [4]float64
	for i, part := range parts {
		if v[i], err = strconv.ParseFloat(strings.TrimSpace(part), 64); err != nil {
			return e, fmt.Errorf("%q is no number", strings.TrimSpace(part))
		}
	}
	return emitter{Name: strings.TrimSpace(name), XY: colour.XY{X: v[0], Y: v[1]}, Y: v[2], Watts: v[3]}, nil
}

// mixBatch answers JSON lines with JSON lines, in order.
func mixBatch(name string, std stdio) error {
	in, err := openFile(name, std)
	if err != nil {
		return err
	}
	defer in.Close()
	out := bufio.NewWriter(std.Out)
	lines, bad := newLineReader(in), 0
	for {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil && !errors.Is(err, errLongLine) {
			return fmt.Errorf("reading %s: %w", name, err)
		}
		if err == nil && strings.TrimSpace(string(line)) == "" {
			continue
		}
		reply, ok := mixLine(line, err)
		if !ok {
			bad++
		}
		if err := writeJSON(out, reply); err != nil {
			return err
		}
		if !lines.waiting() {
			if err := out.Flush(); err != nil {
				return err
			}
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	if bad > 0 {
		return failuref(statusFailed, `their answers carry "error"`, "%s of %s could not be answered", count(bad, "line"), name)
	}
	return nil
}

// mixLine answers one line of a batch.
func mixLine(line []byte, err error) (reply any, ok bool) {
	if err != nil {
		return refusal([]byte("null"), err), false
	}
	p, err := parseProblem(line)
	if err != nil {
		return refusal(p.ID, err), false
	}
	a, err := p.solve()
	if err != nil {
		return refusal(p.ID, err), false
	}
	return a.object(&p), true
}
