package serial

import (
	"sync/atomic"
	"time"

	"limn/dmx"
)

// link is one opening of a port and the goroutine that owns it. The goroutine
// closes the port when it is let go, even if that is long after everybody else has turned away.
type link struct {
	work    chan dmx.Frame // closed to let go
	result  chan error     // of opening, then one for each frame
	timeout *time.Timer
	silent  atomic.Bool // the widget did not tell its parameters
}

// newLink begins to open a port. Its first result is that of the opening.
func newLink(open opener, path string, kind Kind) *link {
	l := &link{work: make(chan dmx.Frame, 1), result: make(chan error, 1), timeout: time.NewTimer(0)}
	go l.own(open, path, kind)
	return l
}

func (l *link) own(open opener, path string, kind Kind) {
	p, err := open(path, kind)
	if err != nil {
		l.result <- err
		return
	}
	// After the last frame there is nothing left that an error could tell.
	defer func() { _ = p.Close() }()
	send := newLine(p).send
	if kind == Widget {
		w := newWidget(p)
		send = w.send
		_, ok, err := w.parameters()
		if err != nil {
			l.result <- err
			return
		}
		l.silent.Store(!ok)
	}
	l.result <- nil
	var frame dmx.Frame
	for frame = range l.work {
		l.result <- send(&frame)
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
