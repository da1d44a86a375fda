package record

import (
	"bufio"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// MaxSize is how large a recording may grow: about six hours of one universe that moves all the time.
const MaxSize = 1 << 30

// ErrFull is what Write returns when a recording has grown to MaxSize; what it holds is whole.
var ErrFull = errors.New("the recording has grown to its limit of 1 GiB")

// Writer writes a recording. One goroutine at a time may use it.
type Writer struct {
	w    *bufio.Writer
	size int64
	last time.Duration
}

// NewWriter writes the first line. started is when time 0 was.
func NewWriter(w io.Writer, started time.Time) (*Writer, error) {
	rw := &Writer{w: bufio.NewWriter(w)}
	return rw, rw.put(head{recordingOf, version, started.UTC().Truncate(time.Millisecond)})
}

// Write adds a packet. Its error says what is wrong with it, or that no more can be written.
func (w *Writer) Write(e Entry) error {
	if err := e.check(); err != nil {
		return err
	}
	if e.At < w.last {
		return fmt.Errorf("the time goes back from %v to %v", w.last, e.At)
	}
	if w.size > MaxSize-MaxLine {
		return ErrFull
	}
	w.last = e.At
	t := float64(e.At.Microseconds()) / 1e6
	l := line{T: &t, Protocol: e.Protocol, Universe: &e.Universe, Source: e.Source, Name: e.Name, Slots: hex.EncodeToString(e.Slots)}
	if e.Priority != NoPriority {
		l.Priority = &e.Priority
	}
	return w.put(l)
}

func (w *Writer) put(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.size += int64(len(b)) + 1
	if _, err := w.w.Write(append(b, '\n')); err != nil {
		return err
	}
	return nil
}

// Flush hands on what is held back.
func (w *Writer) Flush() error { return w.w.Flush() }
