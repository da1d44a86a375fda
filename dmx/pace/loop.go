package pace

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync/atomic"
	"time"

	"limn/dmx"
)

// endWithin bounds the end of a run: what is still stuck then is left behind.
const endWithin = 3 * time.Second

// Loop sends the frames of one run.
type Loop struct {
	cfg     Config
	clock   Clock
	frames  []dmx.Frame // parallel to cfg.Universes
	outlets []*outlet
	watcher *watcher
	raise   func() string // sets the thread's scheduling and says which it has
	started atomic.Bool

	next                    atomic.Int64
	framesRun, late, missed atomic.Int64
	lateness                lateness
	scheduler               atomic.Pointer[string]
}

// New makes a loop that has not started. It fails on a config that makes no sense;
// the outputs are then still the caller's to close.
func New(cfg Config) (*Loop, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	if cfg.KeepAlive == 0 {
		cfg.KeepAlive = defaultKeepAlive
	}
	if cfg.Farewell == 0 {
		cfg.Farewell = defaultFarewell
	}
	if cfg.OnEvent == nil {
		cfg.OnEvent = func(Event) {}
	}
	if cfg.Clock == nil {
		cfg.Clock = newMachineClock()
	}
	l := &Loop{
		cfg: cfg, clock: cfg.Clock, raise: raise,
		frames:  make([]dmx.Frame, len(cfg.Universes)),
		watcher: newWatcher(cfg.Clock, cfg.OnEvent),
	}
	for _, out := range cfg.Outputs {
		l.outlets = append(l.outlets, newOutlet(out, cfg.Universes, cfg.KeepAlive, l.watcher.look))
	}
	l.watcher.outlets = l.outlets
	l.next.Store(cfg.FirstK)
	return l, nil
}

// NextK is the frame number that a command accepted now acts in: the first that
// Fill has not been asked for.
func (l *Loop) NextK() int64 { return l.next.Load() }

// Run sends until ctx ends, then the farewell, then closes the outputs. Its
// error names the outputs that did not close well. An output that is stuck is waited
// for 3 s in all, then left behind with its goroutine. A loop runs once.
func (l *Loop) Run(ctx context.Context) error {
	if l.started.Swap(true) {
		return errors.New("pace: a loop runs once")
	}
	end, hurry := make(chan struct{}), make(chan struct{})
	for _, o := range l.outlets {
		go o.work(end, hurry, l.cfg.Farewell)
	}
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		l.watcher.work(end)
	}()

	ended := make(chan struct{})
	go func() {
		defer close(ended)
		// Never unlocked: the thread ends with its goroutine, and its priority with it.
		runtime.LockOSThread()
		s := l.raise()
		l.scheduler.Store(&s)
		l.run(ctx)
	}()
	<-ended
	close(end)

	limit := time.NewTimer(endWithin)
	defer limit.Stop()
	late := false
	var errs []error
	for _, o := range l.outlets {
		if !late {
			select {
			case <-o.done:
			case <-limit.C:
				late = true
				close(hurry)
			}
		}
		select {
		case <-o.done:
			if o.closeErr != nil {
				errs = append(errs, fmt.Errorf("output %q: %w", o.out.Name(), o.closeErr))
			}
		default:
			errs = append(errs, fmt.Errorf("output %q is stuck and was left behind after %v; its light may not be the last one asked for", o.out.Name(), endWithin))
		}
	}
	if !late {
		select {
		case <-watched:
		case <-limit.C: // whoever is told of events does not return
		}
	}
	return errors.Join(errs...)
}

func (l *Loop) run(ctx context.Context) {
	k := l.cfg.FirstK
	start := l.clock.Now() - Offset(k)
	for {
		l.clock.SleepUntil(start + Offset(k))
		if ctx.Err() != nil {
			return
		}
		k = l.frame(k, l.clock.Now()-start)
	}
}

// frame runs the frame of time at on the grid, where k was to be next, and gives the one after it.
func (l *Loop) frame(k int64, at time.Duration) (next int64) {
	late := at - Offset(k)
	l.lateness.add(late)
	if late > lateAfter {
		l.late.Add(1)
	}
	if due := frameAt(at); due > k {
		l.missed.Add(due - k)
		k = due
	}
	l.next.Store(k + 1)
	live := l.cfg.Fill(k, l.frames)
	for _, o := range l.outlets {
		if live {
			o.offer(k, l.frames)
		} else {
			o.silence()
		}
	}
	l.framesRun.Add(1)
	return k + 1
}
