package screen

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/exp/teatest/v2"
	"golang.org/x/sys/unix"

	"limn/cue"
	"limn/dmx/dmxtest"
)

// patience bounds every wait; nothing waits that long unless it has failed.
const patience = 20 * time.Second

// A whole session by keys; the model at its end tells what became of it.
func TestSession(t *testing.T) {
	l := settle(start(t), "go bow")
	l.said = nil
	m := newModel(Options{Stage: l, Answers: NewAnswers()}, make(chan Seen, 1), t.Context().Done())
	tm := teatest.NewTestModel(t, m, teatest.WithInitialTermSize(100, 30))
	tm.Send(seenMsg(l.seen()))
	for _, name := range []string{"tab", "tab", "up", "left", "k", "l", "esc", "t", "g", "o", " ", "b", "e", "a", "m", "enter"} {
		tm.Send(pressOf(t, name))
	}
	tm.Send(saidMsg{{"warning: the node is away", true}})
	tm.Send(tea.WindowSizeMsg{Width: 120, Height: 40})
	teatest.WaitFor(t, tm.Output(), func(b []byte) bool { return bytes.Contains(b, []byte("the node is away")) }, teatest.WithDuration(patience))
	tm.Send(pressOf(t, "ctrl+c"))
	end := tm.FinalModel(t, teatest.WithFinalTimeout(patience)).(*model)
	want := []string{`trim "left stroke" up 1/3 stop`, `trim "left stroke" 10 mired warmer`, "keep", "go beam"}
	if !slices.Equal(l.said, want) {
		t.Errorf("said %q, want %q", l.said, want)
	}
	if !end.interrupted || end.width != 120 || end.line != nil || !end.trouble {
		t.Errorf("at the end: %+v", end.state)
	}
}

// terminal is a pseudo-terminal whose other end is read all the time.
type terminal struct {
	*dmxtest.PTY
	slave *os.File
	seen  chan []byte
}

func openTerminal(t *testing.T) *terminal {
	t.Helper()
	pty := dmxtest.OpenPTY(t)
	slave, err := os.OpenFile(pty.Name, os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	size := &unix.Winsize{Row: 24, Col: 80}
	if err := unix.IoctlSetWinsize(int(slave.Fd()), unix.TIOCSWINSZ, size); err != nil {
		t.Fatal(err)
	}
	tm := &terminal{PTY: pty, slave: slave, seen: make(chan []byte, 1)}
	go func() {
		all, _ := io.ReadAll(pty.Master)
		tm.seen <- all
	}()
	return tm
}

// shut closes the terminal and gives all that was written to it.
func (tm *terminal) shut() string {
	tm.slave.Close()
	return string(<-tm.seen)
}

func runOn(tm *terminal, ctx context.Context, stage Stage) error {
	return Run(ctx, Options{
		Stage: stage, Answers: NewAnswers(), In: tm.slave, Out: tm.slave, Environment: []string{"TERM=xterm-256color"},
	})
}

// However a screen ends, the terminal is as it was before.
func TestTheTerminalIsRestored(t *testing.T) {
	for _, c := range []struct {
		name  string
		fails bool
		stage func(l *live) Stage
		end   func(tm *terminal, cancel func())
		want  func(error) bool
	}{
		{
			"Ctrl-C", false, func(l *live) Stage { return l },
			func(tm *terminal, _ func()) { tm.Master.Write([]byte{3}) },
			func(err error) bool { return errors.Is(err, ErrInterrupted) },
		},
		{
			"the run's end", false, func(l *live) Stage { return l },
			func(_ *terminal, cancel func()) { cancel() },
			func(err error) bool { return err == nil },
		},
		{
			"a panic of the view", true, func(l *live) Stage { return lame{l} },
			func(*terminal, func()) {},
			func(err error) bool {
				return err != nil && strings.Contains(err.Error(), "the screen failed: ") && strings.Contains(err.Error(), "cmd/internal/")
			},
		},
		{
			"a panic of the stage", true, func(l *live) Stage { return broken{l} },
			func(*terminal, func()) {},
			func(err error) bool {
				return err != nil && strings.Contains(err.Error(), "the screen failed: no snapshot, at cmd/internal/screen/")
			},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			tm := openTerminal(t)
			before := *tm.Settings(t)
			ctx, cancel := context.WithTimeout(t.Context(), patience)
			defer cancel()
			over := make(chan error, 1)
			stage := &watched{Stage: c.stage(settle(start(t), "go bow")), looked: make(chan struct{}, 100)}
			go func() { over <- runOn(tm, ctx, stage) }()
			<-stage.looked
			if !c.fails {
				<-stage.looked // it runs
				<-stage.looked
			}
			c.end(tm, cancel)
			err := <-over
			after := *tm.Settings(t)
			text := tm.shut()
			if !c.want(err) {
				t.Errorf("it ends with %v", err)
			}
			if before != after {
				t.Errorf("the terminal's settings were\n%+v and are\n%+v", before, after)
			}
			if in, out := strings.Count(text, "\x1b[?1049h"), strings.Count(text, "\x1b[?1049l"); in > out {
				t.Errorf("the other page of the terminal is opened %d times and left %d times", in, out)
			}
			if on, off := strings.LastIndex(text, "\x1b[?25h"), strings.LastIndex(text, "\x1b[?25l"); off > on {
				t.Error("the cursor stays hidden")
			}
		})
	}
}

// watched tells of every look at the stage.
type watched struct {
	Stage
	looked chan struct{}
}

func (w *watched) Snapshot(dst *cue.Snapshot) {
	select {
	case w.looked <- struct{}{}:
	default:
	}
	w.Stage.Snapshot(dst)
}

// lame is a stage whose snapshots cannot be drawn.
type lame struct{ *live }

func (l lame) Shoot() *cue.Shoot { return &cue.Shoot{} }

// broken is a stage that fails.
type broken struct{ *live }

func (broken) Sender() Sender { panic("no snapshot") }
