package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/plan"
	"limn/fixtures/quantity"
	"limn/fixtures/reflect"
)

type reflectFlags struct {
	cues                []string
	picture, sheet      string
	size                string
	even                bool
	lines               []string
	distance, lineWidth string
	dots                bool
	workers             int
	json, explain       bool
}

const (
	defaultPicture = "960x640"
	maxPicture     = 8000 // pixels either way
	maxWorkers     = 64
	// defaultLineAt is where a source or card for a line is looked for: within reach of
	// a stand beside a table (common practice, no source).
	defaultLineAt = "0.6 m"
)

func newReflect(std stdio) *cobra.Command {
	var f reflectFlags
	cmd := &cobra.Command{
		Use:   "reflect [SHOOT]",
		Short: "What the varnish mirrors: where each light and card shows, pictures, and the reverse",
		Long: `Finds, for every cue or those named, where the mirror image of each light and card lies
on the model as the camera sees it, how bright it is against the body, between which
azimuths of the table it stays, how fast it moves, and whether diodes show as dots.

--picture draws the model from the camera, --sheet one picture of every cue with its
caption. --line asks the reverse: for a line of light along the model, where a source or
card must stand, how long and how wide.

` + "A line is " + plan.LineHelp + ".",
		Example: `  limn reflect harbour --cue bow
  limn reflect harbour --cue bow --picture bow.png
  limn reflect harbour --sheet contact.png
  limn reflect harbour --cue bow --line "starboard upper edge 10 % to 60 %" --distance "0.7 m"
  limn reflect harbour --dots`,
		GroupID:           groupFigures,
		Args:              atMostOne,
		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			size, opt, err := f.options()
			if err != nil {
				return err
			}
			shoot, dir, err := reportShoot(args, std)
			if err != nil {
				return err
			}
			opt.Mesh = readMesh(shoot, dir, std)
			return reflectShoot(cmd.Context(), shoot, &f, size, opt, std)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.cues, "cue", nil, "only the cue of this `NAME`; may be given again")
	fl.StringVar(&f.picture, "picture", "", "draw the cue into `FILE`.png")
	fl.StringVar(&f.sheet, "sheet", "", "draw all cues onto one sheet, `FILE`.png")
	fl.StringVar(&f.size, "size", defaultPicture, "size of a picture, `WIDTHxHEIGHT` in pixels")
	fl.BoolVar(&f.even, "even", false, "expose every picture by its own light, not as the camera is set")
	fl.StringArrayVar(&f.lines, "line", nil, "where must a source or card stand for this `LINE`; may be given again")
	fl.StringVar(&f.distance, "distance", defaultLineAt, "how far from the aim point it may stand: `LENGTH`")
	fl.StringVar(&f.lineWidth, "line-width", "0 mm", "how wide the line is on the model: `LENGTH` (as thin as can be if left out)")
	fl.BoolVar(&f.dots, "dots", false, "only whether diodes show as dots")
	fl.IntVar(&f.workers, "workers", 0, "how many rows are worked at once: `N` (as many as there are processors if left out)")
	fl.BoolVar(&f.explain, "explain", false, "show formula, inputs, source and validity of every figure")
	fl.BoolVar(&f.json, "json", false, "print one JSON object")
	must(cmd.MarkFlagFilename("picture", "png"))
	must(cmd.MarkFlagFilename("sheet", "png"))
	must(cmd.RegisterFlagCompletionFunc("cue", completeCues))
	return cmd
}

// options reads the flags, before any work is done.
func (f *reflectFlags) options() (size reflect.Size, opt plan.MirrorOptions, err error) {
	opt = plan.MirrorOptions{Cues: f.cues, Effort: reflect.Effort{Workers: f.workers}}
	if f.workers < 0 || f.workers > maxWorkers {
		return size, opt, usagef("leave it out for as many as there are processors", "--workers: %d is not from 0 to %d", f.workers, maxWorkers)
	}
	if size, err = pictureSize(f.size); err != nil {
		return size, opt, err
	}
	for _, file := range []struct{ flag, name string }{{"picture", f.picture}, {"sheet", f.sheet}} {
		if file.name != "" && !strings.EqualFold(filepath.Ext(file.name), ".png") {
			return size, opt, usagef("write --"+file.flag+" bow.png", "--%s: %q does not end in .png", file.flag, file.name)
		}
	}
	at, err := quantity.ParseLength(f.distance)
	if err != nil {
		return size, opt, badFlag("distance", err)
	}
	wide, err := quantity.ParseLength(f.lineWidth)
	if err != nil {
		return size, opt, badFlag("line-width", err)
	}
	for _, text := range f.lines {
		stroke, err := plan.ParseLine(text)
		var bad *plan.LineError
		if errors.As(err, &bad) {
			return size, opt, usagef(bad.Cure, "--line %q: %s", text, bad.What)
		}
		stroke.Width = wide.Metres
		opt.Lines = append(opt.Lines, plan.Line{Text: text, Stroke: stroke, Distance: at.Metres})
	}
	return size, opt, nil
}

// pictureSize reads WIDTHxHEIGHT.
func pictureSize(text string) (reflect.Size, error) {
	w, h, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(text, " ", "")), "x")
	width, errW := strconv.Atoi(w)
	height, errH := strconv.Atoi(h)
	if !ok || errW != nil || errH != nil || width < 1 || height < 1 || width > maxPicture || height > maxPicture {
		return reflect.Size{}, usagef(fmt.Sprintf("write --size %s; up to %d either way", defaultPicture, maxPicture), "--size: %q is no size in pixels", text)
	}
	return reflect.Size{Width: width, Height: height}, nil
}

func reflectShoot(ctx context.Context, shoot *cue.Shoot, f *reflectFlags, size reflect.Size, opt plan.MirrorOptions, std stdio) error {
	if f.picture != "" && len(f.cues) == 0 && len(shoot.Cues) == 1 {
		f.cues = []string{shoot.Cues[0].Name}
	}
	if f.picture != "" && len(f.cues) != 1 {
		return usagef("name it with --cue; --sheet draws all", "--picture draws one cue")
	}
	pictures := f.picture != "" || f.sheet != ""
	silent := pictures && !f.json && !f.dots && !f.explain && len(f.lines) == 0
	opt.Bare = silent || len(f.lines) > 0 && !f.json && !f.dots // a line is a question of its own
	report, err := plan.NewMirror(ctx, shoot, opt)
	if err != nil {
		if ctx.Err() != nil {
			return ended(ctx)
		}
		return planFault(err)
	}
	if pictures {
		if err := reflectPictures(ctx, shoot, report, f, size, opt.Effort, std); err != nil {
			return err
		}
	}
	if f.json {
		return reflectJSON(std.Out, report, f.dots, f.explain)
	}
	if f.dots {
		return dotsText(std.Out, report, f.explain)
	}
	if silent {
		return nil // pictures alone were asked for; where they went is said
	}
	return reflectText(std.Out, report, opt.Bare, f.explain)
}
