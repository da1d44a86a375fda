package tomlfile

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// homeKind is what holds a table.
type homeKind uint8

const (
	inSection homeKind = iota // lines below a header, or at the top of the file
	inBraces                  // a table in braces
	nowhere                   // a table that only headers of its parts speak of
)

// home is where the keys of a table are written.
type home struct {
	kind  homeKind
	depth int // in the trail: of the section or the braces
	dots  int // dotted parts from there to the table
}

// home finds where the keys of the last table of a trail are written.
func (e *Editor) home(found trail) home {
	nodes := e.d.tree.nodes
	dots := 0
	for i := len(found) - 1; i >= 0; i-- {
		switch n := &nodes[found[i]]; {
		case n.kind == kindInline:
			return home{inBraces, i, dots}
		case n.kind == kindTable && (n.header || found[i] == 0):
			return home{inSection, i, dots}
		case n.kind == kindTable && n.dotted:
			dots++
		default:
			return home{nowhere, i, dots}
		}
	}
	return home{}
}

// nest wraps entries in the tables that are missing around them.
func nest(keys []string, entries []Entry) []Entry {
	for _, key := range slices.Backward(keys) {
		entries = []Entry{{key, Inline(entries)}}
	}
	return entries
}

// end is the offset behind everything of node i that stands between braces.
func (e *Editor) end(i int32) int {
	n := &e.d.tree.nodes[i]
	if n.kind != kindTable {
		return int(n.end)
	}
	end := int(n.keyEnd)
	for c := n.first; c != 0; c = e.d.tree.nodes[c].next {
		end = max(end, e.end(c))
	}
	return end
}

// intoBraces puts entries at the end of a table in braces.
func (e *Editor) intoBraces(found trail, h home, rest []string, entries []Entry) {
	braces := &e.d.tree.nodes[found[h.depth]]
	for i := len(found) - 1; i > h.depth; i-- { // dotted parts become part of the key
		rest = append([]string{e.d.tree.nodes[found[i]].key}, rest...)
	}
	st := e.styleNear(found)
	st.pad = e.bracePad(braces)
	texts := make([]string, 0, len(entries))
	if h.dots > 0 {
		prefix := ""
		for _, key := range rest {
			prefix += st.key(key) + "."
		}
		for _, en := range entries {
			texts = append(texts, prefix+st.entry(en))
		}
	} else {
		for _, en := range nest(rest, entries) {
			texts = append(texts, st.entry(en))
		}
	}
	all := strings.Join(texts, ", ")
	if braces.first == 0 {
		e.put(int(braces.at), int(braces.end), "{"+st.pad+all+st.pad+"}")
		return
	}
	last := 0
	for c := braces.first; c != 0; c = e.d.tree.nodes[c].next {
		last = max(last, e.end(c))
	}
	e.put(last, last, ", "+all)
}

// bracePad is what stands between a brace and what it holds.
func (e *Editor) bracePad(n *node) string {
	if n.first == 0 {
		return " "
	}
	after := int(n.at) + 1
	if isBlank(e.d.text[after]) || e.d.text[after] == '\n' || e.d.text[after] == '\r' {
		return " "
	}
	return ""
}

// outOfBraces takes the last of a trail out of the braces around it.
func (e *Editor) outOfBraces(found trail) error {
	nodes := e.d.tree.nodes
	parent, i := found[len(found)-2], found[len(found)-1]
	if nodes[parent].kind != kindInline {
		return fmt.Errorf("%s: a dotted key between braces cannot be taken out alone", e.d.pos(int(nodes[i].keyAt)))
	}
	before := int32(0)
	for c := nodes[parent].first; c != 0 && c != i; c = nodes[c].next {
		before = c
	}
	switch next := nodes[i].next; {
	case before != 0:
		e.put(e.end(before), int(nodes[i].end), "")
	case next != 0:
		e.put(int(nodes[i].keyAt), int(nodes[next].keyAt), "")
	default:
		e.put(int(nodes[i].keyAt), int(nodes[i].end), "")
	}
	return nil
}

// header is the expression of a table's header, -1 for the top of the file.
func (e *Editor) header(i int32) int {
	if i == 0 {
		return -1
	}
	return e.exprAt(int(e.d.tree.nodes[i].at))
}

// intoSection puts entries below the last key of the section of table i.
func (e *Editor) intoSection(i int32, entries []Entry) {
	h := e.header(i)
	last := e.sectionEnd(h)
	if last < 0 { // a file without keys: after whatever comments it begins with
		e.atTop(entries)
		return
	}
	indent := e.indent(last)
	if last == h {
		indent += e.keyIndent()
	}
	e.below(e.d.exprs[last].to, e.lines(indent, "", e.sectionStyle(h, last), entries))
}

