package tomlfile

import (
	"bytes"
	"errors"

	"github.com/pelletier/go-toml/v2/unstable"
)

// This file alone knows the parser that finds the ranges. It is used for nothing
// but places: its API is not promised to stay, and what the values are is the
// decoder's to say.

// finder makes the tree of a text, expression by expression, and tells of what
// it cannot read or cannot place.
type finder struct {
	text    []byte
	keys    string // text again: keys are cut out of it without copying
	tree    *tree
	parser  unstable.Parser
	base    int   // offset in text of what the parser was given
	table   int32 // the table that the last header opened
	depth   int   // of that table
	lost    bool  // that header could not be placed, so its keys cannot either
	fault   *conflict
	exprs   []expr
	dropped []expr // those that could not be placed
}

// expr is a header, or a key with its value, by its range in the text.
type expr struct {
	from, to int
	header   bool
}

// syntaxError is a place where the text could not be read.
type syntaxError struct {
	at  int    // offset
	msg string // in the parser's words
}

func newFinder(text []byte, keys string) *finder {
	// A table of eight keys has about a node in 14 bytes; growing costs a copy.
	return &finder{text: text, keys: keys, tree: newTree(len(text)/14 + 8), exprs: make([]expr, 0, bytes.Count(text, []byte{'\n'})+1)}
}

// run reads expressions from offset at on. It returns nil at the end of the
// text, and otherwise where the text could not be read; the caller says where to
// go on. tell hears of each expression that has no place in the tree, and says
// whether to go on.
func (f *finder) run(at int, tell func(conflict) bool) *syntaxError {
	f.base = at
	f.parser.Reset(f.text[at:])
	for f.parser.NextExpression() {
		node := f.parser.Expression()
		f.fault = nil
		var e expr
		switch node.Kind {
		case unstable.Table, unstable.ArrayTable:
			e = f.openTable(node)
			f.lost = f.fault != nil
		case unstable.KeyValue:
			e = expr{from: f.start(node.Raw), to: f.end(node.Raw)}
			if !f.lost {
				f.addKeyValue(f.table, node, f.depth)
			}
		}
		f.exprs = append(f.exprs, e)
		if f.fault != nil && !tell(*f.fault) {
			return nil
		}
		if f.fault != nil || f.lost {
			f.dropped = append(f.dropped, e)
		}
	}
	err := f.parser.Error()
	if err == nil {
		return nil
	}
	se := &syntaxError{at: len(f.text), msg: err.Error()}
	var pe *unstable.ParserError
	if errors.As(err, &pe) && len(pe.Highlight) > 0 {
		se.at = f.start(f.parser.Range(pe.Highlight))
	}
	return se
}

func (f *finder) start(r unstable.Range) int { return f.base + int(r.Offset) }
func (f *finder) end(r unstable.Range) int   { return f.base + int(r.Offset+r.Length) }

// key is one part of a key, decoded.
func (f *finder) key(n *unstable.Node) string {
	from, to := f.start(n.Raw), f.end(n.Raw)
	switch {
	case len(n.Data) == to-from: // bare
		return f.keys[from:to]
	case len(n.Data) == to-from-2: // quoted, and no escapes in it
		return f.keys[from+1 : to-1]
	}
	return string(n.Data)
}

// openTable reads a header and makes its table the one that keys go to.
func (f *finder) openTable(n *unstable.Node) expr {
	brackets := 1
	if n.Kind == unstable.ArrayTable {
		brackets = 2
	}
	it := n.Key()
	it.Next()
	first, last := it.Node(), it.Node()
	for it.Next() {
		last = it.Node()
	}
	at := f.start(first.Raw) - 1
	for isBlank(f.text[at]) {
		at--
	}
	e := expr{at - brackets + 1, skipBlanks(f.text, f.end(last.Raw)) + brackets, true}
	f.table, f.depth = 0, 0
	for it = n.Key(); it.Next() && f.fault == nil; {
		part := it.Node()
		f.depth++
		switch {
		case f.depth > MaxDepth:
			f.clash(conflictDepth, f.start(part.Raw), 0)
		case part == last:
			f.header(part, e, n.Kind == unstable.ArrayTable)
		default:
			f.table = f.step(f.table, part, false)
		}
	}
	return e
}

