package tomlfile

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"
)

// Editor changes a file in place: what is not edited keeps every byte, with its
// comments, blank lines, line endings and spaces. What is put in is written as
// its neighbours are: their indentation, their quotation marks, their column of
// equals signs.
//
// Edits are collected, and [Editor.Bytes] applies them to the text as it was
// read; an editor does not see what it has put in itself. Edits of one table
// belong in one call of Set. Edits that touch the same bytes are an error.
type Editor struct {
	d       *doc
	root    *Table
	splices []splice
}

// Path leads from the top of a file to a value: a string for a key, an int for
// an entry of a list or one of several [[tables]].
type Path []any

// splice replaces the bytes from..to of the text.
type splice struct {
	from, to int
	with     string
}

// NewEditor reads a file that is to be edited. One with faults cannot be.
func NewEditor(name string, src []byte) (*Editor, error) {
	var ps Problems
	root := Parse(name, src, &ps)
	if root == nil || root.Damaged() || ps.Failed() {
		for _, p := range ps.Sorted() {
			if !p.Warning {
				return nil, errors.New(p.String())
			}
		}
		return nil, fmt.Errorf("%s: the file cannot be read", clean(name))
	}
	return &Editor{d: root.d, root: root}, nil
}

// Root is the file as it was read.
func (e *Editor) Root() *Table { return e.root }

// Bytes is the file with the edits made. The edits are spent.
func (e *Editor) Bytes() ([]byte, error) {
	text := e.d.src // without the newline that parsing may have added
	all := e.splices
	e.splices = nil
	slices.SortStableFunc(all, func(a, b splice) int { return cmp.Compare(a.from, b.from) })
	var out bytes.Buffer
	out.Grow(len(text) + e.d.mark + 64*len(all))
	if e.d.mark > 0 {
		out.Write(utf8Mark)
	}
	at := 0
	for _, s := range all {
		if s.from < at {
			return nil, fmt.Errorf("%s: two edits touch the same place", clean(e.d.file))
		}
		out.Write(text[at:min(s.from, len(text))])
		out.WriteString(s.with)
		at = min(s.to, len(text))
	}
	out.Write(text[at:])
	return out.Bytes(), nil
}

func (e *Editor) put(from, to int, with string) {
	e.splices = append(e.splices, splice{from, to, with})
}

// trail is the nodes along a path, beginning with the root.
type trail []int32

// follow goes along a path as far as there is something.
func (e *Editor) follow(path Path) (found trail, rest []string, err error) {
	nodes := e.d.tree.nodes
	at := int32(0)
	found = trail{0}
	for i, step := range path {
		next := int32(0)
		switch s := step.(type) {
		case string:
			if k := nodes[at].kind; k != kindTable && k != kindInline {
				return nil, nil, fmt.Errorf("%s: %s is no table", e.d.pos(int(nodes[at].at)), e.name(path[:i]))
			}
			next = e.d.tree.find(at, s)
		case int:
			next = nodes[at].first
			for n := 0; n < s && next != 0; n++ {
				next = nodes[next].next
			}
			if next == 0 {
				return nil, nil, fmt.Errorf("%s: there is no entry %d of %s", clean(e.d.file), s, e.name(path[:i]))
			}
		default:
			panic(fmt.Sprintf("a path is made of keys and numbers, not %T", step))
		}
		if next == 0 {
			for _, step := range path[i:] {
				key, ok := step.(string)
				if !ok {
					return nil, nil, fmt.Errorf("%s: there is no %s", clean(e.d.file), e.name(path[:i+1]))
				}
				rest = append(rest, key)
			}
			return found, rest, nil
		}
		at = next
		found = append(found, at)
	}
	return found, nil, nil
}

// name is a path for messages.
func (e *Editor) name(path Path) string {
	out := ""
	for _, step := range path {
		if key, ok := step.(string); ok {
			if out != "" {
				out += "."
			}
			out += written(key)
		}
	}
	if out == "" {
		return "the file"
	}
	return out
}

// Has says whether there is something at a path.
func (e *Editor) Has(path Path) bool {
	_, rest, err := e.follow(path)
	return err == nil && len(rest) == 0
}

// Replace gives the value at a path another one. A text keeps its kind of
// quotation marks.
func (e *Editor) Replace(path Path, value any) error {
	found, rest, err := e.follow(path)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return fmt.Errorf("%s: there is no %s", clean(e.d.file), e.name(path))
	}
	n := &e.d.tree.nodes[found[len(found)-1]]
	if n.kind == kindTable || n.kind == kindTables {
		return fmt.Errorf("%s: %s is a table of several lines, no value", e.d.pos(int(n.at)), e.name(path))
	}
	st := e.styleNear(found)
	if n.kind == kindText {
		st.quote = e.d.text[n.at]
	}
	if n.kind == kindInline {
		st.pad = e.bracePad(n)
	}
	e.put(int(n.at), int(n.end), st.value(value))
	return nil
}

