package tomlfile

import (
	"strings"
	"unicode/utf8"
)

// lineStyle is how the lines of a section are written.
type lineStyle struct {
	style
	equals int // the column its equals signs stand in; 0 = right behind the key
	pad    int // blanks before the equals sign where there is no such column
}

// lines writes entries, one a line, each key behind a prefix.
func (e *Editor) lines(indent, prefix string, st lineStyle, entries []Entry) []string {
	out := make([]string, len(entries))
	for i, en := range entries {
		key := indent + prefix + st.key(en.Key)
		pad := st.pad
		if n := st.equals - utf8.RuneCountInString(key); st.equals > 0 {
			pad = max(n, 1)
		}
		_, after, _ := strings.Cut(st.colon, "=")
		out[i] = key + strings.Repeat(" ", pad) + "=" + after + st.value(en.Value)
	}
	return out
}

// sectionStyle reads the style of a section off its keys: those from behind
// header h to expression last.
func (e *Editor) sectionStyle(h, last int) lineStyle {
	st := lineStyle{style: e.fileStyle(), pad: 1}
	same, wide := true, false
	column := -1
	for x := max(h+1, 0); x <= last; x++ {
		if e.d.exprs[x].header {
			continue
		}
		from := e.d.exprs[x].from
		keyEnd := e.keyEnd(from)
		equals := skipBlanks(e.d.text, keyEnd)
		pad := equals - keyEnd
		c := e.column(equals)
		same = same && (column < 0 || c == column)
		column = c
		wide = wide || pad > 1
		st.pad = min(pad, 1)
		after := skipBlanks(e.d.text, equals+1)
		st.colon = strings.Repeat(" ", min(pad, 1)) + "=" + string(e.d.text[equals+1:after])
		e.quoteAt(after, &st.style)
		if strings.Contains(st.colon, "\t") {
			st.colon = " = "
		}
	}
	if wide && (same || e.widePad(last)) {
		st.equals = column
	}
	return st
}

// widePad says whether more than one blank stands before the equals sign.
func (e *Editor) widePad(x int) bool {
	keyEnd := e.keyEnd(e.d.exprs[x].from)
	return skipBlanks(e.d.text, keyEnd)-keyEnd > 1
}

// keyEnd is the end of the whole key, dots included, that begins at from.
func (e *Editor) keyEnd(from int) int {
	b := e.d.text
	for at := from; ; {
		at = keyPartEnd(b, at)
		next := skipBlanks(b, at)
		if b[next] != '.' {
			return at
		}
		at = skipBlanks(b, next+1)
	}
}

// quoteAt takes over the quotation marks of a text that begins at off.
func (e *Editor) quoteAt(off int, st *style) {
	if c := e.d.text[off]; c == '"' || c == '\'' {
		st.quote = c
	}
}

// fileStyle is the style of the first text of the file.
func (e *Editor) fileStyle() style {
	st := plainStyle
	for i := range e.d.tree.nodes {
		if n := &e.d.tree.nodes[i]; n.kind == kindText {
			e.quoteAt(int(n.at), &st)
			break
		}
	}
	return st
}

// styleNear is the style of what stands beside the last of a trail.
func (e *Editor) styleNear(found trail) style {
	st := e.fileStyle()
	nodes := e.d.tree.nodes
	for i := len(found) - 1; i >= 0; i-- {
		n := &nodes[found[i]]
		for c := n.first; c != 0; c = nodes[c].next {
			if nodes[c].key == "" || nodes[c].kind == kindTable || nodes[c].kind == kindTables {
				continue
			}
			end := int(nodes[c].keyEnd)
			st.colon = string(e.d.text[end:nodes[c].at])
			if strings.Trim(st.colon, " ") != "=" {
				st.colon = " = "
			}
			if pad, after, _ := strings.Cut(st.colon, "="); len(pad) > 1 || len(after) > 1 {
				st.colon = " = " // columns are for lines
			}
			if nodes[c].kind == kindText {
				e.quoteAt(int(nodes[c].at), &st)
				return st
			}
		}
		if n.kind == kindText {
			e.quoteAt(int(n.at), &st)
		}
	}
	return st
}
