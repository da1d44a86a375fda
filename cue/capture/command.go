package capture

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"time"
)

// DefaultTimeout is how long a command may take for one picture: a bracket of long exposures fits.
const DefaultTimeout = 2 * time.Minute

// MaxReason is the most characters of a command's words that are repeated.
const MaxReason = 200

// maxErrors is how much of what a command writes to standard error is remembered: its end.
const maxErrors = 8 << 10

// waitDelay is how long after its end a command's pipes may stay open, held by what it has started.
const waitDelay = 2 * time.Second

// Options is how an external command is run.
type Options struct {
	Timeout time.Duration // for one picture; 0 = DefaultTimeout
	Dir     string        // where it runs; "" = here
}

// Command is a Taker that runs a line of the system's shell for every picture. The line is the
// caller's own: never take it from a file of the shoot.
func Command(line string, o Options) Taker {
	if o.Timeout <= 0 {
		o.Timeout = DefaultTimeout
	}
	return &command{line, o}
}

type command struct {
	line string
	o    Options
}

// FailedError says why a command took no picture.
type FailedError struct {
	Reason string // its own last words, or what became of it
	Cause  error
}

// Error is the reason, for the operator.
func (e *FailedError) Error() string { return "no picture: " + e.Reason }

// Unwrap is what became of the command.
func (e *FailedError) Unwrap() error { return e.Cause }

func (c *command) Take(ctx context.Context, p Picture) error {
	if strings.TrimSpace(c.line) == "" {
		return &FailedError{Reason: "there is no command to take it with", Cause: errors.ErrUnsupported}
	}
	within, cancel := context.WithTimeout(ctx, c.o.Timeout)
	defer cancel()
	cmd := shell(within, c.line)
	cmd.Dir = c.o.Dir
	cmd.Env = append(os.Environ(), p.Environment()...)
	cmd.WaitDelay = waitDelay
	var words tail
	cmd.Stderr = &words
	endAll(cmd)
	err := cmd.Run()
	switch {
	case err == nil, errors.Is(err, exec.ErrWaitDelay): // it ended well; what it left behind is no matter of ours
		return nil
	case ctx.Err() != nil:
		return &FailedError{Reason: "it was called off", Cause: ctx.Err()}
	case within.Err() != nil:
		return &FailedError{Reason: fmt.Sprintf("the command took longer than %s", c.o.Timeout), Cause: within.Err()}
	}
	if last := words.last(); last != "" {
		return &FailedError{Reason: last, Cause: err}
	}
	return &FailedError{Reason: "the command ended with " + err.Error(), Cause: err}
}

// tail remembers the end of what is written to it.
type tail struct{ b []byte }

func (t *tail) Write(p []byte) (int, error) {
	t.b = append(t.b, p...)
	if n := len(t.b) - maxErrors; n > 0 {
		t.b = append(t.b[:0], t.b[n:]...)
	}
	return len(p), nil
}

// last is the last line that says something, fit for a terminal.
func (t *tail) last() string {
	lines := strings.FieldsFunc(string(t.b), func(r rune) bool { return r == '\n' || r == '\r' })
	for i := len(lines) - 1; i >= 0; i-- {
		line := strings.TrimSpace(strings.Map(func(r rune) rune {
			if r < ' ' || r == 0x7f || (r >= 0x80 && r < 0xa0) || r == 0xfffd {
				return ' '
			}
			return r
		}, lines[i]))
		if line == "" {
			continue
		}
		if r := []rune(line); len(r) > MaxReason {
			return string(r[:MaxReason]) + "..."
		}
		return line
	}
	return ""
}
