package tomlfile

import (
	"cmp"
	"fmt"
	"strings"
)

// Pos is a place in a file, 1-based line and column (in characters). The zero
// Pos has no place; Line 0 with a File means the whole file.
type Pos struct {
	File      string
	Line, Col int
}

// String is "file:line:column", or as much of it as is known.
func (p Pos) String() string {
	if p.Line == 0 {
		return clean(p.File)
	}
	return fmt.Sprintf("%s:%d:%d", clean(p.File), p.Line, p.Col)
}

// Compare orders places by file, line and column.
func (p Pos) Compare(q Pos) int {
	return cmp.Or(strings.Compare(p.File, q.File), cmp.Compare(p.Line, q.Line), cmp.Compare(p.Col, q.Col))
}

// Range is a range of bytes of the file as given to Parse: From is the first,
// To the one after the last.
type Range struct{ From, To int }
