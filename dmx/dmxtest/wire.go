package dmxtest

import (
	"errors"
	"sync"

	"limn/dmx"
)

// Arrived is one frame at the far end of a transport.
type Arrived struct {
	Universe dmx.Universe
	Frame    dmx.Frame
}

// Far is what stands at the far end of a transport, where the lights would be.
type Far interface {
	// Arrived gives every frame that arrives, in order.
	Arrived() <-chan Arrived
	// Leave takes the far end away: the cable pulled, the node switched off.
	Leave()
	// Return brings it back to the same place.
	Return()
	// Close ends it for good.
	Close()
}

// wireLength is how many frames fit on a wire before Send waits.
const wireLength = 4096

// Wire is a transport in memory, both its ends.
type Wire struct {
	universes []dmx.Universe
	arrived   chan Arrived

	mu     sync.Mutex
	gone   bool
	closed bool
}

var errNobody = errors.New("nobody is at the far end of the wire")

// NewWire makes a wire that carries the given universes.
func NewWire(universes []dmx.Universe) *Wire {
	return &Wire{universes: universes, arrived: make(chan Arrived, wireLength)}
}

// Near is the output that sends on the wire.
func (w *Wire) Near() dmx.Output { return (*nearEnd)(w) }

// Far is where its frames arrive.
func (w *Wire) Far() Far { return (*farEnd)(w) }

type nearEnd Wire

func (n *nearEnd) Name() string              { return "wire" }
func (n *nearEnd) Universes() []dmx.Universe { return n.universes }

func (n *nearEnd) Send(frames []dmx.Frame) error {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.closed {
		return dmx.ErrClosed
	}
	if n.gone {
		return errNobody
	}
	for i, u := range n.universes {
		n.arrived <- Arrived{Universe: u, Frame: frames[i]}
	}
	return nil
}

func (n *nearEnd) Close() error {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.closed = true
	return nil
}

func (n *nearEnd) Status() dmx.Status {
	n.mu.Lock()
	defer n.mu.Unlock()
	switch {
	case n.closed:
		return dmx.Status{Where: "memory", Text: dmx.ErrClosed.Error()}
	case n.gone:
		return dmx.Status{Where: "memory", Text: errNobody.Error()}
	}
	return dmx.Status{Up: true, Where: "memory"}
}

type farEnd Wire

func (f *farEnd) Arrived() <-chan Arrived { return f.arrived }
func (f *farEnd) Leave()                  { f.set(true) }
func (f *farEnd) Return()                 { f.set(false) }
func (f *farEnd) Close()                  {}

func (f *farEnd) set(gone bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.gone = gone
}
