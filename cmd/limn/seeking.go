package main

import (
	"fmt"
	"sync"
	"time"

	"limn/dmx"
)

// seekEvery is how often an output that cannot begin tries again: within the second
// in which light must be back.
const seekEvery = 800 * time.Millisecond

// seeking is an output that may not be able to begin yet. It tries again inside Send,
// is down meanwhile, and passes everything on once it could.
type seeking struct {
	name      string
	universes []dmx.Universe
	where     string
	open      func() (dmx.Output, error)
	next      time.Time // of the next try; the sending goroutine's alone

	mu     sync.Mutex
	out    dmx.Output // nil: not yet
	err    error
	closed bool
}

func newSeeking(name string, universes []dmx.Universe, where string, open func() (dmx.Output, error)) *seeking {
	return &seeking{name: name, universes: universes, where: where, open: open}
}

// begin tries, if it is time to.
func (s *seeking) begin() (dmx.Output, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.closed:
		return nil, dmx.ErrClosed
	case s.out != nil:
		return s.out, nil
	case time.Now().Before(s.next):
		return nil, dmx.ErrDown
	}
	s.next = time.Now().Add(seekEvery)
	s.out, s.err = s.open()
	if s.err != nil {
		s.out = nil // not an interface that holds a nil
		return nil, fmt.Errorf("%w: %w", dmx.ErrDown, s.err)
	}
	return s.out, nil
}

func (s *seeking) Name() string              { return s.name }
func (s *seeking) Universes() []dmx.Universe { return s.universes }

func (s *seeking) Send(frames []dmx.Frame) error {
	out, err := s.begin()
	if err != nil {
		return err
	}
	return out.Send(frames)
}

func (s *seeking) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	if s.out == nil {
		return nil
	}
	return s.out.Close()
}

func (s *seeking) Status() dmx.Status {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.out != nil:
		return s.out.Status()
	case s.err != nil:
		return dmx.Status{Where: s.where, Text: s.err.Error()}
	}
	return dmx.Status{Up: true, Where: s.where}
}
