package main

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"limn/cue"
	"limn/cue/operate"
)

// watchEvery is how often the state is looked at for something to say.
const watchEvery = 50 * time.Millisecond

// desk is the line-by-line operator: lines in, what changes out. One goroutine
// reads, decides and prints, so that lines never mix.
type desk struct {
	stage    *stage
	out, err io.Writer
	typed    <-chan string // nil: nobody types
	terminal bool          // the typing is done at a terminal
	events   *events

	said    shown
	asked   bool // for the status
	began   time.Time
	notices []string
	quit    bool
}

// work goes on until quit, the end of typing at a terminal, or the end of ctx.
func (d *desk) work(ctx context.Context) {
	d.began = time.Now()
	watch := time.NewTicker(watchEvery)
	defer watch.Stop()
	for !d.quit {
		select {
		case <-ctx.Done():
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
		case <-watch.C:
			d.watch()
		}
	}
}

// line acts on what was typed: nothing is next; a semicolon parts commands, as in
// a program.
func (d *desk) line(text string) {
	if text == "" {
		text = "next"
	}
	for part := range strings.SplitSeq(text, ";") {
		if part = strings.TrimSpace(part); part != "" && !d.quit {
			d.command(part)
		}
	}
}

// command acts on one command.
func (d *desk) command(text string) {
	switch text {
	case "help", "?":
		writeHelp(d.out, "")
		return
	case "status":
		d.said = shown{}
		d.asked = true
		d.watch()
		return
	case "quit", "exit":
		d.quit = true
		return
	}
	c, err := operate.Parse(text, d.stage.shoot)
	if err != nil {
		report(d.err, err)
		return
	}
	d.stage.engine.Do(c) // watch says what came of it
}

// shown is what was last said about the state.
type shown struct {
	cue     string
	motion  cue.Motion
	prompts []string
}

// watch prints the state if it is not what was last said.
func (d *desk) watch() {
	var snap cue.Snapshot
	d.stage.engine.Snapshot(&snap)
	for _, n := range added(d.notices, snap.Notices) {
		note(d.out, "%11s%s", "", n)
	}
	d.notices = snap.Notices
	now := shown{cue: snap.CueName, motion: snap.Motion, prompts: snap.Prompts}
	before := d.said
	asked := !slices.Equal(now.prompts, before.prompts)
	if d.asked && snap.Cue < 0 {
		note(d.out, "%11snothing has been called yet, and nothing is sent; Enter calls %q", "", d.stage.shoot.Cues[0].Name)
	}
	d.asked = false
	if snap.Cue < 0 || now.cue == before.cue && now.motion == before.motion && !asked {
		return
	}
	d.said = now
	fmt.Fprintf(d.out, "%7.1f s  %s\n", time.Since(d.began).Seconds(), clean(stateText(&snap, d.stage.shoot)))
	if !asked {
		return
	}
	for _, p := range now.prompts {
		fmt.Fprintf(d.out, "%11s%s\n", "", clean(p))
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
