package serial

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"limn/dmx"
)

// Time-outs and back-off. An adapter that comes back is live within a second.
const (
	openWithin  = 2 * time.Second // a driver may take its time
	sendWithin  = time.Second     // 40 times what a packet takes
	closeWithin = time.Second
	retryFirst  = 100 * time.Millisecond
	retryAtMost = 800 * time.Millisecond
)

// maxStuck bounds how many stuck openings of the port are left behind, each with a thread: with so
// many, only pulling the plug helps, and that frees them.
const maxStuck = 2

// Output is a dmx.Output over a serial adapter. It opens the port with the first
// frame, and again, with back-off, whenever it is lost.
type Output struct {
	cfg  Config
	open opener

	// Send's and Close's alone.
	link    *link
	stuck   []*link // let go, and not ended when last looked at
	closed  bool
	retryAt time.Time
	backoff time.Duration

	mu     sync.Mutex
	tried  bool // to open the port
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
	return &Output{cfg: cfg, open: open, status: dmx.Status{Where: cfg.Port}}
}

// Name is the output's name.
func (o *Output) Name() string { return o.cfg.Name }

// Universes is the one universe that the adapter carries.
func (o *Output) Universes() []dmx.Universe { return []dmx.Universe{o.cfg.Universe} }

// Send writes one packet and returns when the adapter has it. It waits for a
// stalled adapter for a second, then leaves it and opens the port anew. A plain line gets
// the last packet again 25 times a second until the next Send.
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
		if o.countStuck() >= maxStuck {
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
	cause := err
	if errors.Is(err, errStalled) {
		o.stuck = append(o.stuck, o.link)
	} else if o.countStuck() > 0 && isBusy(err) {
		cause = errStalled // it is our own earlier opening that has the port
	}
	o.link = nil
	o.backoff = min(max(2*o.backoff, retryFirst), retryAtMost)
	o.retryAt = time.Now().Add(o.backoff)
	text := words(o.cfg.Port, cause)
	o.say(false, text)
	return fmt.Errorf("output %q: %s: %s (%w)", o.cfg.Name, o.cfg.Port, text, err)
}

// countStuck forgets the openings that have come to themselves and ended, and counts the rest.
func (o *Output) countStuck() int {
	o.stuck = slices.DeleteFunc(o.stuck, func(l *link) bool { return l.ended(0) })
	return len(o.stuck)
}

func (o *Output) say(up bool, text string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.tried = true
	o.status.Up, o.status.Text = up, text
}

// Close lets the port go, within a second. Its error says that the adapter is stuck and keeps it.
func (o *Output) Close() error {
	if o.closed {
		return nil
	}
	o.closed = true
	if o.link != nil {
		o.link.release()
		if !o.link.ended(closeWithin) {
			o.stuck = append(o.stuck, o.link)
		}
		o.link = nil
	}
	o.say(false, "closed")
	if o.countStuck() > 0 {
		return fmt.Errorf("%s is stuck and stays open; unplug the adapter to free it", o.cfg.Port)
	}
	return nil
}

// Status is what the operator is told. Before the first frame the port is not
// opened; all that is known then is whether it is there.
func (o *Output) Status() dmx.Status {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.tried {
		return o.status
	}
	s := o.status
	s.Up = true
	if strings.HasPrefix(o.cfg.Port, "/") { // COM3 cannot be looked for
		if _, err := os.Stat(o.cfg.Port); err != nil {
			s.Up, s.Text = false, words(o.cfg.Port, err)
		}
	}
	return s
}
