package pace

import (
	"sync/atomic"

	"limn/dmx"
)

// letter is what a mailbox holds: the frames of one output, parallel to its universes.
type letter struct {
	frames  []dmx.Frame
	content int64 // numbers the content; the same number, the same slots
}

// mailbox has one slot, for the latest letter, between one writer and one reader.
// Neither ever waits for the other, whatever the scheduler does to it: a lock here
// would let a preempted output hold up the frame loop. Of three letters the
// writer owns one, the reader owns one, and the third is swapped between them.
type mailbox struct {
	letters [3]letter
	writing uint32        // index, the writer's alone
	last    uint32        // index of the letter posted last; the writer may read it too, wherever it is
	reading uint32        // index, the reader's alone
	middle  atomic.Uint32 // index of the third, and whether it is unread
	bell    chan struct{} // rung when there is something to take
}

const unread = 1 << 2 // above the bits of an index

func newMailbox(universes int) *mailbox {
	m := &mailbox{writing: 0, reading: 1, last: 2, bell: make(chan struct{}, 1)}
	m.middle.Store(2)
	for i := range m.letters {
		m.letters[i].frames = make([]dmx.Frame, universes)
	}
	return m
}

// blank is the letter to write next. It holds what it held when it was posted before.
func (m *mailbox) blank() *letter { return &m.letters[m.writing] }

// posted is the letter that was posted last; only to be read.
func (m *mailbox) posted() *letter { return &m.letters[m.last] }

// post leaves the blank letter and says whether that overwrote one that nobody had taken.
func (m *mailbox) post() (overwritten bool) {
	m.last = m.writing
	old := m.middle.Swap(m.writing | unread)
	m.writing = old &^ unread
	select {
	case m.bell <- struct{}{}:
	default: // already rung
	}
	return old&unread != 0
}

// take gives the latest letter, the reader's until it takes the next; nil when there is none new.
func (m *mailbox) take() *letter {
	if m.middle.Load()&unread == 0 {
		return nil
	}
	// Only the writer may come between, and it leaves something newer.
	m.reading = m.middle.Swap(m.reading) &^ unread
	return &m.letters[m.reading]
}
