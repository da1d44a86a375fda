package serial

import (
	"sync"
	"sync/atomic"
	"time"

	"limn/dmx"
)

// refreshEvery is how long after the beginning of a packet a plain line gets it again, if
// nothing newer has come: 25 a second, the least of what lights are used to. A new frame comes
// sooner while anything moves.
const refreshEvery = 40 * time.Millisecond

// link is one opening of a port and the goroutine that owns it. The goroutine
// closes the port when it is let go, even if that is long after everybody else has turned away.
type link struct {
	work    chan dmx.Frame // closed to let go
	result  chan error     // of opening, then one for each frame; or of a repeat that failed
	done    chan struct{}  // closed when the port is
	timeout *time.Timer
	silent  atomic.Bool // the widget did not tell its parameters
	got     session     // what was opened; readable after the first result
}

// session is a port that was opened, and what stands behind it.
type session struct {
	port    port
	kind    Kind // Raw or Widget
	adapter Adapter
	asked   bool // it was asked what it is
}

// dial finds an adapter and opens its port.
type dial func() (session, error)

// newLink begins to open a port. Its first result is that of the opening.
func newLink(open dial) *link {
	l := &link{
		work: make(chan dmx.Frame, 1), result: make(chan error, 1), done: make(chan struct{}),
		timeout: time.NewTimer(0),
	}
	go l.own(open)
	return l
}

func (l *link) own(open dial) {
	defer close(l.done)
	s, err := open()
	if err != nil {
		l.result <- err
		return
	}
	// After the last frame there is nothing left that an error could tell.
	defer func() { _ = s.port.Close() }()
	l.got = s
	l.result <- nil
	if s.kind == Widget {
		l.ownWidget(newWidget(s.port), s.asked)
	} else {
		l.ownLine(newLine(s.port))
	}
}

// ownLine sends what comes, and in between the last packet again and again, as a
// DMX512-A line wants it.
func (l *link) ownLine(line *line) {
	frame, more := <-l.work
	again := time.NewTimer(refreshEvery)
	defer again.Stop()
	for fresh := true; more; {
		again.Reset(refreshEvery)
		err := line.send(&frame)
		if fresh || err != nil { // what a repeat meets with, the next Send hears
			l.result <- err
		}
		if err != nil {
			return
		}
		frame, more, fresh = l.next(frame, again.C)
	}
}

// next waits for a frame, or until it is time for the last one again. It looks for a frame first: a
// port that was let go while it was stuck sends nothing more.
func (l *link) next(last dmx.Frame, again <-chan time.Time) (f dmx.Frame, more, fresh bool) {
	select {
	case f, more = <-l.work:
		return f, more, true
	default:
	}
	select {
	case f, more = <-l.work:
		return f, more, true
	case <-again:
		return last, true, false
	}
}

// ownWidget sends what comes; the widget repeats it by itself. If it was not asked yet, it is asked for its
// parameters once it has its first frame, so that nobody waits in the dark for one that does not answer.
func (l *link) ownWidget(w *widget, asked bool) {
	stop := make(chan struct{})
	var asking sync.WaitGroup
	defer asking.Wait() // before the port is closed under it
	defer close(stop)
	for frame := range l.work {
		err := w.send(&frame)
		if err == nil && !asked {
			asked = true
			err = w.ask()
			asking.Go(func() {
				_, ok, err := w.answer(stop, replyWithin)
				l.silent.Store(!ok && err == nil) // after an error of the port the next write says why
			})
		}
		l.result <- err
		if err != nil {
			return
		}
	}
}

// wait gives the next result, or errStalled after d.
func (l *link) wait(d time.Duration) error {
	l.timeout.Reset(d)
	defer l.timeout.Stop()
	select {
	case err := <-l.result:
		return err
	case <-l.timeout.C:
		return errStalled
	}
}

// send hands a frame over and waits for it to be out, at most d.
func (l *link) send(f *dmx.Frame, d time.Duration) error {
	l.work <- *f // has room: the result of the frame before was waited for
	return l.wait(d)
}

// release lets the goroutine go; it ends, and closes the port, as soon as the driver lets it.
func (l *link) release() { close(l.work) }

// ended says whether the goroutine has ended, which it may be waited for.
func (l *link) ended(within time.Duration) bool {
	l.timeout.Reset(within)
	defer l.timeout.Stop()
	select {
	case <-l.done:
		return true
	default:
	}
	select {
	case <-l.done:
		return true
	case <-l.timeout.C:
		return false
	}
}
