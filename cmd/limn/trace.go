package main

import (
	"bufio"
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"limn/cue/operate"
	"limn/dmx/pace"
	"limn/fixtures"
)

type traceFlags struct {
	programFlags
	forT    duration
	json    bool
	cells   bool
	changes bool
	write   bool
}

func newTrace(std stdio) *cobra.Command {
	var f traceFlags
	cmd := &cobra.Command{
		Use:   "trace [SHOOT]",
		Short: "Play a program of commands on a virtual clock, frame by frame",
		Long: `Plays a program of commands on a virtual clock, far faster than life, and
prints every frame: the light asked of each source, the light its slots give,
and the slots. The same shoot and program give the same text. What hands have
to do counts as done at once, unless the program itself says confirm. It ends
one frame after the last command has settled, or at --for. Nothing is sent, and
no file is changed: what the program keeps counts for this trace, unless --write
says to edit the files.

The light of a ramp is the mean of its cells; --cells gives every one of them.`,
		Example: `  limn trace harbour --do "0s next; 6s next; 12s dark"
  limn trace harbour --do "0s go beam" --json | tail -1
  limn trace harbour --do "0s go beam; 2s trim sky down 1/3 stop; 3s keep" --write
  limn trace harbour --do-file day.txt --json --changes > day.jsonl`,
		GroupID: groupBench,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			return trace(cmd.Context(), dir, f, std)
		},
	}
	fl := cmd.Flags()
	f.add(fl)
	fl.Var(&f.forT, "for", "end at this `TIME` (\"20s\") on the virtual clock")
	fl.BoolVar(&f.json, "json", false, "print one JSON object a frame")
	fl.BoolVar(&f.cells, "cells", false, "with --json: add the light asked of each cell of a ramp")
	fl.BoolVar(&f.write, "write", false, "let keep and the like really edit the files; without it they count for this trace alone")
	fl.BoolVar(&f.changes, "changes", false, "leave out frames that repeat the one before")
	return cmd
}

func trace(ctx context.Context, dir string, f traceFlags, std stdio) error {
	folder, shoot, err := openFolder(dir, std)
	if err != nil {
		return err
	}
	program, err := f.read(shoot, std)
	if err != nil {
		return err
	}
	if len(program) == 0 && !f.forT.given() {
		return usagef(`limn trace `+dir+` --do "0s next; 6s next; 12s dark"`, "nothing to play: no --do, --do-file or --for")
	}
	if f.cells && !f.json {
		return usagef("add --json, or leave --cells out", "--cells goes with --json")
	}
	out := bufio.NewWriterSize(std.Out, 1<<16)
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		return err
	}
	var p printer
	if f.json {
		p = newJSONTrace(shoot, r.Universes(), out, f.changes, f.cells)
	} else {
		p = newTextTrace(shoot, r, out, f.changes)
	}
	frames := int64(0) // until all has settled
	if f.forT.given() {
		frames = framesIn(f.forT.seconds) + 1
	}
	how := operate.Tracing{Frames: frames, Folder: folder, Write: f.write}
	ending, err := how.Play(shoot, program, func(fr *operate.Frame) error {
		if fr.K%lookEvery == 0 && ctx.Err() != nil {
			return ended(ctx)
		}
		for _, s := range fr.Said {
			noteReply(std.Err, pace.Offset(fr.K).Seconds(), &s.Reply)
		}
		return p.frame(fr)
	})
	if e := out.Flush(); err == nil {
		err = e
	}
	switch ending {
	case operate.EndWaiting:
		note(std.Err, "it ends waiting for hands; the program never confirms what they are asked")
	case operate.EndHeld:
		note(std.Err, "it ends held; the program never resumes")
	}
	return err
}

// noteReply says what came of a command.
func noteReply(w io.Writer, seconds float64, r *operate.Reply) {
	for _, n := range r.Notices {
		note(w, "%.3f s: %s", seconds, n)
	}
	if r.Ask != nil {
		for line := range strings.Lines(r.Ask.String()) {
			note(w, "%.3f s: %s", seconds, strings.TrimRight(line, "\n"))
		}
	}
}

// lookEvery is how many frames pass between looks for Ctrl-C.
const lookEvery = pace.Rate

// framesIn is the number of the last frame that lies within a time.
func framesIn(seconds float64) int64 {
	k := int64(seconds * pace.Rate)
	for pace.Offset(k).Seconds() > seconds {
		k--
	}
	for pace.Offset(k+1).Seconds() <= seconds {
		k++
	}
	return k
}

// printer prints one frame of a trace.
type printer interface {
	frame(f *operate.Frame) error
}
