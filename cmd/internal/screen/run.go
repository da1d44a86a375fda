package screen

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	tea "charm.land/bubbletea/v2"
)

// ErrInterrupted is the end of a screen by Ctrl-C.
var ErrInterrupted = errors.New("interrupted")

// Options of a screen.
type Options struct {
	Stage   Stage
	Answers *Answers
	Keys    *Keys
	In      io.Reader // a terminal
	Out     io.Writer

	// Environment decides about colour: NO_COLOR, TERM; nil = the process's own.
	Environment []string
}

// Run shows the screen until ctx ends or Ctrl-C is pressed (ErrInterrupted); the terminal
// is then as it was before. An error of another kind is the screen's own failure, from which the
// terminal has been restored too: the light does not depend on it.
func Run(ctx context.Context, opt Options) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	box := make(chan Seen, 1)
	var beside sync.WaitGroup
	defer beside.Wait()
	defer cancel()
	g := &guard{model: newModel(opt, box, ctx.Done()), quit: cancel}
	beside.Go(func() {
		defer g.caught()
		watch(ctx, opt.Stage, box)
	})
	env := opt.Environment
	if env == nil {
		env = os.Environ()
	}
	p := tea.NewProgram(g, tea.WithInput(opt.In), tea.WithOutput(opt.Out), tea.WithEnvironment(env), tea.WithoutSignalHandler())
	ended := make(chan struct{})
	beside.Go(func() {
		select {
		case <-ctx.Done():
			p.Quit()
		case <-ended:
		}
	})
	_, err := p.Run()
	close(ended)
	switch {
	case g.failure() != nil:
		return g.failure()
	case g.model.interrupted:
		return ErrInterrupted
	case err != nil && !errors.Is(err, tea.ErrProgramKilled):
		return fmt.Errorf("the terminal cannot be drawn on: %w", err)
	}
	return nil
}

func newModel(opt Options, box <-chan Seen, done <-chan struct{}) *model {
	keys := opt.Keys
	if keys == nil {
		keys = DefaultKeys()
	}
	return &model{
		state: state{hand: -1, keys: keys}, stage: opt.Stage, said: opt.Answers,
		box: box, done: done, now: time.Now,
	}
}

// guard keeps a panic of the screen from ending more than the screen: the light goes on.
type guard struct {
	model *model
	quit  func()

	mu  sync.Mutex
	err error
}

// caught turns a panic into the end of the screen.
func (g *guard) caught() {
	r := recover()
	if r == nil {
		return
	}
	g.mu.Lock()
	if g.err == nil {
		g.err = fmt.Errorf("the screen failed: %v, at %s", r, where(string(debug.Stack())))
	}
	g.mu.Unlock()
	g.quit()
}

func (g *guard) failure() error {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.err
}

// where is the first place of a stack that lies in this program.
func where(stack string) string {
	past := false
	for line := range strings.Lines(stack) {
		if strings.HasPrefix(line, "panic(") {
			past = true
		}
		if line = strings.TrimSpace(line); past && strings.Contains(line, "/cmd/internal/") && strings.Contains(line, ".go:") {
			place, _, _ := strings.Cut(line[strings.LastIndex(line, "/cmd/internal/")+1:], " ")
			return place
		}
	}
	return "an unknown place"
}

func (g *guard) Init() tea.Cmd { return g.model.Init() }

func (g *guard) Update(msg tea.Msg) (next tea.Model, cmd tea.Cmd) {
	next = g // after a panic too
	defer g.caught()
	_, cmd = g.model.Update(msg)
	return g, g.guarded(cmd)
}

// guarded is a command whose panic is caught like any other.
func (g *guard) guarded(cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		defer g.caught()
		return cmd()
	}
}

func (g *guard) View() (v tea.View) {
	defer g.caught()
	return g.model.View()
}
