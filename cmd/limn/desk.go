package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/dmx"
)

// watchEvery is how often the state is looked at for something to say.
const watchEvery = 50 * time.Millisecond

// rollingWords end what is asked before a table turns for the camera.
const rollingWords = ": rolling?"

// desk is the line-by-line operator: lines in, what changes out. One goroutine
// reads, decides and prints, so that lines never mix.
type desk struct {
	stage    *stage
	out, err io.Writer
	typed    <-chan string // nil: nobody types
	terminal bool          // the typing is done at a terminal
	events   *events
	changes  <-chan files.Event // of the shoot's folder by others; nil: nobody watches

	recorder *recorder
	captures *captures
	turned   turned // what a table tells that turns by itself

	said     shown
	asked    bool // for the status
	began    time.Time
	notices  []string
	warnings []string // that are in the journal
	quit     bool

	lit map[string]time.Time // since when each source has been lit, by name

	hands    bool   // hands are waited for
	sequence string // that runs
	takes    int    // number of the take that was asked for last
	latest   int64  // frame in which something was last done
	logged   logged // the settle that is in the journal
}

// logged is what a settle in the journal was.
type logged struct {
	settled bool // the light still stands as it was
	k       int64
	cue     string
	slots   string
}

// work goes on until quit, the end of typing at a terminal, or the end of ctx.
func (d *desk) work(ctx context.Context) {
	d.began = time.Now()
	watch := time.NewTicker(watchEvery)
	defer watch.Stop()
	for !d.quit {
		select {
		case <-ctx.Done():
			d.doneActs()
			d.watch()
			return
		case line, ok := <-d.typed:
			switch {
			case ok:
				d.line(line)
			case d.terminal: // Ctrl-D
				d.quit = true
			default:
				d.typed = nil // a pipe that ran dry; the light goes on
			}
		case <-d.events.ready:
			for _, e := range d.events.take() {
				note(d.err, "%s", eventText(e))
			}
		case ev, ok := <-d.changes:
			if !ok {
				d.changes = nil
				continue
			}
			d.changed(ev)
		case <-d.recorder.acts.ready:
			d.doneActs()
		case r := <-d.captures.results:
			d.came(r)
		case degrees := <-d.turned.heard():
			d.turn(degrees)
		case <-watch.C:
			d.watch()
		}
	}
}

// doneActs follows what was done, by whomever.
func (d *desk) doneActs() {
	for _, done := range d.recorder.acts.take() {
		d.acted(done)
	}
}

// line acts on what was typed: nothing goes on, which is confirm where hands were
// asked for something and next else; a semicolon parts commands, as in a program.
func (d *desk) line(text string) {
	if text == "" {
		d.goOn()
		return
	}
	for part := range strings.SplitSeq(text, ";") {
		if part = strings.TrimSpace(part); part != "" && !d.quit {
			d.command(part)
		}
	}
}

// goOn is Enter alone.
func (d *desk) goOn() {
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	switch {
	case snap.Question != "":
		d.question(&operate.Ask{Text: snap.Question, Choices: snap.Choices})
	case d.captures.busy() && firing(snap.Prompts):
		d.command(string(operate.Confirm)) // which says that it is being taken
	case len(snap.Prompts) > 0 && strings.HasSuffix(snap.Prompts[len(snap.Prompts)-1], rollingWords):
		note(d.out, "%11ssay rolling once the camera runs", "") // the table moves: no matter for an Enter too many
	case len(snap.Prompts) > 0 && slices.Equal(d.said.prompts, snap.Prompts): // they have been read
		d.command(string(operate.Confirm))
	default:
		d.command(string(operate.Next))
	}
}

// command acts on one command.
func (d *desk) command(text string) {
	word, about, _ := strings.Cut(text, " ")
	switch word {
	case "help", "?":
		writeHelp(d.out, strings.TrimSpace(about))
		return
	}
	switch text {
	case "status":
		d.said = shown{}
		d.asked = true
		d.watch()
		return
	case "checklist":
		d.checklist()
		return
	case "quit", "exit":
		d.quit = true
		return
	}
	c, err := d.stage.engine.Parse(text)
	if err != nil {
		report(d.err, err)
		return
	}
	d.doneActs()
	if c.Verb == operate.Confirm || c.Verb == operate.Missed {
		var snap cue.Snapshot
		d.stage.engine.Snapshot(&snap)
		d.seePicture(&snap)
	}
	if c.Verb == operate.Confirm && d.captures.busy() && !d.hands {
		report(d.err, failuref(statusUsage, `missed "REASON" calls it off, stop ends the sequence`, "the picture is still being taken"))
		return
	}
	// What came of it is for watch to say; a question at once, as it may be answered
	// before the next frame.
	if r := d.stage.engine.Do(c); r.Ask != nil {
		d.question(r.Ask)
		d.said.question = r.Ask.Question()
	}
}

// changed takes up what somebody wrote into the folder, or says what is wrong
// with it.
func (d *desk) changed(ev files.Event) {
	note(d.out, "%11s%s changed", "", joinedNames(ev.Files))
	printProblems(d.err, ev.Problems)
	d.stage.engine.Changed(ev)
	d.recorder.rewarn()
}

func joinedNames(names []string) string {
	if len(names) == 0 {
		return "the files"
	}
	return cue.ShortList(names)
}

