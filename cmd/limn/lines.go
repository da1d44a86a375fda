package main

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"os"
)

// maxLine is the longest line a batch may hold. A light of twelve emitters
// takes about one kilobyte.
const maxLine = 1 << 20

// errLongLine stands for a line past maxLine; the rest of it has been skipped.
var errLongLine = errors.New("the line is longer than 1 MiB; one problem a line")

// lineReader reads lines of bounded length and goes on after one that is too long.
type lineReader struct {
	r      *bufio.Reader
	buf    []byte
	number int // of the line last read, from 1
}

func newLineReader(r io.Reader) *lineReader {
	return &lineReader{r: bufio.NewReaderSize(r, 64<<10)}
}

// next gives the next line without its end, valid until the next call; io.EOF
// after the last, errLongLine for one past the limit.
func (l *lineReader) next() ([]byte, error) {
	l.buf = l.buf[:0]
	long, any := false, false
	for {
		part, err := l.r.ReadSlice('\n')
		any = any || len(part) > 0
		if long = long || len(l.buf)+len(part) > maxLine; !long {
			l.buf = append(l.buf, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case errors.Is(err, io.EOF) && any: // the last line may lack its end
		case err != nil:
			return nil, err
		}
		l.number++
		if long {
			return nil, errLongLine
		}
		return bytes.TrimRight(l.buf, "\r\n"), nil
	}
}

// waiting says whether more input has arrived already: results are flushed when
// it has not, so that a program feeding one line at a time gets its answer.
func (l *lineReader) waiting() bool { return l.r.Buffered() > 0 }

// openFile opens FILE for reading, "-" being standard input.
func openFile(name string, std stdio) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(std.In), nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, failuref(statusFailed, "name a file that exists, or - for standard input",
			"cannot read %s: %v", name, pathCause(err))
	}
	return f, nil
}

// pathCause is what the system said, without the operation and path around it.
func pathCause(err error) error {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
