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
	fresh    bool
	lines    bool
	forT     duration
	counters string
	azimuth  string
	anyone   bool
	capture  captureFlags
}

func newRun(std stdio) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "run [SHOOT]",
		Short: "Play a shoot on its lights, from the screen or line by line",
		Long: `Plays a shoot on the outputs of its rig.toml. Enter goes on: to the next cue, or,
where hands were asked to turn the model or move a card, it says that this is done.
The words of the grammar do the rest (help lists them): trim and keep, looks,
one light alone, new angles. What is kept is written into the shoot's files in
place, and what others write there fades in. Nothing is sent before the first command. A node or an adapter that is missing is reported and tried again,
and the others go on. Ctrl-C ends the run the way each output's on-exit says;
a second Ctrl-C ends it at once.

In a terminal the turntable is drawn, with its lights and what comes next, and single keys
do all that words do; they stand below the picture, and ? lists every one. Page Down
and Page Up, a presenter's clicker, step. Dark needs its key twice within a second: a terminal
does not tell how long a key is held. Keys of your own go into limn/keys.toml in your
folder of settings:

  [keys]
  "go on" = ["enter", "f5"]          # the middle button of a clicker
  next    = ["pgdown", "space"]
  [say]
  f2      = "look dusk on"
  f3      = "trim {light} up 1 stop" # the light in hand

--lines goes line by line there too, and so does everything that is no terminal.

What is done goes into a journal, .limn/journal in the shoot's folder. A run that broke
off, by a crash or a cable, is taken up by the next: same cue, trims, looks and fade, at
once and without a word; --fresh begins anew. limn replay plays a journal again.

The pictures of a sequence are yours to fire and to confirm, or those of a command
(--capture), which is told cue, angle, step, focus and a file name as LIMN_CUE,
LIMN_ANGLE, LIMN_STEP, LIMN_FOCUS, LIMN_NAME and so on. Where it fails the sequence
stays where it is, with its light. A table that turns by itself and tells its angle is
followed by --azimuth.

Caution: bright LEDs hurt at close range, and a motor-driven table moves by
itself. Look away from the sources and keep hands clear before the first command.`,
		Example: `  limn run harbour
  limn run harbour --do "0s next; 6s next; 12s dark" --for 15s --yes
  limn run harbour --headless --yes --do-file afternoon.txt
  limn run harbour --capture './fire.sh "$LIMN_NAME"' --first-image 4711
  limn run harbour --azimuth udp:127.0.0.1:9000`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			if err := f.check(); err != nil {
				return err
			}
			return play(cmd.Context(), dir, f, std)
		},
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.fresh, "fresh", false, "begin anew, even if the last run broke off")
	fl.BoolVar(&f.lines, "lines", false, "go line by line in a terminal too, without the screen")
	fl.BoolVar(&f.headless, "headless", false, "take no commands from standard input")
	fl.BoolVar(&f.yes, "yes", false, "drive the lights without asking; needed where nobody can be asked")
	f.add(fl)
	fl.Var(&f.forT, "for", "end after this `TIME` (\"20s\"), by each output's on-exit")
	fl.StringVar(&f.counters, "counters", "", "at the end, write what the sender counted to `FILE` as JSON (- for standard output)")
	f.capture.add(fl)
	fl.StringVar(&f.azimuth, "azimuth", "", "hear the table's angle `FROM` udp:127.0.0.1:PORT, or from standard input (-), a number of degrees a line")
	fl.BoolVar(&f.anyone, "azimuth-anyone", false, "hear it from other computers too: whoever can send there turns the light")
	return cmd
}

// check refuses flags that make no sense together.
func (f *runFlags) check() error {
	switch {
	case f.azimuth == stdinAzimuth && f.doFile == "-":
		return usagef("give the program in a file, or the angles by udp:127.0.0.1:PORT", "--azimuth - and --do-file - both take standard input")
	case f.anyone && f.azimuth == "":
		return usagef("write --azimuth udp:ADDRESS:PORT too", "--azimuth-anyone is for --azimuth")
	case f.capture.image > 0 && f.given():
		return usagef(`write "0s picture N" at the start of the program`, "--first-image is for runs by hand")
	}
	return f.capture.check()
}

