package stream

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"sync/atomic"
)

// Counts says how much was heard. It may be read while a stream runs.
type Counts struct{ good, bad atomic.Int64 }

// Good is how many azimuths were heard, Bad how many lines were none.
func (c *Counts) Good() int64 { return c.good.Load() }

// Bad is how many lines were no azimuth.
func (c *Counts) Bad() int64 { return c.bad.Load() }

// line takes one line; an empty one is nothing at all.
func (c *Counts) line(b []byte, hear func(Sample)) {
	if len(bytes.TrimSpace(b)) == 0 {
		return
	}
	s, err := Parse(b)
	if err != nil {
		c.bad.Add(1)
		return
	}
	c.good.Add(1)
	hear(s)
}

// Read hears every line of r until it ends, which is no error. It blocks as r does: to end it early,
// close r. A last line without an end counts.
func Read(r io.Reader, c *Counts, hear func(Sample)) error {
	in := bufio.NewReaderSize(r, MaxLine+2)
	for long := false; ; {
		b, err := in.ReadSlice('\n')
		switch {
		case errors.Is(err, bufio.ErrBufferFull): // passed over up to its end
			if !long {
				c.bad.Add(1)
			}
			long = true
			continue
		case long:
			long = false
		default:
			c.line(b, hear)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}
