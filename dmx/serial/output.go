package serial

import (
	"fmt"
	"sync"
	"time"

	"limn/dmx"
)

// Time-outs and back-off. An adapter that comes back is live within a second.
const (
	openWithin  = 2 * time.Second // a driver may take its time; a widget's silence is in it
	sendWithin  = time.Second     // 40 times what a packet takes
	retryFirst  = 100 * time.Millisecond
	retryAtMost = 800 * time.Millisecond
)

// Output is a dmx.Output over a serial adapter. It opens the port with the first
// frame, and again, with back-off, whenever it is lost.
type Output struct {
	cfg  Config
	open opener

	// Send's and Close's alone.
	link    *link
	closed  bool
	retryAt time.Time
	backoff time.Duration

	mu     sync.Mutex
	status dmx.Status
}

// NewOutput checks cfg and makes an output. The port need not be there yet.
func NewOutput(cfg Config) (*Output, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	return newOutput(cfg, openPort), nil
}

func newOutput(cfg Config, open opener) *Output {
	return &Output{cfg: cfg, open: open, status: dmx.Status{Where: cfg.Port, Text: "not opened yet"}}
}

// Name is the output's name.
func (o *Output) Name() string { return o.cfg.Name }

// Universes is the one universe that the adapter carries.
func (o *Output) Universes() []dmx.Universe { return []dmx.Universe{o.cfg.Universe} }

// Send writes one packet and returns when the adapter has it. It waits for a
// stalled adapter for a second, then leaves it and opens the port anew.
func (o *Output) Send(frames []dmx.Frame) error {
	if o.closed {
		return dmx.ErrClosed
	}
	if len(frames) != 1 {
		panic(fmt.Sprintf("serial: %d frames for one universe", len(frames)))
	}
	if o.link == nil {
		if time.Now().Before(o.retryAt) {
			return dmx.ErrDown
		}
		o.link = newLink(o.open, o.cfg.Port, o.cfg.Kind)
		if err := o.link.wait(openWithin); err != nil {
			return o.lose(err)
		}
	}
	if err := o.link.send(&frames[0], sendWithin); err != nil {
		return o.lose(err)
	}
	o.backoff = 0
	o.say(true, o.remark())
	return nil
}

// remark is what is worth knowing of an adapter that works.
func (o *Output) remark() string {
	if o.link.silent.Load() {
		return "the widget did not tell its parameters; it is taken to work"
	}
	return ""
}

// lose lets a port go and sets the time of the next attempt.
func (o *Output) lose(err error) error {
	o.link.release()
	o.link = nil
	o.backoff = min(max(2*o.backoff, retryFirst), retryAtMost)
	o.retryAt = time.Now().Add(o.backoff)
	text := words(o.cfg.Port, err)
	o.say(false, text)
	return fmt.Errorf("output %q: %s: %s (%w)", o.cfg.Name, o.cfg.Port, text, err)
}

func (o *Output) say(up bool, text string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.status.Up, o.status.Text = up, text
}

// Close lets the port go. The last frame has left it: Send waited for it.
func (o *Output) Close() error {
	if o.closed {
		return nil
	}
	o.closed = true
	if o.link != nil {
		o.link.release()
		o.link = nil
	}
	o.say(false, "closed")
	return nil
}

// Status is what the operator is told.
func (o *Output) Status() dmx.Status {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.status
}
