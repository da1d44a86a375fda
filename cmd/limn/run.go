package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/cue/operate"
	"limn/dmx"
)

type runFlags struct {
	programFlags
	headless bool
	yes      bool
	forT     duration
	counters string
}

func newRun(std stdio) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "run [SHOOT]",
		Short: "Play a shoot on its lights, line by line",
		Long: `Plays a shoot on the outputs of its rig.toml. Enter goes on: to the next cue, or,
where hands were asked to turn the model or move a card, it says that this is done.
The words of the grammar do the rest (help lists them): trim and keep, looks,
one light alone, new angles. What is kept is written into the shoot's files in
place, and what others write there fades in. Nothing is sent before the first command. A node or an adapter that is missing is reported and tried again,
and the others go on. Ctrl-C ends the run the way each output's on-exit says;
a second Ctrl-C ends it at once.

Caution: bright LEDs hurt at close range, and a motor-driven table moves by
itself. Look away from the sources and keep hands clear before the first command.`,
		Example: `  limn run harbour
  limn run harbour --do "0s next; 6s next; 12s dark" --for 15s --yes
  limn run harbour --headless --yes --do-file afternoon.txt`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			return play(cmd.Context(), dir, f, std)
		},
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.headless, "headless", false, "take no commands from standard input")
	fl.BoolVar(&f.yes, "yes", false, "drive the lights without asking; needed where nobody can be asked")
	f.add(fl)
	fl.Var(&f.forT, "for", "end after this `TIME` (\"20s\"), by each output's on-exit")
	fl.StringVar(&f.counters, "counters", "", "at the end, write what the sender counted to `FILE` as JSON (- for standard output)")
	return cmd
}

// play runs a shoot until it is told to end.
func play(ctx context.Context, dir string, f runFlags, std stdio) error {
	folder, shoot, err := openFolder(dir, std)
	if err != nil {
		return err
	}
	program, err := f.read(shoot, std)
	if err != nil {
		return err
	}
	events := newEvents()
	wires, err := openOutputs(shoot, events.tell)
	if err != nil {
		return err
	}
	defer wires.close()
	outs := wires.outs
	typed, err := f.mayDrive(ctx, outs, std)
	if err != nil {
		closeAll(outs)
		return err
	}
	st, err := newStage(shoot, outs, policies(shoot), operate.Options{Folder: folder, Write: true}, events.put)
	if err != nil {
		return err
	}
	ctx, cancel := forTime(ctx, f.forT)
	defer cancel()
	if typed == nil && !f.headless {
		typed = typedLines(ctx, std.In)
	}
	opening(std.Err, shoot, outs, f, len(program))
	for _, c := range program {
		st.engine.DoAt(c.K(), c.Command)
	}
	stopTime, err := sendTimeCode(shoot, st.now, events.tell)
	if err != nil {
		closeAll(outs)
		return err
	}
	defer stopTime()
	st.start()
	d := &desk{
		stage: st, out: std.Out, err: std.Err, typed: typed, terminal: isTerminal(std.In), events: events,
		changes: folder.Watch(ctx),
	}
	d.work(ctx)
	lost := st.unreached()
	if lost == nil {
		note(std.Err, "%s", closing(shoot))
	}
	if err := st.end(); err != nil {
		return err
	}
	if err := writeCounters(f.counters, st.loop.Counters(), std); err != nil {
		return err
	}
	if !d.quit {
		if err := ended(ctx); err != nil {
			return err
		}
	}
	return lost
}

// mayDrive asks before lights are driven by a program, and refuses where nobody
// can be asked. Commands typed at a terminal are an answer in themselves.
func (f *runFlags) mayDrive(ctx context.Context, outs []opened, std stdio) (<-chan string, error) {
	var lit []string
	for _, o := range outs {
		if o.lights {
			lit = append(lit, fmt.Sprintf("%s (%s)", o.Name(), o.Status().Where))
		}
	}
	if f.yes || len(lit) == 0 {
		return nil, nil
	}
	where := strings.Join(lit, ", ")
	if f.headless || !isTerminal(std.In) {
		return nil, usagef("add --yes once nobody can be dazzled, burnt or caught by what moves",
			"this drives lights on %s, and nobody can be asked", where)
	}
	if !f.given() {
		return nil, nil
	}
	fmt.Fprintf(std.Err, "This drives lights on %s. Go on? [y/N] ", clean(where))
	typed := typedLines(ctx, std.In)
	select {
	case line := <-typed:
		if strings.EqualFold(line, "y") || strings.EqualFold(line, "yes") {
			return typed, nil
		}
		return nil, failuref(statusFailed, "", "not driven")
	case <-ctx.Done():
		return nil, said(statusInterrupted)
	}
}

// opening says where the light will go and what to type.
func opening(w io.Writer, shoot *cue.Shoot, outs []opened, f runFlags, commands int) {
	note(w, "%s: %s", shoot.Subject.Name, count(len(shoot.Cues), "cue"))
	for _, o := range outs {
		note(w, "output %s: universe %s to %s", o.Name(), joined(o.Universes()), o.Status().Where)
	}
	if commands > 0 {
		note(w, "%s from the program", count(commands, "command"))
	}
	if !f.headless {
		note(w, "Enter goes on; help lists the words; nothing is sent before the first command")
		note(w, "the first cue fades up from black, whatever the lights show now")
	}
}

// closing says how the lights are left.
func closing(shoot *cue.Shoot) string {
	var parts []string
	for _, o := range shoot.Outputs {
		how := map[string]string{
			cue.Leave:   "last frame three times, then silence",
			cue.FadeOut: "fade to dark",
			cue.GoDark:  "dark at once",
		}[o.OnExit]
		parts = append(parts, fmt.Sprintf("%s: %s", o.Name, how))
	}
	return "ending; " + strings.Join(parts, "; ")
}

func joined(us []dmx.Universe) string {
	words := make([]string, len(us))
	for i, u := range us {
		words[i] = fmt.Sprint(u)
	}
	return strings.Join(words, ", ")
}
