package serial

import (
	"errors"
	"time"
)

// askAgain is when a question that was not answered is asked once more: the first bytes after
// the opening get lost in some adapters.
const askAgain = replyWithin / 2

// errNeither says that a port neither answers as a widget nor can hold a break.
var errNeither = errors.New("neither a widget nor a plain line")

// detect finds out what stands behind a port that was opened as Auto, at the speed of a line: at that speed no
// byte of the question can pass for a break, so lights on a plain line take no notice of it.
func detect(p port) (Kind, Parameters, error) {
	w := newWidget(p)
	for range replyWithin / askAgain {
		if err := w.ask(); err != nil {
			return Auto, Parameters{}, err
		}
		got, ok, err := w.answer(nil, askAgain)
		if err != nil {
			return Auto, Parameters{}, err
		}
		if ok {
			return Widget, got, nil
		}
	}
	if off, ok := p.(*offSpeed); ok {
		return Auto, Parameters{}, &speedError{off.got}
	}
	if err := p.Break(breakTime); err != nil {
		if isGone(err) {
			return Auto, Parameters{}, err
		}
		return Auto, Parameters{}, errNeither
	}
	return Raw, Parameters{}, nil
}

// offSpeed is a port that runs at another speed than a line, which only matters to a line.
type offSpeed struct {
	port
	got int // bit/s
}

// Answer is what an adapter told when it was asked.
type Answer struct {
	Kind       Kind       // Raw or Widget
	Parameters Parameters // of a widget
	Serial     string     // of a widget, if it was asked for and given
}

// Probe asks the adapter at a port what it is, within two and a half seconds. Do not call it while an output has the
// port. With number it asks a widget for its serial number too, which ends what the widget is sending: lights
// that were left on may go out. Its error says in words what is wrong and what helps.
func Probe(path string, number bool) (Answer, error) {
	return probe(openPort, path, number)
}

const probeWithin = openWithin + replyWithin

func probe(open opener, path string, number bool) (Answer, error) {
	type result struct {
		answer Answer
		err    error
	}
	done := make(chan result, 1) // has room: a port that hangs is left to its goroutine
	go func() {
		p, err := open(path, Auto)
		if err != nil {
			done <- result{err: err}
			return
		}
		var a Answer
		a.Kind, a.Parameters, err = detect(p)
		if err == nil && number && a.Kind == Widget {
			a.Serial, err = newWidget(p).number()
		}
		_ = p.Close() // what it had to tell it has told
		done <- result{a, err}
	}()
	limit := time.NewTimer(probeWithin)
	defer limit.Stop()
	select {
	case r := <-done:
		if r.err != nil {
			return Answer{}, &portError{words(path, r.err), r.err}
		}
		return r.answer, nil
	case <-limit.C:
		return Answer{}, &portError{words(path, errStalled), errStalled}
	}
}

// portError is an error of a port in words for an operator.
type portError struct {
	text  string
	cause error
}

func (e *portError) Error() string { return e.text }
func (e *portError) Unwrap() error { return e.cause }
