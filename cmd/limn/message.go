package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"limn/cue/plan/calc"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
)

// The rules of every word this command prints:
//
//   - Standard output carries the result and nothing else; with --json nothing
//     but JSON. All other text goes to standard error.
//   - What failed is one "error:" line that names what was found; below it
//     "hint:" lines that say what would be right. The important line comes last.
//   - Lower case after the prefix, no full stop, no Go type names, no stack traces.
//   - A fault in a file is "file:line:column: what is wrong; what would be right".
//   - Text that came from a file, a command line or the network is cleaned of
//     control characters before it reaches a terminal.
//   - State is said in words; colour is never needed to understand a line.
//   - Success is one line, with the next sensible command where there is one.

// Exit statuses, the same for the same thing in every command.
const (
	statusDone        = 0
	statusFailed      = 1   // ran and failed
	statusUsage       = 2   // the command line is wrong
	statusFiles       = 3   // the files are invalid
	statusUnreachable = 4   // a device or the network is unreachable
	statusInterrupted = 130 // 128 + SIGINT, as shells have it
)

// failure is an error on its way to the operator.
type failure struct {
	status int
	what   string   // empty: already said in full
	hints  []string // what would be right
}

func (f *failure) Error() string { return f.what }

// usagef is a wrong command line.
func usagef(hint, format string, args ...any) error {
	return failuref(statusUsage, hint, format, args...)
}

// failuref is an error with its exit status; hint may be empty.
func failuref(status int, hint, format string, args ...any) error {
	f := &failure{status: status, what: fmt.Sprintf(format, args...)}
	if hint != "" {
		f.hints = []string{hint}
	}
	return f
}

// said ends a command with a status when everything has been said already.
func said(status int) error { return &failure{status: status} }

// report prints what ended a command and gives its exit status.
func report(w io.Writer, err error) int {
	if err == nil {
		return statusDone
	}
	var f *failure
	if !errors.As(err, &f) {
		f = &failure{status: statusFailed, what: err.Error()}
	}
	if f.what != "" {
		fmt.Fprintf(w, "error: %s\n", clean(f.what))
	}
	for _, h := range f.hints {
		fmt.Fprintf(w, "hint: %s\n", clean(h))
	}
	return f.status
}

// note is a line that is neither result nor failure.
func note(w io.Writer, format string, args ...any) {
	fmt.Fprintln(w, clean(fmt.Sprintf(format, args...)))
}

// clean replaces what could move a cursor, hide text or turn its direction by
// the replacement character, so that a name out of a file cannot paint over the
// screen. A line break becomes a space: one message, one line.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\u2028' || r == '\u2029':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return unicode.ReplacementChar
		}
		return r
	}, s)
}

// complaint takes a parser's error apart: what is wrong, and what would be right.
func complaint(err error) (what, cure string) {
	var q *quantity.Error
	if errors.As(err, &q) {
		return q.What, q.Cure
	}
	var c *colour.SpecError
	if errors.As(err, &c) {
		return c.What, c.Cure
	}
	var in *calc.InputError
	if errors.As(err, &in) {
		return in.What, in.Cure
	}
	return err.Error(), ""
}

// badFlag is a wrong value of a flag.
func badFlag(flag string, err error) error {
	what, cure := complaint(err)
	return usagef(cure, "--%s: %s", flag, what)
}

// exclusive refuses flags that cannot stand together.
func exclusive(cmd *cobra.Command, flags ...string) error {
	var given []string
	for _, f := range flags {
		if cmd.Flags().Changed(f) {
			given = append(given, "--"+f)
		}
	}
	if len(given) > 1 {
		return usagef("give one of them", "%s cannot stand together", strings.Join(given, " and "))
	}
	return nil
}
