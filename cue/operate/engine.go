package operate

import (
	"context"
	"fmt"
	"sync"

	"limn/cue"
	"limn/cue/timeline"
	"limn/fixtures"
)

// Options of an engine.
type Options struct {
	// AutoConfirm takes what hands must do as done at once: for what plays
	// without hands.
	AutoConfirm bool
}

// Engine runs a shoot. Fill belongs to the frame loop's one thread; all else
// may be called from any goroutine.
//
// A player is never changed once frames are made of it: a command is given to
// a clone, which then takes its place. So Fill and Snapshot read without a lock,
// and mu is held for as long as it takes to change the place.
type Engine struct {
	shoot   *cue.Shoot
	options Options

	do       sync.Mutex // one command at a time, its slow preparation included
	prepared []bool     // cues that need no more preparation
	tail     int        // the cue that all that is queued leads to

	mu       sync.Mutex
	player   *timeline.Player // with all commands so far
	shown    *timeline.Player // that the latest filled frame was made of
	filled   int64            // latest filled frame; -1 before the first
	queue    []queued         // commands for later frames, in their order
	messages []string         // latest answers

	renderer *fixtures.Renderer // the frame thread's own
	state    *fixtures.State
	status   timeline.Status

	screen screen
}

// New compiles a resolved shoot. It fails where the rig cannot be compiled.
func New(shoot *cue.Shoot, opt Options) (*Engine, error) {
	if len(shoot.Resolved) != len(shoot.Cues) {
		return nil, fmt.Errorf("operate: the shoot has %d cues, %d of them resolved", len(shoot.Cues), len(shoot.Resolved))
	}
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		return nil, err
	}
	p := timeline.New(shoot, r.Clone())
	return &Engine{
		shoot:    shoot,
		options:  opt,
		prepared: make([]bool, len(shoot.Resolved)),
		player:   p,
		shown:    p,
		filled:   -1,
		renderer: r,
		state:    p.NewState(),
		screen:   newScreen(shoot, r.Clone(), p),
	}, nil
}

// Universes in the order Fill writes them. The slice must not be written to.
func (e *Engine) Universes() []int { return e.renderer.Universes() }

// NextFrame is the frame a command given now acts in.
func (e *Engine) NextFrame() int64 {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.filled + 1
}

// Fill writes frame k, one frame a universe; false before the first command,
// when nothing may be sent. Frames come in rising order; some may be left out.
// It waits for no slow work, and allocates nothing but where a command given
// to DoAt for later becomes due.
func (e *Engine) Fill(k int64, frames [][fixtures.UniverseSize]byte) bool {
	e.mu.Lock()
	e.due(k)
	e.filled = max(k, e.filled)
	e.shown = e.player
	p := e.player
	e.mu.Unlock()

	e.status = p.At(k, e.state)
	if e.status.Live {
		e.renderer.Render(e.state, frames)
	}
	return e.status.Live
}

// Warm prepares every cue, so that no command has to: some milliseconds a
// source and cue. It ends early when ctx does.
func (e *Engine) Warm(ctx context.Context) {
	for i := range e.shoot.Resolved {
		if ctx.Err() != nil {
			return
		}
		e.current().Prepare(i)
	}
}

// current is the player with all commands so far.
func (e *Engine) current() *timeline.Player {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.player
}
