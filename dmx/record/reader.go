package record

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// LineError says what is wrong with a line, counted from 1.
type LineError struct {
	Line int
	Err  error
}

func (e *LineError) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Err) }

// Unwrap gives what is wrong.
func (e *LineError) Unwrap() error { return e.Err }

// Reader reads a recording line by line; it never holds more than one.
type Reader struct {
	scan    *bufio.Scanner
	line    int
	last    time.Duration
	started time.Time
}

// NewReader reads the first line. Its error says why this is no recording.
func NewReader(r io.Reader) (*Reader, error) {
	rd := &Reader{scan: bufio.NewScanner(r)}
	rd.scan.Buffer(make([]byte, 0, MaxLine), MaxLine)
	b, err := rd.next()
	if err == io.EOF {
		return nil, errors.New("it is empty; a recording begins with a line that says what it is")
	}
	if err != nil {
		return nil, err
	}
	var h head
	if json.Unmarshal(b, &h) != nil || h.Recording != recordingOf {
		return nil, &LineError{1, errors.New("this is no recording; it begins with {\"recording\":\"dmx\",\"version\":1}")}
	}
	if h.Version != version {
		return nil, &LineError{1, fmt.Errorf("the recording is of version %d; this program reads version %d", h.Version, version)}
	}
	rd.started = h.Started
	return rd, nil
}

// Started is when the recording began, zero if it does not say.
func (r *Reader) Started() time.Time { return r.started }

// Next gives the next packet, io.EOF at the end, or a *LineError, after which the recording goes on behind the
// faulty line, unless the line was too long.
func (r *Reader) Next() (Entry, error) {
	b, err := r.next()
	if err != nil {
		return Entry{}, err
	}
	e, err := decode(b)
	if err == nil && e.At < r.last {
		err = fmt.Errorf("the time goes back from %v to %v", r.last, e.At)
	}
	if err != nil {
		return Entry{}, &LineError{r.line, err}
	}
	r.last = e.At
	return e, nil
}

// next gives the next line that is not empty.
func (r *Reader) next() ([]byte, error) {
	for r.scan.Scan() {
		r.line++
		if b := bytes.TrimSpace(r.scan.Bytes()); len(b) > 0 {
			return b, nil
		}
	}
	err := r.scan.Err()
	switch {
	case err == nil:
		return nil, io.EOF
	case errors.Is(err, bufio.ErrTooLong):
		return nil, &LineError{r.line + 1, fmt.Errorf("it has more than %d bytes", MaxLine)}
	}
	return nil, err
}
