package pace

import (
	"time"

	"limn/dmx"
)

const (
	watchEvery = 250 * time.Millisecond
	// What flickers is told once a second, not 44 times.
	eventGap = time.Second
)

// watcher tells of outputs that go down or come back. It alone calls onEvent, so nobody
// who sends waits for whoever listens.
type watcher struct {
	outlets []*outlet
	clock   Clock
	onEvent func(Event)
	told    []told // parallel to outlets
	nudge   chan struct{}
}

type told struct {
	status dmx.Status
	at     time.Duration
	once   bool
}

func newWatcher(clock Clock, onEvent func(Event)) *watcher {
	return &watcher{clock: clock, onEvent: onEvent, nudge: make(chan struct{}, 1)}
}

// look asks for a look at the outputs now.
func (w *watcher) look() {
	select {
	case w.nudge <- struct{}{}:
	default: // asked already
	}
}

func (w *watcher) work(end <-chan struct{}) {
	w.told = make([]told, len(w.outlets))
	for i := range w.told {
		w.told[i].status.Up = true
	}
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		for i, o := range w.outlets {
			w.report(o, &w.told[i])
		}
		select {
		case <-tick.C:
		case <-w.nudge:
		case <-end:
			return
		}
	}
}

// report tells of one output if there is something new and the last telling is long enough ago.
func (w *watcher) report(o *outlet, t *told) {
	now := w.clock.Now()
	s := o.status()
	if s.Up == t.status.Up && (s.Up || s.Text == t.status.Text) || t.once && now-t.at < eventGap {
		return
	}
	*t = told{status: s, at: now, once: true}
	w.onEvent(Event{Output: o.out.Name(), Status: s})
}