// play runs a shoot until it is told to end.
func play(ctx context.Context, dir string, f runFlags, std stdio) error {
	in := &operator{ctx: ctx, std: std, mute: f.headless || f.azimuth == stdinAzimuth}
	front, err := screenFor(in, f.lines)
	if err != nil {
		return err
	}
	seat, err := sit(dir, &f, std, in.agrees)
	if err != nil {
		return err
	}
	defer seat.lock.Release()
	shoot := seat.engine.Shoot()
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
	if err := f.mayDrive(in, outs); err != nil {
		closeAll(outs)
		return err
	}
	st, err := stageFor(seat.engine, seat.first, outs, policies(shoot), events.put)
	if err != nil {
		return err
	}
	ctx, cancel := forTime(ctx, f.forT)
	defer cancel()
	azimuths, err := openAzimuth(ctx, f.azimuth, f.anyone, std.In, events.tell)
	if err != nil {
		closeAll(outs)
		return err
	}
	stopTime, err := sendTimeCode(shoot, st.now, events.tell)
	if err != nil {
		cancel()
		azimuths.end()
		closeAll(outs)
		return err
	}
	defer stopTime()
	opening(std.Err, shoot, outs, f, len(program), seat)
	if word := seat.record(); word != "" {
		note(std.Err, "%s", word)
	}
	for _, c := range program {
		st.engine.DoAt(c.K(), c.Command)
	}
	if f.capture.image > 0 {
		st.engine.Do(operate.Command{Verb: operate.Picture, Number: f.capture.image})
	}
	d := &desk{
		stage: st, out: std.Out, err: std.Err, typed: front.typed(ctx, in), terminal: isTerminal(std.In), events: events,
		changes:  seat.folder.Watch(ctx),
		recorder: seat.recorder, captures: newCaptures(ctx, &f.capture), turned: turned{source: azimuths},
		lit: litSince(seat.run),
	}
	d.captures.byHand = seat.firing()
	guard := newFlashGuard(st.engine, st.tape, &seat.recorder.byHand)
	st.start()
	st.beside(guard.work)
	front.work(ctx, d)
	cancel()
	d.captures.end()
	azimuths.end()
	lost := st.unreached()
	if lost == nil {
		note(std.Err, "%s", closing(shoot))
	}
	err = st.end()
	if e := seat.recorder.end(); e != nil {
		note(std.Err, "warning: %v", e)
	}
	if err != nil {
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

// operator is who may be asked before the light plays, and types afterwards.
type operator struct {
	ctx   context.Context
	std   stdio
	mute  bool // nobody types commands here
	once  bool // what is typed after the questions is the screen's
	typed <-chan string
}

// there says whether somebody sits at a terminal and can be asked.
func (o *operator) there() bool { return !o.mute && isTerminal(o.std.In) }

// agrees asks a question; false where nobody can be asked.
func (o *operator) agrees(question string) bool {
	if !o.there() {
		return false
	}
	if o.once {
		return askOperator(o.ctx, o.std, oneLine(o.ctx, o.std.In), question)
	}
	return askOperator(o.ctx, o.std, o.lines(o.ctx), question)
}

// lines are what is typed; nil where nobody types. They are read from the first question on.
func (o *operator) lines(ctx context.Context) <-chan string {
	if o.typed == nil && !o.mute {
		o.typed = typedLines(ctx, o.std.In)
	}
	return o.typed
}

// mayDrive asks before lights are driven by a program, and refuses where nobody
// can be asked. Commands typed at a terminal are an answer in themselves.
func (f *runFlags) mayDrive(in *operator, outs []opened) error {
	var lit []string
	for _, o := range outs {
		if o.lights {
			lit = append(lit, fmt.Sprintf("%s (%s)", o.Name(), o.Status().Where))
		}
	}
	if f.yes || len(lit) == 0 {
		return nil
	}
	where := strings.Join(lit, ", ")
	switch {
	case !in.there():
		return usagef("add --yes once nobody can be dazzled, burnt or caught by what moves",
			"this drives lights on %s, and nobody can be asked", where)
	case !f.given(), in.agrees(fmt.Sprintf("This drives lights on %s. Go on?", where)):
		return nil
	case in.ctx.Err() != nil:
		return said(statusInterrupted)
	}
	return failuref(statusFailed, "", "not driven")
}

// opening says where the light will go and what to type.
func opening(w io.Writer, shoot *cue.Shoot, outs []opened, f runFlags, commands int, s *seat) {
	note(w, "%s: %s", shoot.Subject.Name, count(len(shoot.Cues), "cue"))
	for _, o := range outs {
		note(w, "output %s: universe %s to %s", o.Name(), joined(o.Universes()), o.Status().Where)
	}
	if commands > 0 {
		note(w, "%s from the program", count(commands, "command"))
	}
	if s.run != nil {
		s.tell(w)
		return
	}
	if !f.headless && f.azimuth != stdinAzimuth {
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
