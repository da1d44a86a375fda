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

// Output is a dmx.Output over a serial adapter. It finds the adapter and opens its port with the first
// frame, and again, with back-off, whenever it is lost: the adapter may come back under another name.
type Output struct {
	cfg  Config
	open opener

	// Send's and Close's alone.
	link    *link
	stuck   []*link // let go, and not ended when last looked at
	closed  bool
	retryAt time.Time
	backoff time.Duration
	last    *Adapter // had once, if it can be told from others
	kind    Kind     // of last; Auto if it was never asked
	busy    string   // what was said of a port in use; "" when it is not. Looking for the holder takes a while

	over bool // closed; the owners' to guard

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
	if cfg.List == nil {
		cfg.List = Find
	}
	where := cfg.Port
	if where == "" {
		where = cfg.Kind.String()
	}
	return &Output{cfg: cfg, open: open, kind: cfg.Kind, status: dmx.Status{Where: where}}
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
		o.link = newLink(o.dial())
		if err := o.link.wait(openWithin); err != nil {
			return o.lose(err)
		}
		o.opened()
	}
	if err := o.link.send(&frames[0], sendWithin); err != nil {
		return o.lose(err)
	}
	o.backoff = 0
	o.say(true, o.remark())
	return nil
}

// dial makes the search for the adapter, which the link's goroutine does: the listing of ports and their
// opening may take their time.
func (o *Output) dial() dial {
	cfg, open, last, kind := o.cfg, o.open, o.last, o.kind
	return func() (session, error) {
		// Without a list a port can still be opened by its path, and the opening says what is wrong.
		list, err := cfg.List()
		if err != nil && !isPath(cfg.Port) {
			return session{}, err
		}
		a, err := choose(list, choice{cfg.Port, last, func(a Adapter) string { return everybody.taken(o, a) }})
		if err != nil {
			return session{}, err
		}
		if owner := everybody.claim(o, a); owner != "" {
			return session{}, &takenError{a, owner}
		}
		if cfg.Kind == Auto && last != nil && !a.same(*last) && !a.alike(*last) {
			kind = Auto // another adapter in its place
		}
		s, err := openAdapter(open, a, kind)
		if err == nil && cfg.LowRTS && s.kind == Raw {
			err = lowerRTS(s)
		}
		if err != nil {
			everybody.unclaim(o, last)
		}
		return s, err
	}
}

// openAdapter opens the port of an adapter, and asks it what it is if that is not known.
func openAdapter(open opener, a Adapter, kind Kind) (session, error) {
	p, err := open(a.Port, kind)
	if err != nil {
		return session{}, &atError{a.Port, err}
	}
	s := session{port: p, kind: kind, adapter: a}
	if kind == Auto {
		s.asked = true
		if s.kind, _, err = detect(p); err != nil {
			_ = p.Close() // it told what it had to tell
			return session{}, &atError{a.Port, err}
		}
	}
	return s, nil
}

// lowerRTS brings request-to-send down, or closes the port and says why it cannot.
func lowerRTS(s session) error {
	err := errNoRTS
	if r, ok := s.port.(requester); ok {
		err = r.SetRTS(false)
	}
	if err == nil {
		return nil
	}
	_ = s.port.Close() // nothing was written
	if !isGone(err) {
		err = fmt.Errorf("%w: %w", errNoRTS, err)
	}
	return &atError{s.adapter.Port, err}
}

// opened keeps what was learnt of the adapter for the next time it is looked for.
func (o *Output) opened() {
	got := &o.link.got
	o.kind = got.kind
	o.busy = ""
	if got.adapter.USB {
		o.last = &got.adapter
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.status.Where = got.adapter.Port
}

// remark is what is worth knowing of an adapter that works.
func (o *Output) remark() string {
	got := &o.link.got
	switch {
	case o.link.silent.Load():
		return "the widget did not tell its parameters; it is taken to work"
	case o.cfg.Kind == Auto && got.kind == Raw && got.adapter.Means != MeansLine:
		return `it did not answer as a widget does, so it is taken for a plain line; write kind = "usb widget" if it frames packets itself`
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
	where := o.Status().Where
	var at *atError
	if errors.As(err, &at) {
		where = at.port
	}
	text := o.busy
	if !isBusy(cause) || text == "" {
		text = words(where, cause)
	}
	o.busy = ""
	if isBusy(cause) {
		o.busy = text
	}
	o.say(false, text)
	return fmt.Errorf("output %q: %s: %s (%w)", o.cfg.Name, where, text, err)
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
	everybody.release(o)
	if o.countStuck() > 0 {
		return fmt.Errorf("%s is stuck and stays open; unplug the adapter to free it", o.Status().Where)
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
	if strings.HasPrefix(o.cfg.Port, "/") { // COM3 cannot be looked for, and a serial number would take a list
		if _, err := os.Stat(o.cfg.Port); err != nil {
			s.Up, s.Text = false, words(o.cfg.Port, err)
		}
	}
	return s
}
