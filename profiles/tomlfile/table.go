package tomlfile

import (
	"strings"

	"limn/fixtures/nearest"
)

// Table is a TOML table read key by key. Every key asked for counts as known;
// Close reports the others with the nearest known key. All getters report a
// wrongly typed value themselves and return ok = false, so callers just go on. A
// nil *Table is legal and empty (after a syntax fault).
//
// Asked twice for the same sub-table, a Table gives the same cursor. A file is
// for one goroutine at a time.
type Table struct {
	d       *doc
	node    int32
	values  map[string]any
	known   *asked // the keys asked for
	free    bool   // its keys are names of the user's, so none is unknown
	closed  bool
	handed  []*Table  // the tables first found through this one
	missing []missing // required keys that a slip may stand for
}

type missing struct {
	key, cure string
}

// cursor is the one Table of a node. It will be closed with the table it was
// first found in.
func (d *doc) cursor(node int32, values map[string]any, in *Table) *Table {
	n := &d.tree.nodes[node]
	if n.cursor == nil {
		n.cursor = &Table{d: d, node: node, values: values, known: &d.nobody}
		if in != nil {
			in.handed = append(in.handed, n.cursor)
		}
	}
	return n.cursor
}

// child finds a key and marks it as known; 0 if it is not there.
func (t *Table) child(key string) int32 {
	if t == nil {
		return 0
	}
	if !t.free {
		t.known = t.known.with(key)
	}
	c := t.d.tree.find(t.node, key)
	if c != 0 {
		t.d.tree.nodes[c].asked = true
	}
	return c
}

// Pos is the place of the table's header or brace. That of the whole file has no
// line.
func (t *Table) Pos() Pos {
	if t == nil {
		return Pos{}
	}
	if t.node == 0 {
		return Pos{File: t.d.file}
	}
	return t.d.pos(int(t.d.tree.nodes[t.node].at))
}

// KeyPos is the place of a key, and Pos if the table has none of that name. It
// does not count as asking.
func (t *Table) KeyPos(key string) Pos {
	if t != nil {
		if c := t.d.tree.find(t.node, key); c != 0 {
			return t.d.pos(int(t.d.tree.nodes[c].keyAt))
		}
	}
	return t.Pos()
}

// ValuePos is the place of a key's value, and Pos if the table has no such key.
// It does not count as asking.
func (t *Table) ValuePos(key string) Pos {
	if t != nil {
		if c := t.d.tree.find(t.node, key); c != 0 {
			return t.d.pos(int(t.d.tree.nodes[c].at))
		}
	}
	return t.Pos()
}

// Has says whether the table has the key, which counts as asking.
func (t *Table) Has(key string) bool { return t.child(key) != 0 }

// Keys returns the keys in the order of the file, without their quotation marks,
// and marks all as known: for tables whose keys are names of the user's.
func (t *Table) Keys() []string {
	if t == nil {
		return nil
	}
	t.free = true
	nodes := t.d.tree.nodes
	keys := make([]string, 0, nodes[t.node].count)
	for c := nodes[t.node].first; c != 0; c = nodes[c].next {
		keys = append(keys, nodes[c].key)
	}
	return keys
}

// Problems is where the file's faults go, nil for a nil Table.
func (t *Table) Problems() *Problems {
	if t == nil {
		return nil
	}
	return t.d.ps
}

// Damaged says that part of the file could not be read, so that what seems to be
// missing may be there: callers hold back complaints of names that nothing has.
func (t *Table) Damaged() bool { return t == nil || t.d.damaged }

// Require reports key as missing if it is, with cure as the example to write,
// and says whether it is there. In a damaged file it keeps silent: the key may be
// in the part that could not be read.
func (t *Table) Require(key, cure string) bool {
	if t == nil {
		return false
	}
	if t.child(key) != 0 {
		return true
	}
	if t.d.damaged {
		return false
	}
	m := missing{key, cure}
	if t.slipFor(key) != 0 {
		t.missing = append(t.missing, m) // Close will know whether it is a slip
	} else {
		t.reportMissing(m)
	}
	return false
}

func (t *Table) reportMissing(m missing) {
	cure := m.cure
	if !strings.HasPrefix(cure, "write ") {
		cure = "write " + cure
	}
	where := ""
	if n := t.d.tree.nodes[t.node]; n.header {
		where = " in " + shorten(string(t.d.text[n.at:n.end]))
	}
	t.d.ps.Error(t.Pos(), cure, "%s is missing%s", written(m.key), where)
}

// slipFor finds a key nobody asked for that may be meant as key.
func (t *Table) slipFor(key string) int32 {
	nodes := t.d.tree.nodes
	for c := nodes[t.node].first; c != 0; c = nodes[c].next {
		if !nodes[c].asked && nearest.Name(nodes[c].key, []string{key}) != "" {
			return c
		}
	}
	return 0
}

// Close reports every key nobody asked for, with the nearest known key, in this
// table and in all that were asked for through it. Closing twice is legal.
func (t *Table) Close() {
	if t == nil || t.closed {
		return
	}
	t.closed = true
	nodes := t.d.tree.nodes
	meant := map[string]bool{}
	for c := nodes[t.node].first; c != 0 && !t.free; c = nodes[c].next {
		if !nodes[c].asked {
			meant[t.reportUnknown(nodes[c])] = true
		}
	}
	for _, m := range t.missing {
		if !meant[m.key] {
			t.reportMissing(m)
		}
	}
	for _, h := range t.handed {
		h.Close()
	}
}

// reportUnknown reports a key nobody asked for and returns the key it is taken
// to be meant as.
func (t *Table) reportUnknown(n node) string {
	at := t.d.pos(int(n.keyAt))
	known := t.known.keys()
	for _, k := range known {
		if strings.EqualFold(k, n.key) {
			t.d.ps.Error(at, "write "+written(k), "%s differs from %s in capitals only", written(n.key), written(k))
			return k
		}
	}
	t.d.ps.Error(at, nearest.DidYouMean(n.key, known), "unknown key %s", written(n.key))
	return nearest.Name(n.key, known)
}
