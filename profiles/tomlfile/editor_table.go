package tomlfile

import (
	"fmt"
	"strings"
)

// newTable makes the table that the rest of a path names, below the last table
// of a trail, with its entries.
func (e *Editor) newTable(path Path, found trail, rest []string, entries []Entry) {
	owner := found[len(found)-1]
	model := e.model(found, rest)
	h := e.home(found)
	if model != 0 && h.kind == inSection && h.dots == 0 {
		switch m := &e.d.tree.nodes[model]; {
		case m.kind == kindInline:
			e.intoSection(owner, nest(rest, entries))
			return
		case m.dotted:
			e.asDotted(owner, rest, entries)
			return
		}
	}
	last := e.extent(owner)
	head, indent := e.headerText(path, found, rest)
	var lines []string
	if e.blankBefore(owner, model) {
		lines = append(lines, "")
	}
	keys := indent + e.keyIndent()
	if m := e.sibling(owner, model); m != 0 {
		h := e.header(m)
		indent = e.indent(h)
		if e.sectionEnd(h) > h {
			keys = e.indent(h + 1)
		}
	}
	lines = append(lines, indent+"["+head+"]")
	st := e.modelStyle(model, owner)
	if st.equals > 0 { // the model's column, if the keys fit
		for _, en := range entries {
			st.equals = max(st.equals, len(keys)+len(st.key(en.Key))+1)
		}
	}
	lines = append(lines, e.lines(keys, "", st, entries)...)
	if last < 0 {
		e.below(len(e.d.src), lines)
		return
	}
	e.below(e.d.exprs[last].to, lines)
}

// asDotted writes entries as dotted keys at the end of a section.
func (e *Editor) asDotted(owner int32, rest []string, entries []Entry) {
	h := e.header(owner)
	last := e.sectionEnd(h)
	st := e.sectionStyle(h, last)
	prefix := ""
	for _, key := range rest {
		prefix += st.key(key) + "."
	}
	if last < 0 {
		e.below(len(e.d.src), e.lines("", prefix, st, entries))
		return
	}
	indent := e.indent(last)
	if last == h {
		indent += e.keyIndent()
	}
	e.below(e.d.exprs[last].to, e.lines(indent, prefix, st, entries))
}

// model is the table of that name of a neighbour: of the one of several
// [[tables]] before the owner, else of one behind. 0 = none has it.
func (e *Editor) model(found trail, rest []string) int32 {
	if len(found) < 2 || len(rest) == 0 {
		return 0
	}
	nodes := e.d.tree.nodes
	owner, group := found[len(found)-1], found[len(found)-2]
	best := int32(0)
	for c := nodes[group].first; c != 0; c = nodes[c].next {
		if c == owner {
			if best != 0 {
				return best
			}
			continue
		}
		if k := nodes[c].kind; k != kindTable && k != kindInline {
			continue
		}
		if m := e.d.tree.find(c, rest[0]); m != 0 {
			best = m
			if c > owner {
				return best
			}
		}
	}
	return best
}

// modelStyle is the style of lines of the model, or of the owner.
func (e *Editor) modelStyle(model, owner int32) lineStyle {
	nodes := e.d.tree.nodes
	for _, i := range []int32{model, owner} {
		if i != 0 && nodes[i].kind == kindTable && nodes[i].header {
			h := e.header(i)
			if last := e.sectionEnd(h); last > h {
				st := e.sectionStyle(h, last)
				if i == owner && model == 0 {
					st.equals = 0 // its column is for its own keys
				}
				return st
			}
		}
	}
	return lineStyle{style: e.fileStyle(), pad: 1}
}

// headerText is what stands between the brackets of a new header, and its
// indentation: that of the owner's header.
func (e *Editor) headerText(path Path, found trail, rest []string) (head, indent string) {
	st := e.fileStyle()
	owner := &e.d.tree.nodes[found[len(found)-1]]
	if owner.kind == kindTable && owner.header {
		h := e.exprAt(int(owner.at))
		raw := strings.TrimSpace(strings.Trim(strings.TrimSpace(string(e.d.text[e.d.exprs[h].from:e.d.exprs[h].to])), "[]"))
		head, indent = raw, e.indent(h)
	} else {
		for _, step := range path[:len(path)-len(rest)] {
			if key, ok := step.(string); ok {
				head = join(head, st.key(key))
			}
		}
	}
	for _, key := range rest {
		head = join(head, st.key(key))
	}
	return head, indent
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "." + b
}