// header adds the table that the last part of header e names.
func (f *finder) header(part *unstable.Node, e expr, many bool) {
	key := f.key(part)
	n := node{
		kind: kindTable, header: true, at: uint32(e.from), end: uint32(e.to),
		keyAt: uint32(f.start(part.Raw)), keyEnd: uint32(f.end(part.Raw)),
	}
	c := f.tree.find(f.table, key)
	if c == 0 {
		named := n
		named.key = key
		if many {
			named.kind, named.header = kindTables, false
		}
		if f.table = f.tree.add(f.table, named); many {
			f.table = f.tree.add(f.table, n)
		}
		return
	}
	switch old := &f.tree.nodes[c]; {
	case many && old.kind == kindTables:
		f.table = f.tree.add(c, n)
	case many:
		f.clash(conflictNoTables, int(n.keyAt), c)
	case old.kind == kindTable && !old.header && !old.dotted:
		old.header, old.at, old.end = true, n.at, n.end
		old.keyAt, old.keyEnd = n.keyAt, n.keyEnd
		f.table = c
	case old.kind == kindTables:
		f.clash(conflictTables, int(n.keyAt), c)
	default:
		f.clash(conflictTwice, int(n.keyAt), c)
	}
}

// step goes from a table to the one below it that part names, making it where it
// is not there yet.
func (f *finder) step(from int32, part *unstable.Node, dotted bool) int32 {
	key := f.key(part)
	c := f.tree.find(from, key)
	if c == 0 {
		return f.tree.add(from, node{
			key: key, keyAt: uint32(f.start(part.Raw)), keyEnd: uint32(f.end(part.Raw)),
			at: uint32(f.start(part.Raw)), end: uint32(f.end(part.Raw)), kind: kindTable, dotted: dotted,
		})
	}
	switch n := &f.tree.nodes[c]; {
	case n.kind == kindTable && dotted && !n.dotted:
		f.clash(conflictOpened, f.start(part.Raw), c)
	case n.kind == kindTable:
		return c
	case n.kind == kindTables && !dotted:
		return n.last
	case n.kind == kindTables:
		f.clash(conflictTables, f.start(part.Raw), c)
	case n.kind == kindInline:
		f.clash(conflictClosed, f.start(part.Raw), c)
	default:
		f.clash(conflictValue, f.start(part.Raw), c)
	}
	return from
}

// addKeyValue adds a key, dotted or not, with its value.
func (f *finder) addKeyValue(table int32, kv *unstable.Node, depth int) {
	it := kv.Key()
	it.Next()
	for !it.IsLast() {
		if depth++; depth > MaxDepth {
			f.clash(conflictDepth, f.start(it.Node().Raw), 0)
			return
		}
		if table = f.step(table, it.Node(), true); f.fault != nil {
			return
		}
		it.Next()
	}
	part := it.Node()
	key := f.key(part)
	if c := f.tree.find(table, key); c != 0 {
		f.clash(conflictTwice, f.start(part.Raw), c)
		return
	}
	c := f.tree.add(table, node{key: key, keyAt: uint32(f.start(part.Raw)), keyEnd: uint32(f.end(part.Raw))})
	equals := skipBlanks(f.text, f.end(part.Raw))
	f.addValue(c, kv.Value(), skipBlanks(f.text, equals+1), depth+1)
}

// addValue fills node i with the value that begins at offset at, and returns the
// offset after it. The parser gives no ranges for lists and only the first byte
// of tables in braces; both end where their last part does, trivia aside.
func (f *finder) addValue(i int32, v *unstable.Node, at, depth int) int {
	if depth > MaxDepth {
		f.clash(conflictDepth, at, 0)
		return at
	}
	end := at
	kind := kindText
	switch v.Kind {
	case unstable.Array, unstable.InlineTable:
		kind = kindList
		if v.Kind == unstable.InlineTable {
			kind = kindInline
		}
		f.tree.nodes[i].kind = kind
		end++
		for it := v.Children(); it.Next() && f.fault == nil; {
			part := it.Node()
			end = skipTrivia(f.text, end)
			if kind == kindInline {
				f.addKeyValue(i, part, depth)
				end = f.end(part.Raw)
			} else {
				end = f.addValue(f.tree.add(i, node{keyAt: uint32(end), keyEnd: uint32(end)}), part, end, depth+1)
			}
		}
		end = skipTrivia(f.text, end) + 1
	case unstable.String:
		end += int(v.Raw.Length)
	case unstable.Integer:
		kind, end = kindInt, end+int(v.Raw.Length)
	case unstable.Float:
		kind, end = kindFloat, end+int(v.Raw.Length)
	case unstable.Bool:
		kind, end = kindBool, end+int(v.Raw.Length)
	default:
		kind, end = kindDate, end+int(v.Raw.Length)
	}
	n := &f.tree.nodes[i]
	n.kind, n.at, n.end = kind, uint32(at), uint32(end)
	return end
}

func (f *finder) clash(kind conflictKind, at int, with int32) {
	if f.fault == nil {
		f.fault = &conflict{kind: kind, at: at, with: with}
	}
}
