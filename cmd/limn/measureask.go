package main

import (
	"context"
	"fmt"
	"strings"
)

// asker asks at the terminal and takes a line for an answer.
type asker struct {
	ctx   context.Context
	lines <-chan string
	std   stdio
	asked int // how many prompts there were
}

// newAsker reads lines until ctx ends. Nothing is read before the first question, so
// that a run by flags alone leaves standard input to others.
func newAsker(ctx context.Context, std stdio) *asker { return &asker{ctx: ctx, std: std} }

// errLeft says that the operator left: no more answers.
var errLeft = failuref(statusFailed, "run the same command again: every answer is kept and offered", "left before the end")

// ask puts one question. An empty answer is the one that stands ready. It fails with
// errLeft at the end of the input and on "quit", and ends as interrupted with ctx.
func (a *asker) ask(ready, format string, args ...any) (string, error) {
	if a.lines == nil {
		a.lines = typedLines(a.ctx, a.std.In)
	}
	a.asked++
	text := clean(fmt.Sprintf(format, args...))
	if ready != "" {
		text += " [" + clean(ready) + "]"
	}
	fmt.Fprint(a.std.Err, text+" > ")
	select {
	case line, ok := <-a.lines:
		if !ok && a.ctx.Err() != nil {
			return "", a.interrupted() // the lines end with ctx, and may be seen to end first
		}
		if !ok {
			fmt.Fprintln(a.std.Err)
			return "", errLeft
		}
		switch line = strings.TrimSpace(line); line {
		case "":
			return ready, nil
		case "quit":
			return "", errLeft
		}
		return line, nil
	case <-a.ctx.Done():
		return "", a.interrupted()
	}
}

// interrupted says that a signal ended the questions.
func (a *asker) interrupted() error {
	fmt.Fprintln(a.std.Err)
	note(a.std.Err, "left; every answer is kept and offered the next time")
	return said(statusInterrupted)
}

// agree asks a question of yes or no; an empty answer is yes.
func (a *asker) agree(format string, args ...any) (bool, error) {
	for {
		answer, err := a.ask("yes", format, args...)
		if err != nil {
			return false, err
		}
		switch strings.ToLower(answer) {
		case "y", "yes":
			return true, nil
		case "n", "no":
			return false, nil
		}
		note(a.std.Err, "yes or no?")
	}
}