// Set gives keys of the table at a path their values, in place where the table
// has them. Others are written at its end, in the order given; a table that is
// not there yet is made, the way its neighbours write theirs.
func (e *Editor) Set(path Path, entries ...Entry) error {
	found, rest, err := e.follow(path)
	if err != nil {
		return err
	}
	var fresh []Entry
	for _, en := range entries {
		if len(rest) == 0 && e.d.tree.find(found[len(found)-1], en.Key) != 0 {
			if err := e.Replace(append(slices.Clone(path), en.Key), en.Value); err != nil {
				return err
			}
			continue
		}
		fresh = append(fresh, en)
	}
	if len(fresh) == 0 {
		return nil
	}
	last := &e.d.tree.nodes[found[len(found)-1]]
	if last.kind != kindTable && last.kind != kindInline {
		return fmt.Errorf("%s: %s is no table", e.d.pos(int(last.at)), e.name(path))
	}
	switch home := e.home(found); {
	case home.kind == inBraces:
		e.intoBraces(found, home, rest, fresh)
	case home.kind == inSection && home.dots > 0:
		e.dotted(found, home, rest, fresh)
	case home.kind == inSection && len(rest) == 0:
		e.intoSection(found[home.depth], fresh)
	default:
		e.newTable(path, found, rest, fresh)
	}
	return nil
}

// Remove takes a key with its value out of the file: its line with the comment
// behind it, or its place between braces.
func (e *Editor) Remove(path Path) error {
	found, rest, err := e.follow(path)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return fmt.Errorf("%s: there is no %s", clean(e.d.file), e.name(path))
	}
	n := &e.d.tree.nodes[found[len(found)-1]]
	if n.kind == kindTable || n.kind == kindTables || len(found) < 2 {
		return fmt.Errorf("%s: %s is a table of several lines, no value", e.d.pos(int(n.at)), e.name(path))
	}
	if e.home(found[:len(found)-1]).kind == inBraces {
		return e.outOfBraces(found)
	}
	x := e.exprAt(int(n.keyAt))
	from := lineStart(e.d.text, e.d.exprs[x].from)
	e.put(from, nextLine(e.d.text, e.d.exprs[x].to), "")
	return nil
}

// exprAt is the expression that holds the byte at off.
func (e *Editor) exprAt(off int) int {
	i, exact := slices.BinarySearchFunc(e.d.exprs, off, func(x expr, off int) int { return cmp.Compare(x.from, off) })
	if exact {
		return i
	}
	return i - 1
}

// sectionEnd is the last expression of the section whose header is expression
// h, h itself where it has no keys; h = -1 is the top of the file.
func (e *Editor) sectionEnd(h int) int {
	for h+1 < len(e.d.exprs) && !e.d.exprs[h+1].header {
		h++
	}
	return h
}

// column is the place of a byte in its line, in characters.
func (e *Editor) column(off int) int {
	return utf8.RuneCount(e.d.text[lineStart(e.d.text, off):off])
}

// indent is the blanks before the expression x on its line.
func (e *Editor) indent(x int) string {
	from := e.d.exprs[x].from
	return string(e.d.text[lineStart(e.d.text, from):from])
}

// newline is the ending of the line that holds off, or of the file's first line
// where that is its last and has none.
func (e *Editor) newline(off int) string {
	b := e.d.src
	end := lineEnd(b, min(off, len(b)))
	if end == len(b) {
		end = lineEnd(b, 0)
	}
	if end < len(b) && end > 0 && b[end-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// below puts lines below the line that holds off; none is closed by a newline
// of its own where the file's last line has none.
func (e *Editor) below(off int, lines []string) {
	b, nl := e.d.src, e.newline(off)
	at := lineEnd(b, min(off, len(b)))
	if at < len(b) || len(b) == 0 || b[len(b)-1] == '\n' {
		out := ""
		for _, l := range lines {
			out += l + nl
		}
		at = min(at+1, len(b))
		e.put(at, at, out)
		return
	}
	out := ""
	for _, l := range lines {
		out += nl + l
	}
	e.put(at, at, out)
}

// Rename gives a key of a table another name and another value, where it stands.
func (e *Editor) Rename(path Path, key string, value any) error {
	if err := e.Replace(path, value); err != nil {
		return err
	}
	found, _, _ := e.follow(path)
	n := &e.d.tree.nodes[found[len(found)-1]]
	if n.key == "" {
		return fmt.Errorf("%s: %s has no key", e.d.pos(int(n.at)), e.name(path))
	}
	e.put(int(n.keyAt), int(n.keyEnd), e.styleNear(found).key(key))
	return nil
}

// IsTable says whether there is a table at a path, of whatever kind.
func (e *Editor) IsTable(path Path) bool {
	found, rest, err := e.follow(path)
	if err != nil || len(rest) > 0 {
		return false
	}
	k := e.d.tree.nodes[found[len(found)-1]].kind
	return k == kindTable || k == kindInline
}

// Count is how many keys or entries there are at a path, 0 where there is nothing.
func (e *Editor) Count(path Path) int {
	found, rest, err := e.follow(path)
	if err != nil || len(rest) > 0 {
		return 0
	}
	return int(e.d.tree.nodes[found[len(found)-1]].count)
}
