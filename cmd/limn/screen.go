package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/muesli/cancelreader"

	"limn/cmd/internal/screen"
	"limn/cue"
	"limn/cue/operate"
)

// maxLinesWaiting is how many lines of the screen may wait for the desk: a key that
// repeats is faster than light that has to be worked out.
const maxLinesWaiting = 32

// showScreen shows a screen until its end; tests put one there that fails.
var showScreen = screen.Run

// screenFor makes the screen of a run; nil where the run goes line by line: asked for, nobody
// types, or no terminal to draw on.
func screenFor(in *operator, lines bool) (*deskScreen, error) {
	if lines || !in.there() || !canRedraw(in.std.Out) {
		return nil, nil
	}
	keys, err := readKeys()
	if err != nil {
		return nil, err
	}
	in.once = true
	return &deskScreen{std: in.std, keys: keys, lines: make(chan string, maxLinesWaiting), messages: screen.NewAnswers()}, nil
}

// deskScreen is the screen before the desk: what is pressed and typed comes to the desk as lines,
// and what the desk prints goes to the screen.
type deskScreen struct {
	std      stdio
	keys     *screen.Keys
	lines    chan string
	messages *screen.Answers
	stage    *stage
}

// typed are the lines that come to the desk.
func (s *deskScreen) typed(ctx context.Context, in *operator) <-chan string {
	if s == nil {
		return in.lines(ctx)
	}
	return s.lines
}

// work has the desk work behind the screen until either ends. Where the screen fails the desk goes
// on line by line: the light must not end with a picture of it. A nil screen is the desk alone.
func (s *deskScreen) work(ctx context.Context, d *desk) {
	if s == nil {
		d.work(ctx)
		return
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.stage = d.stage
	out, errs := &screenLines{to: s.messages}, &screenLines{to: s.messages, aloud: true}
	d.out, d.err = out, errs
	var shown sync.WaitGroup
	shownUntil, hide := context.WithCancel(ctx)
	shown.Go(func() {
		err := showScreen(shownUntil, screen.Options{
			Stage: s, Answers: s.messages, Keys: s.keys, In: s.std.In, Out: s.std.Out,
		})
		out.plain(s.std.Out)
		errs.plain(s.std.Err)
		switch {
		case errors.Is(err, screen.ErrInterrupted):
			// As main has it: a second Ctrl-C ends the process at once.
			signal.Reset(os.Interrupt)
			cancel()
		case err != nil:
			note(s.std.Err, "error: %v", err)
			note(s.std.Err, "the light goes on; from here on line by line: help lists the words")
			shown.Go(func() { s.byLine(ctx) })
		}
	})
	defer shown.Wait()
	defer cancel()
	defer hide() // however the desk ends, the terminal is as it was
	d.work(ctx)
}

// byLine hands on what is typed once there is no screen any more.
func (s *deskScreen) byLine(ctx context.Context) {
	typed := typedLines(ctx, s.std.In)
	for {
		select {
		case line, ok := <-typed:
			if !ok {
				line = "quit" // Ctrl-D
			}
			select {
			case s.lines <- line:
			case <-ctx.Done():
				return
			}
			if !ok {
				return
			}
		case <-ctx.Done():
			return
		}
	}
}

// Snapshot, Shoot, Sender, Check and Say are what the screen shows and steers.
func (s *deskScreen) Snapshot(dst *cue.Snapshot) { s.stage.engine.Snapshot(dst) }

func (s *deskScreen) Shoot() *cue.Shoot { return s.stage.engine.Shoot() }

func (s *deskScreen) Check(text string) error {
	_, err := s.stage.engine.Parse(text)
	return err
}

func (s *deskScreen) Say(line string) bool {
	select {
	case s.lines <- line:
		return true
	default:
		return false
	}
}

func (s *deskScreen) Sender() screen.Sender {
	c := s.stage.loop.Counters()
	var outs []string
	down := false
	for _, o := range c.Outputs {
		if !o.Status.Up {
			down = true
			outs = append(outs, o.Name+" DOWN")
			continue
		}
		word := o.Name + " up"
		if o.Dropped > 0 {
			word += fmt.Sprintf(", %d dropped", o.Dropped)
		}
		outs = append(outs, word)
	}
	text := strings.Join(outs, ", ") + fmt.Sprintf("; p99 %.1f ms late, %d missed", float64(c.P99)/float64(time.Millisecond), c.Missed)
	return screen.Sender{Text: text, Trouble: down}
}

// screenLines is a writer whose lines become messages of the screen, until plain.
type screenLines struct {
	to      *screen.Answers
	aloud   bool // to be seen at once
	through atomic.Pointer[io.Writer]
	part    strings.Builder
}

func (w *screenLines) Write(p []byte) (int, error) {
	if to := w.through.Load(); to != nil {
		return (*to).Write(p)
	}
	for line := range strings.Lines(string(p)) {
		w.part.WriteString(line)
		if strings.HasSuffix(line, "\n") {
			w.to.Add(strings.TrimRight(w.part.String(), "\r\n"), w.aloud)
			w.part.Reset()
		}
	}
	return len(p), nil
}

// plain lets all further lines through to a stream.
func (w *screenLines) plain(to io.Writer) { w.through.Store(&to) }

// oneLine reads one line of an answer and takes nothing beyond it, so that the screen gets the
// rest of what is typed. It ends with ctx.
func oneLine(ctx context.Context, in io.Reader) <-chan string {
	out := make(chan string, 1)
	r, err := cancelreader.NewReader(in)
	if err != nil {
		close(out)
		return out
	}
	stop := context.AfterFunc(ctx, func() { r.Cancel() })
	go func() {
		defer close(out)
		defer r.Close()
		defer stop()
		var line []byte
		for b := make([]byte, 1); len(line) < operate.MaxCommand; {
			if n, err := r.Read(b); err != nil {
				return
			} else if n == 1 && b[0] == '\n' {
				out <- strings.TrimSpace(string(line))
				return
			} else if n == 1 {
				line = append(line, b[0])
			}
		}
	}()
	return out
}
