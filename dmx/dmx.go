package dmx

import "errors"

// Slots is the number of slots of a full DMX512-A frame (ANSI E1.11).
const Slots = 512

// Frame is one universe's slot values, slot 1 at index 0. An alias, so that
// rooms above need not import this one to fill frames.
type Frame = [Slots]byte

// Universe numbers a universe as the user's files do, 1..63999; an output's
// offset turns it into the wire's number.
type Universe uint16

// MaxUniverse is the highest number a universe may have (ANSI E1.31-2018, 6.2.7,
// the widest of the protocols).
const MaxUniverse Universe = 63999

// ErrDown is what Send returns, wrapped or plain, while an output waits for its
// next attempt to open its port or socket. Nothing was sent.
var ErrDown = errors.New("the output is down")

// ErrClosed is what Send returns after Close.
var ErrClosed = errors.New("the output is closed")

// Output carries the frames of some universes to one transport.
//
// All methods but Status are called from one goroutine at a time, the output's
// own. Send may block; nothing else waits for it. frames is parallel to
// Universes() and is the callee's to read until Send returns; the callee does not
// change it.
//
// An error of Send says that at least one receiver did not get this frame; the next Send
// tries again. An output reopens its port or socket by itself, inside Send, with
// back-off, and returns ErrDown meanwhile. Whoever calls goes on offering the
// present frame, so that light is back as soon as the receiver is.
//
// Close ends the output after the frames already taken; it waits a bounded time
// for a transport that is stuck and says so in its error. A second Close does nothing
// and returns nil; Send after Close returns ErrClosed.
type Output interface {
	Name() string
	Universes() []Universe
	Send(frames []Frame) error
	Close() error
	Status() Status // safe from any goroutine, never blocks for long
}

// Status is what an operator is told about an output.
type Status struct {
	Up    bool
	Where string // "127.0.0.1:6454", "/dev/ttyUSB0"
	Text  string // cause and cure in words when down
}
