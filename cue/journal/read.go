package journal

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
)

// maxList is the most bytes of the list of a set: JSON may need six for one.
const maxList = MaxFiles * (6*MaxPath + 200)

// readBounded reads a file of at most limit bytes.
func readBounded(path string, limit int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err == nil && int64(len(data)) > limit {
		err = fmt.Errorf("%s has more than %d bytes", path, limit)
	}
	return data, err
}

// Damage is a line that could not be read, or lines that are missing before one.
type Damage struct {
	Line int    // in the file, from 1
	What string // in words
}

func (d Damage) String() string { return fmt.Sprintf("line %d: %s", d.Line, d.What) }

// scanner reads the lines of a journal. Its memory is bounded by MaxLine.
type scanner struct {
	r     *bufio.Reader
	line  int    // of the last line, from 1
	at    int64  // bytes up to the end of the last line
	bytes []byte // the last line with its newline
	torn  bool   // the file ended within a line
	short bool   // the last line was longer than MaxLine, and bytes is its beginning
}

func newScanner(r io.Reader) *scanner {
	return &scanner{r: bufio.NewReaderSize(r, 64<<10)}
}

// next is the next entry or the damage that stands in its place; io.EOF at the end.
// Other errors are those of reading.
func (s *scanner) next() (Entry, *Damage, error) {
	if err := s.read(); err != nil {
		return Entry{}, nil, err
	}
	if s.short {
		return Entry{}, s.damage(fmt.Sprintf("it has more than %d bytes", MaxLine)), nil
	}
	e, err := parseLine(s.bytes)
	if err != nil {
		return Entry{}, s.damage(err.Error()), nil
	}
	return e, nil, nil
}

func (s *scanner) damage(what string) *Damage { return &Damage{Line: s.line, What: what} }

// read reads one line.
func (s *scanner) read() error {
	s.bytes, s.short = s.bytes[:0], false
	for {
		part, err := s.r.ReadSlice('\n')
		s.at += int64(len(part))
		if len(s.bytes)+len(part) > MaxLine {
			s.short = true
		} else {
			s.bytes = append(s.bytes, part...)
		}
		switch {
		case err == nil:
			s.line++
			return nil
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF):
			s.torn = len(s.bytes) > 0 || s.short
			return io.EOF
		default:
			return err
		}
	}
}