// sibling is a table with a header that a new one of the owner's should look
// like: the model, or another one of the owner's. 0 = there is none.
func (e *Editor) sibling(owner, model int32) int32 {
	nodes := e.d.tree.nodes
	if model != 0 && nodes[model].kind == kindTable && nodes[model].header {
		return model
	}
	for c := nodes[owner].first; c != 0; c = nodes[c].next {
		if nodes[c].kind == kindTable && nodes[c].header {
			return c
		}
	}
	return 0
}

// blankBefore says whether a blank line stands before headers like the new one.
func (e *Editor) blankBefore(owner, model int32) bool {
	if s := e.sibling(owner, model); s != 0 {
		return e.blankAbove(e.header(s))
	}
	return owner == 0 || !e.d.tree.nodes[owner].header
}

// blankAbove says whether the line above expression x is blank.
func (e *Editor) blankAbove(x int) bool {
	start := lineStart(e.d.text, e.d.exprs[x].from)
	if start == 0 {
		return false
	}
	above := lineStart(e.d.text, start-1)
	return strings.TrimSpace(string(e.d.text[above:start])) == ""
}

// Insert puts one more of several tables behind number after of those at a path
// (-1 = behind the last): under a [[header]] of its own, or in braces where they
// are. A path where there is nothing yet gets its first.
func (e *Editor) Insert(path Path, after int, entries ...Entry) error {
	found, rest, err := e.follow(path)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return e.first(path, found, rest, entries)
	}
	nodes := e.d.tree.nodes
	many := &nodes[found[len(found)-1]]
	if many.kind != kindTables && many.kind != kindList {
		return fmt.Errorf("%s: %s is no list of tables", e.d.pos(int(many.at)), e.name(path))
	}
	one := many.last
	if after >= 0 {
		one = many.first
		for n := 0; n < after && one != 0; n++ {
			one = nodes[one].next
		}
		if one == 0 {
			return fmt.Errorf("%s: there is no entry %d of %s", clean(e.d.file), after, e.name(path))
		}
	}
	if many.kind == kindList {
		return e.insertInline(found, one, entries)
	}
	h := e.header(one)
	last := e.extent(one)
	st := e.sectionStyle(h, e.sectionEnd(h))
	indent := e.indent(h)
	keys := indent
	if e.sectionEnd(h) > h {
		keys = e.indent(h + 1)
	}
	lines := []string{"", indent + string(e.d.text[e.d.exprs[h].from:e.d.exprs[h].to])}
	e.below(e.d.exprs[last].to, append(lines, e.lines(keys, "", st, entries)...))
	return nil
}

// insertInline puts a table in braces into a list, behind entry one (0 = an empty list).
func (e *Editor) insertInline(found trail, one int32, entries []Entry) error {
	nodes := e.d.tree.nodes
	many := &nodes[found[len(found)-1]]
	if one == 0 {
		e.put(int(many.at)+1, int(many.at)+1, e.fileStyle().inline(entries))
		return nil
	}
	if nodes[one].kind != kindInline {
		return fmt.Errorf("%s: an entry is no table", e.d.pos(int(nodes[one].at)))
	}
	st := e.styleNear(append(found, one))
	st.pad = e.bracePad(&nodes[one])
	sep := ", "
	start := lineStart(e.d.text, int(nodes[one].at))
	if indent := e.d.text[start:nodes[one].at]; strings.TrimSpace(string(indent)) == "" {
		sep = "," + e.newline(int(nodes[one].at)) + string(indent) // entries stand on lines of their own
	}
	e.put(int(nodes[one].end), int(nodes[one].end), sep+st.inline(entries))
	return nil
}

// first writes the first of several tables at the end of what the trail leads to.
func (e *Editor) first(path Path, found trail, rest []string, entries []Entry) error {
	if h := e.home(found); h.kind == inBraces || h.dots > 0 || len(rest) > 1 {
		return fmt.Errorf("%s: there is no %s", clean(e.d.file), e.name(path))
	}
	head, indent := e.headerText(path, found, rest)
	last := e.extent(found[len(found)-1])
	lines := append([]string{indent + "[[" + head + "]]"}, e.lines(indent, "", lineStyle{style: e.fileStyle(), pad: 1}, entries)...)
	if last < 0 {
		if len(e.d.src) > 0 {
			lines = append([]string{""}, lines...)
		}
		e.below(len(e.d.src), lines)
		return nil
	}
	e.below(e.d.exprs[last].to, append([]string{""}, lines...))
	return nil
}
