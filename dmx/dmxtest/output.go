package dmxtest

import (
	"slices"
	"sync"
	"time"

	"limn/dmx"
)

// Output is a dmx.Output without a wire. It records what it is sent; a test makes
// it stall or fail. Its methods may be called from any goroutine.
type Output struct {
	name      string
	universes []dmx.Universe

	mu     sync.Mutex
	sent   []Sent
	quiet  bool
	err    error
	takes  time.Duration
	gate   chan struct{} // closed by Release; nil when Send does not stall
	closed int
}

// Sent is one call of Send that the output took.
type Sent struct {
	At     time.Time
	Frames []dmx.Frame // parallel to Universes
}

// NewOutput makes an output that takes everything at once.
func NewOutput(name string, universes ...dmx.Universe) *Output {
	return &Output{name: name, universes: universes}
}

// Stall makes Send wait until Release.
func (o *Output) Stall() {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.gate == nil {
		o.gate = make(chan struct{})
	}
}

// Release lets stalled and future calls of Send through.
func (o *Output) Release() {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.gate != nil {
		close(o.gate)
		o.gate = nil
	}
}

// Fail makes Send return err, and Status show it; nil heals the output.
func (o *Output) Fail(err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.err = err
}

// Take makes every Send last d.
func (o *Output) Take(d time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.takes = d
}

// Quiet stops the recording, so that Send allocates nothing.
func (o *Output) Quiet() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.quiet = true
}

// Sent gives what was recorded so far.
func (o *Output) Sent() []Sent {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.sent)
}

// Closed counts the calls of Close.
func (o *Output) Closed() int {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.closed
}

// Name is the name given to NewOutput.
func (o *Output) Name() string { return o.name }

// Universes are those given to NewOutput.
func (o *Output) Universes() []dmx.Universe { return o.universes }

// Send records a copy of the frames.
func (o *Output) Send(frames []dmx.Frame) error {
	o.mu.Lock()
	gate, takes := o.gate, o.takes
	o.mu.Unlock()
	if gate != nil {
		<-gate
	}
	if takes > 0 {
		time.Sleep(takes)
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	switch {
	case o.closed > 0:
		return dmx.ErrClosed
	case o.err != nil:
		return o.err
	case !o.quiet:
		o.sent = append(o.sent, Sent{At: time.Now(), Frames: slices.Clone(frames)})
	}
	return nil
}

// Close ends the output.
func (o *Output) Close() error {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.closed++
	return nil
}

// Status is up unless Fail says otherwise.
func (o *Output) Status() dmx.Status {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.err != nil {
		return dmx.Status{Where: "memory", Text: o.err.Error()}
	}
	return dmx.Status{Up: true, Where: "memory"}
}