// shown is what was last said about the state.
type shown struct {
	cue      string
	motion   cue.Motion
	prompts  []string
	question string
	warnings []string
}

// watch prints the state if it is not what was last said.
func (d *desk) watch() {
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	for _, n := range added(d.notices, snap.Notices) {
		if d.captures.hides() && strings.HasSuffix(n, fireWords) {
			continue // a command does it
		}
		note(d.out, "%11s%s", "", n)
	}
	d.notices = snap.Notices
	d.burn(&snap)
	d.follow(&snap)
	now := shown{
		cue: snap.CueName, motion: snap.Motion, prompts: snap.Prompts, question: snap.Question, warnings: snap.Warnings,
	}
	before, asked := d.said, d.asked
	d.said, d.asked = now, false
	for _, w := range now.warnings {
		if !slices.Contains(before.warnings, w) {
			note(d.err, "warning: %s", w)
		}
	}
	prompted := !slices.Equal(now.prompts, before.prompts)
	called := snap.CueName != ""
	shoot := d.stage.engine.Shoot()
	if asked && !called {
		note(d.out, "%11snothing has been called yet, and nothing is sent; Enter calls %q", "", shoot.Cues[0].Name)
	}
	if called && (now.cue != before.cue || now.motion != before.motion || prompted) {
		fmt.Fprintf(d.out, "%7.1f s  %s\n", time.Since(d.began).Seconds(), clean(stateText(&snap, shoot)))
	}
	if prompted {
		for _, p := range now.prompts {
			fmt.Fprintf(d.out, "%11s%s\n", "", clean(p))
		}
	}
	if asked && called {
		for _, line := range laidText(&snap, shoot) {
			note(d.out, "%11s%s", "", line)
		}
	}
	if now.question != "" && now.question != before.question {
		d.question(&operate.Ask{Text: snap.Question, Choices: snap.Choices})
	}
}

// follow takes from a snapshot what the journal and the pictures need, and leaves out of it
// what is not for hands.
func (d *desk) follow(snap *cue.Snapshot) {
	d.sequence = snap.Sequence
	d.hands = len(snap.Prompts) > 0 && !firing(snap.Prompts)
	if n := len(snap.Prompts); n > 0 && strings.HasSuffix(snap.Prompts[n-1], rollingWords) {
		fmt.Sscanf(snap.Prompts[n-1], "take %d", &d.takes)
	}
	d.seePicture(snap)
	d.lookStale()
	if firing(snap.Prompts) && d.captures.hides() { // a command does it
		snap.Prompts = snap.Prompts[:len(snap.Prompts)-1]
		if snap.Motion == cue.Waiting {
			snap.Motion = cue.Settled
		}
	}
	d.logSettle(snap)
	for _, w := range snap.Warnings {
		if !slices.Contains(d.warnings, w) && !d.recorder.isOwn(w) {
			d.recorder.journal.Warned(snap.K, w)
		}
	}
	d.warnings = append(d.warnings[:0], snap.Warnings...)
}

// logSettle enters the set into the journal whenever the light has come to rest.
func (d *desk) logSettle(snap *cue.Snapshot) {
	l := &d.logged
	if snap.Motion != cue.Settled && !(snap.Motion == cue.Waiting && !d.hands && firing(snap.Prompts)) {
		l.settled = false
		return
	}
	if l.settled && l.cue == snap.CueName && d.latest <= l.k {
		return
	}
	frames := d.slots(snap.K)
	if frames == nil {
		return // it is just being made
	}
	shoot := d.stage.engine.Shoot()
	sum := journal.FrameSum(frames)
	if !l.settled || sum != l.slots || l.cue != snap.CueName {
		d.recorder.journal.Settled(snap.K, stateOf(snap, shoot, frames))
	}
	*l = logged{settled: true, k: snap.K, cue: snap.CueName, slots: sum}
}

// slots are those of frame k; nil where they are not remembered.
func (d *desk) slots(k int64) []dmx.Frame {
	frames := make([]dmx.Frame, len(d.stage.universe))
	if !d.stage.tape.at(k, frames) {
		return nil
	}
	return frames
}

// question prints the question that stands, its answers numbered.
func (d *desk) question(a *operate.Ask) {
	for line := range strings.Lines(a.Question()) {
		note(d.out, "%11s%s", "", strings.TrimRight(line, "\n"))
	}
	for i, c := range a.Choices {
		command := c.Command
		if strings.HasSuffix(command, " ") {
			command += "NAME"
		}
		note(d.out, "%11s%d  %-16s %s", "", i+1, command, c.Text)
	}
}

// stateText is a cue and what the light is doing, in words.
func stateText(s *cue.Snapshot, shoot *cue.Shoot) string {
	text := fmt.Sprintf("%s: %s", s.CueName, s.Motion)
	switch s.Motion {
	case cue.Waiting:
		text += " for hands; confirm when done"
	case cue.Settled:
		if s.Next >= 0 {
			text += "; next: " + shoot.Cues[s.Next].Name
		}
	}
	return text
}

// added gives what a list of the latest messages holds more than it did before;
// old ones fall off its front.
func added(before, now []string) []string {
	for drop := range before {
		if kept := before[drop:]; len(kept) <= len(now) && slices.Equal(kept, now[:len(kept)]) {
			return now[len(kept):]
		}
	}
	return now
}
