package operate

import (
	"context"
	"fmt"
	"sync"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
)

// Options of an engine.
type Options struct {
	// AutoConfirm takes what hands must do as done at once: for what plays
	// without hands.
	AutoConfirm bool

	// Folder is where what is kept goes; its shoot is the one being played. Without
	// one, commands that keep are refused.
	Folder *files.Folder

	// Write lets commands that keep edit the files. Without it they take effect in
	// the running shoot alone, as a rehearsal.
	Write bool

	// OnDone is told of every command that was accepted, in their order, and never
	// on the frame thread; see [Done].
	OnDone func(Done)
}

// Engine runs a shoot. Fill belongs to the frame loop's one thread; all else
// may be called from any goroutine.
//
// All that commands have led to is one moment, which is never changed once it
// stands: a command makes the next, which then takes its place. So Fill and
// Snapshot read without a lock, and mu is held for as long as it takes to change
// the place.
type Engine struct {
	options   Options
	universes []int // being sent: those of the rig at the start

	do       sync.Mutex            // one command at a time, its slow preparation included
	prepared map[*cue.Shoot][]bool // cues of the present shoot that need no more preparation
	tail     int                   // the cue that all that is queued leads to

	mu       sync.Mutex
	now      *moment  // with all commands so far
	shown    *moment  // that the latest filled frame was made of
	filled   int64    // latest filled frame; -1 before the first
	queue    []queued // commands for later frames, in their order
	busy     bool     // a queued command is being carried out, and nothing may overtake it
	ahead    []worked // what the next of them lead to, as far as it was worked out
	messages []string // latest answers
	warnings []string // that stay up until they are taken back
	done     []Done   // not yet told

	telling sync.Mutex    // held while OnDone is told
	wake    chan struct{} // holds a token when Attend has something to do

	status timeline.Status // of the latest filled frame: the frame thread's own

	screen *screen
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
	m := &moment{set: newSet(shoot, r, p, r.Universes()), player: p, self: opt.AutoConfirm}
	return &Engine{
		options:   opt,
		universes: r.Universes(),
		prepared:  map[*cue.Shoot][]bool{shoot: make([]bool, len(shoot.Resolved))},
		now:       m,
		shown:     m,
		filled:    -1,
		wake:      make(chan struct{}, 1),
		screen:    newScreen(m),
	}, nil
}

// Universes in the order Fill writes them: those of the rig when the engine was
// made, whatever a reload brings. The slice must not be written to.
func (e *Engine) Universes() []int { return e.universes }

// NextFrame is the frame a command given now acts in.
func (e *Engine) NextFrame() int64 {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.filled + 1
}

// Shoot is the shoot being played.
func (e *Engine) Shoot() *cue.Shoot { return e.current().shoot }

// Parse reads a command with the names of the shoot being played. A number answers
// the standing question with its choice of that number.
func (e *Engine) Parse(text string) (Command, error) {
	m := e.current()
	if q := m.question; q != nil {
		for i, c := range q.ask.Choices {
			if text == fmt.Sprint(i+1) {
				text = c.Command
			}
		}
	}
	c, bad := parse(text, m.names)
	if bad != nil {
		return Command{}, bad
	}
	return c, nil
}

// Fill writes frame k, one frame a universe; false before the first command,
// when nothing may be sent. Frames come in rising order; some may be left out.
// It waits for no slow work, and allocates nothing but where a command given
// to DoAt for later becomes due that nobody could work out ahead (see Attend).
func (e *Engine) Fill(k int64, frames [][fixtures.UniverseSize]byte) bool {
	e.mu.Lock()
	e.due(k)
	e.filled = max(k, e.filled)
	e.shown = e.now
	m := e.now
	e.mu.Unlock()

	e.status = m.player.At(k, m.frame.state)
	if e.status.Live {
		m.frame.render(frames)
	}
	return e.status.Live
}

// Warm prepares every cue, so that no command has to: some milliseconds a
// source and cue. It ends early when ctx does.
func (e *Engine) Warm(ctx context.Context) {
	for i := range e.Shoot().Resolved {
		if ctx.Err() != nil {
			return
		}
		if m := e.current(); i < len(m.shoot.Resolved) {
			m.player.Prepare(i)
		}
	}
}

// Attend does what is not the frame thread's to do, until ctx ends: it works out
// ahead what is queued, carries out queued commands that touch files, and tells
// OnDone of what became due.
func (e *Engine) Attend(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-e.wake:
			e.catchUp()
		}
	}
}

// current is what all commands so far have led to.
func (e *Engine) current() *moment {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.now
}
