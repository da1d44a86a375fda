package main

import (
	"bytes"
	"context"
	"io"
	"os"

	"github.com/spf13/cobra"

	"limn/cmd/internal/dial"
	"limn/cue"
	"limn/fixtures/nearest"
)

// drawFlags are the flags of draw.
type drawFlags struct {
	cue       string
	all       bool
	output    string
	paper     bool
	boatFixed bool
	width     int
}

// drawLines is the height of a picture that goes to no terminal.
const drawLines = 44

func newDraw(std stdio) *cobra.Command {
	var f drawFlags
	cmd := &cobra.Command{
		Use:   "draw [SHOOT] --cue NAME [-o FILE]",
		Short: "Draw a cue: the turntable from above, with every light on it",
		Long: `Draws the light of a cue as it stands when it has settled: the model on the
turntable as it is turned, sources and cards around it to scale, and beside them
what each gives in stops against the key, kelvin and tint. Into an SVG file, or a
PNG or PDF where a converter is installed; without -o in characters, here.

The camera stands below and the model turns; --boat-fixed keeps the model still,
bow up, and turns the room.`,
		Example: `  limn draw harbour --cue bow
  limn draw harbour --cue bow -o bow.svg
  limn draw harbour --all --paper -o lights.pdf`,
		GroupID: groupFigures,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.check(); err != nil {
				return err
			}
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			return draw(cmd.Context(), dir, &f, std)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.cue, "cue", "", "the cue `NAME`")
	fl.BoolVar(&f.all, "all", false, "every cue, on one sheet")
	fl.StringVarP(&f.output, "output", "o", "", "draw into `FILE`.svg, .png or .pdf (- for SVG on standard output)")
	fl.BoolVar(&f.paper, "paper", false, "in ink, for paper")
	fl.BoolVar(&f.boatFixed, "boat-fixed", false, "keep the model still, bow up, and turn the room")
	fl.IntVar(&f.width, "width", dial.WideWidth, "how wide, in `PIXELS`; narrow ones have one column")
	must(cmd.MarkFlagFilename("output", "svg", "png", "pdf"))
	must(cmd.RegisterFlagCompletionFunc("cue", completeCues))
	return cmd
}

// completeCues offers the names of the shoot's cues.
func completeCues(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	dir, err := shootDir(args)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	shoot, _ := loadShoot(dir)
	if shoot == nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return shoot.CueNames(), cobra.ShellCompDirectiveNoFileComp
}

// check finds what does not go together, before anything is read.
func (f *drawFlags) check() error {
	switch {
	case f.all && f.cue != "":
		return usagef("leave one of them out", "--all and --cue cannot stand together")
	case !f.all && f.cue == "":
		return usagef("limn draw harbour --cue bow", "nothing to draw: --cue names a cue, --all takes every one")
	case f.output == "" && f.all:
		return usagef("add -o lights.svg", "--all needs a file to draw into")
	case f.output == "" && (f.paper || f.boatFixed):
		return usagef("add -o bow.svg", "--paper and --boat-fixed need a file to draw into")
	case f.width < dial.MinWidth || f.width > dial.MaxWidth:
		return usagef("leave --width out for the usual one", "--width %d is not from %d to %d", f.width, dial.MinWidth, dial.MaxWidth)
	}
	return nil
}

func draw(ctx context.Context, dir string, f *drawFlags, std stdio) error {
	var file *drawFile
	if f.output != "" {
		var err error
		if file, err = newDrawFile(f.output, std.Out); err != nil {
			return err
		}
	}
	shoot, err := openShoot(dir, std)
	if err != nil {
		return err
	}
	cues, err := f.cues(shoot, dir)
	if err != nil {
		return err
	}
	snaps, err := settled(ctx, shoot, cues)
	if err != nil {
		return err
	}
	if file == nil {
		width, lines := width(std.Out)-1, height(std.Out)-1
		if lines <= 0 {
			lines = drawLines
		}
		_, err := io.WriteString(std.Out, dial.Text(shoot, snaps[0], width, lines, inColour(std.Out))+"\n")
		return err
	}
	var svg bytes.Buffer
	opt := dial.Options{Width: f.width}
	if f.paper {
		opt.Theme = dial.Ink
	}
	if f.boatFixed {
		opt.Frame = dial.Boat
	}
	if f.all {
		err = dial.Sheet(&svg, shoot, snaps, opt)
		if len(snaps) > dial.MaxSheet {
			note(std.Err, "the sheet holds the first %d of %d cues; draw the rest with --cue", dial.MaxSheet, len(snaps))
		}
	} else {
		err = dial.SVG(&svg, shoot, snaps[0], opt)
	}
	if err != nil {
		return err
	}
	return file.write(ctx, svg.Bytes())
}

// cues are the cues asked for, by index.
func (f *drawFlags) cues(shoot *cue.Shoot, dir string) ([]int, error) {
	if len(shoot.Cues) == 0 {
		return nil, failuref(statusFailed, "write the first one into cues.toml", "%s has no cues yet", dir)
	}
	if f.all {
		all := make([]int, len(shoot.Cues))
		for i := range all {
			all[i] = i
		}
		return all, nil
	}
	i := shoot.CueIndex(f.cue)
	if i < 0 {
		return nil, usagef(nearest.DidYouMean(f.cue, shoot.CueNames()), "there is no cue %q", f.cue)
	}
	return []int{i}, nil
}

// inColour says whether escape sequences for colours may be written there.
func inColour(w io.Writer) bool { return canRedraw(w) && os.Getenv("NO_COLOR") == "" }
