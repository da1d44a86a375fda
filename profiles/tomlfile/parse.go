package tomlfile

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"github.com/BurntSushi/toml"
)

// doc is a file that is being read.
type doc struct {
	source
	ps      *Problems
	tree    *tree
	text    []byte // src without what could not be read; offsets are the same
	exprs   []expr // of an undamaged file, in order
	damaged bool
	nobody  asked // the keys asked for of a new table: none
}

// Parse reads one file of at most MaxFileSize bytes. Its faults go to ps, with
// name as the file. What can be read is still returned, and nil if nothing can.
// src must stay as it is for as long as the table is used.
func Parse(name string, src []byte, ps *Problems) *Table {
	d := &doc{source: source{file: name, src: src}, ps: ps}
	if !d.readable() {
		return nil
	}
	d.text = d.src
	if n := len(d.text); n > 0 && d.text[n-1] != '\n' {
		// With its last line ended, a file ends inside an expression only where
		// something is open.
		d.text = append(slices.Clone(d.text), '\n')
	}
	d.checkCharacters()
	if !d.find() {
		return nil
	}
	values, ok := d.decode()
	if !ok {
		return nil
	}
	return d.cursor(0, values, nil)
}

// find makes the tree. Every expression that cannot be read or placed is told
// of and left out of the text.
func (d *doc) find() bool {
	faults := 0
	f := newFinder(d.text, string(d.text))
	d.tree = f.tree
	for at := 0; ; {
		fault := f.run(at, func(c conflict) bool {
			faults++
			d.explain(c)
			return faults <= MaxFaults
		})
		if fault == nil || faults > MaxFaults {
			break
		}
		faults++
		from := d.expressionAt(f, at, fault.at)
		s := d.syntax(from, *fault)
		d.ps.Error(d.pos(s.at), s.cure, "%s", s.what)
		at = d.resume(from, fault.at)
		f.dropped = append(f.dropped, expr{from: from, to: at})
		// What follows a broken header is not the table before it.
		if f.lost = f.lost || d.text[from] == '['; at >= len(d.text) {
			break
		}
	}
	if faults > MaxFaults {
		d.ps.Error(Pos{File: d.file}, "mend these first", "more than %d faults; the rest of the file is not looked at", MaxFaults)
		return false
	}
	d.exprs = f.exprs
	return len(f.dropped) == 0 || d.leaveOut(f.dropped)
}

// expressionAt is where the expression begins that the parser gave up on at off:
// after the last one it read since at.
func (d *doc) expressionAt(f *finder, at, off int) int {
	if n := len(f.exprs); n > 0 && f.exprs[n-1].to > at {
		at = f.exprs[n-1].to
	}
	from := skipTrivia(d.text, at)
	// A fault in a comment, or in what follows a complete expression on its line.
	if from > off || from >= len(d.text) {
		return off
	}
	return from
}

// leaveOut blanks expressions in a copy of the text, keeping every offset, and
// makes the tree anew without them.
func (d *doc) leaveOut(gone []expr) bool {
	d.damaged = true
	d.text = slices.Clone(d.text)
	for _, e := range gone {
		for i := e.from; i < e.to; i++ {
			if c := d.text[i]; c != '\n' && (c != '\r' || i+1 == len(d.text) || d.text[i+1] != '\n') {
				d.text[i] = ' '
			}
		}
	}
	f := newFinder(d.text, string(d.text))
	d.tree = f.tree
	if fault := f.run(0, func(conflict) bool { return true }); fault != nil || len(f.dropped) > 0 {
		// Not seen in any test; a file must not be read wrongly in silence.
		d.ps.Error(Pos{File: d.file}, "mend the faults above", "the rest of the file cannot be read")
		return false
	}
	return true
}

// decode gives the values. An expression that only the decoder refuses is told
// of, left out, and decoding tried again.
func (d *doc) decode() (map[string]any, bool) {
	if values, ok := d.decodePieces(); ok {
		return values, true
	}
	for try := range maxRetries {
		if try > 0 && try*len(d.text) > retryBytes {
			break
		}
		values, err := decode(d.text)
		if err == nil {
			return values, true
		}
		if !d.refused(err) {
			return nil, false
		}
	}
	d.ps.Error(Pos{File: d.file}, "mend these first", "there may be more faults like these; the rest of the file is not looked at")
	return nil, false
}

// decode is the decoder, with its own mistakes turned into errors: none of them
// may stop a show.
func decode(text []byte) (values map[string]any, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%v", r)
		}
	}()
	_, err = toml.NewDecoder(bytes.NewReader(text)).Decode(&values)
	return values, err
}

// refused tells of what the decoder refused and leaves it out.
func (d *doc) refused(err error) bool {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		d.ps.Error(Pos{File: d.file}, "", "the file cannot be read: %s", err)
		return false
	}
	off := min(max(pe.Position.Start, 0), len(d.text))
	f := newFinder(d.text, string(d.text))
	f.run(0, func(conflict) bool { return true })
	i := slices.IndexFunc(f.exprs, func(e expr) bool { return e.from <= off && off < e.to })
	if i < 0 {
		d.ps.Error(d.pos(off), "", "the file cannot be read here: %s", pe.Message)
		return false
	}
	s := d.refusal(off, pe)
	d.ps.Error(d.pos(s.at), s.cure, "%s", s.what)
	gone := f.exprs[i : i+1]
	if f.exprs[i].header {
		end := i + 1
		for end < len(f.exprs) && !f.exprs[end].header {
			end++
		}
		gone = f.exprs[i:end]
	}
	return d.leaveOut(gone)
}