// atTop writes the first keys of a file that begins with a header, or is empty.
func (e *Editor) atTop(entries []Entry) {
	lines := e.lines("", "", lineStyle{style: e.fileStyle(), pad: 1}, entries)
	if len(e.d.exprs) == 0 {
		e.below(len(e.d.src), lines)
		return
	}
	nl := e.newline(0)
	first := e.d.exprs[0].from
	at := lineStart(e.d.text, first)
	for at > 0 { // above the comment that belongs to the header
		above := lineStart(e.d.text, at-1)
		if skipBlanks(e.d.text, above) >= at-1 || e.d.text[skipBlanks(e.d.text, above)] != '#' {
			break
		}
		at = above
	}
	e.put(at, at, strings.Join(lines, nl)+nl+nl)
}

// keyIndent is how much deeper keys stand than their header, as the first
// section with keys shows.
func (e *Editor) keyIndent() string {
	for x := range e.d.exprs {
		if e.d.exprs[x].header && x+1 < len(e.d.exprs) && !e.d.exprs[x+1].header {
			if more, ok := strings.CutPrefix(e.indent(x+1), e.indent(x)); ok {
				return more
			}
			return ""
		}
	}
	return ""
}

// dotted puts entries below the last key of a table that dotted keys make,
// written as those are.
func (e *Editor) dotted(found trail, h home, rest []string, entries []Entry) {
	leaf := e.lastLeaf(found[len(found)-1])
	x := e.exprAt(int(e.d.tree.nodes[leaf].keyAt))
	from := e.d.exprs[x].from
	prefix := string(e.d.text[from:keyPart(e.d.text, from, h.dots)])
	header := x
	for header >= 0 && !e.d.exprs[header].header {
		header--
	}
	st := e.sectionStyle(header, x)
	for _, key := range rest {
		prefix += st.key(key) + "."
	}
	e.below(e.d.exprs[x].to, e.lines(e.indent(x), prefix, st, entries))
}

// lastLeaf is the value that stands last of those that dotted keys put into table
// i: what stands below headers of their own does not count.
func (e *Editor) lastLeaf(i int32) int32 {
	nodes := e.d.tree.nodes
	best := i
	for c := nodes[i].first; c != 0; c = nodes[c].next {
		leaf := c
		switch k := nodes[c].kind; {
		case k == kindTables, k == kindTable && !nodes[c].dotted:
			continue
		case k == kindTable:
			leaf = e.lastLeaf(c)
		}
		if best == i || nodes[leaf].keyAt > nodes[best].keyAt {
			best = leaf
		}
	}
	return best
}

// keyPart is the offset of part n of the dotted key that begins at from.
func keyPart(b []byte, from, n int) int {
	at := from
	for range n {
		at = keyPartEnd(b, at)
		at = skipBlanks(b, at)
		at = skipBlanks(b, at+1) // the point
	}
	return at
}

func keyPartEnd(b []byte, at int) int {
	switch q := b[at]; q {
	case '"', '\'':
		for at++; b[at] != q; at++ {
			if q == '"' && b[at] == '\\' {
				at++
			}
		}
		return at + 1
	}
	for isBare(b[at]) || b[at] >= utf8.RuneSelf {
		at++
	}
	return at
}

// extent is the last expression of everything written of table i and below it.
func (e *Editor) extent(i int32) int {
	nodes := e.d.tree.nodes
	last := -1
	switch n := &nodes[i]; {
	case i == 0:
		return len(e.d.exprs) - 1
	case n.kind == kindTable && n.header:
		last = e.sectionEnd(e.header(i))
	case n.kind != kindTable && n.kind != kindTables:
		return e.exprAt(int(n.keyAt))
	}
	for c := nodes[i].first; c != 0; c = nodes[c].next {
		if k := nodes[c].kind; k == kindTable || k == kindTables {
			last = max(last, e.extent(c))
		}
	}
	return last
}

// Rewrite takes keys out of the table at a path and gives others their values,
// as Set does. A table in braces is written anew, its other values as they were.
func (e *Editor) Rewrite(path Path, gone []string, entries ...Entry) error {
	found, rest, err := e.follow(path)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return fmt.Errorf("%s: there is no %s", clean(e.d.file), e.name(path))
	}
	i := found[len(found)-1]
	nodes := e.d.tree.nodes
	if nodes[i].kind != kindInline {
		for _, key := range gone {
			if err := e.Remove(append(slices.Clone(path), key)); err != nil {
				return err
			}
		}
		return e.Set(path, entries...)
	}
	st := e.styleNear(found)
	st.pad = e.bracePad(&nodes[i])
	var parts []string
	for c := nodes[i].first; c != 0; c = nodes[c].next {
		key := nodes[c].key
		if slices.Contains(gone, key) || slices.ContainsFunc(entries, func(en Entry) bool { return en.Key == key }) {
			continue
		}
		parts = append(parts, string(e.d.text[nodes[c].keyAt:e.end(c)]))
	}
	for k, en := range entries {
		parts = slices.Insert(parts, k, st.entry(en))
	}
	e.put(int(nodes[i].at), int(nodes[i].end), "{"+st.pad+strings.Join(parts, ", ")+st.pad+"}")
	return nil
}
