package main

import (
	"sync"
	"sync/atomic"

	"limn/dmx"
	"limn/dmx/pace"
)

// tapeFrames is how many of the latest frames are remembered: two seconds, as whoever looks
// at them does so every few frames, on a busy machine later.
const tapeFrames = 2 * pace.Rate

// tape remembers the latest frames that were made, for whoever judges or logs them off the
// frame thread.
type tape struct {
	frames [tapeFrames]taped
	newest atomic.Int64  // -1 before the first
	fresh  chan struct{} // holds a token when a frame came
}

type taped struct {
	mu    sync.Mutex
	k     int64
	slots []dmx.Frame
}

func newTape(universes int) *tape {
	t := &tape{fresh: make(chan struct{}, 1)}
	t.newest.Store(-1)
	for i := range t.frames {
		t.frames[i] = taped{k: -1, slots: make([]dmx.Frame, universes)}
	}
	return t
}

// fill makes frames as another does, and remembers them. It adds a copy, and neither waits nor
// allocates.
func (t *tape) fill(other pace.Fill) pace.Fill {
	return func(k int64, frames []dmx.Frame) bool {
		live := other(k, frames)
		if live {
			t.put(k, frames)
		}
		return live
	}
}

func (t *tape) put(k int64, frames []dmx.Frame) {
	// Where somebody is just reading what was there two seconds ago, the frame is left out.
	if f := &t.frames[k%tapeFrames]; f.mu.TryLock() {
		f.k = k
		copy(f.slots, frames)
		f.mu.Unlock()
	}
	t.newest.Store(k)
	select {
	case t.fresh <- struct{}{}:
	default:
	}
}

// at copies frame k into dst; false where it is not remembered.
func (t *tape) at(k int64, dst []dmx.Frame) bool {
	if k < 0 {
		return false
	}
	f := &t.frames[k%tapeFrames]
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.k != k {
		return false
	}
	copy(dst, f.slots)
	return true
}
