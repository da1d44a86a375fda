package tomlfile

// kind is what a node of the tree is.
type kind uint8

const (
	kindText kind = iota + 1
	kindInt
	kindFloat
	kindBool
	kindDate
	kindList   // [ ... ]
	kindInline // { ... }: complete where it stands
	kindTable  // by a header, by dotted keys or by the headers of its parts
	kindTables // [[ ... ]]: its children are its tables
)

// node is a value with its place. Nodes are kept in one slice and linked by
// index; the root is 0, so that 0 as a link means none.
type node struct {
	key               string // as decoded; "" for an entry of a list
	keyAt, keyEnd     uint32 // the part of the key as written
	at, end           uint32 // the value as written, or the header's brackets
	first, last, next int32
	count             int32 // of children
	kind              kind
	header            bool // a table with a header of its own, so it can have no second one
	dotted            bool // a table that dotted keys made: complete with the table they stand in
	asked             bool // somebody asked for this key
	cursor            *Table
}

// tree is the whole file as nodes.
type tree struct {
	nodes []node
	// big has the children of tables with many by key: a table of names can be
	// as long as the file, and looking through all of it for each would take
	// quadratic time.
	big map[int32]map[string]int32
}

// manyKeys is from how many children on a table gets a map.
const manyKeys = 16

func newTree(sizeHint int) *tree {
	t := &tree{nodes: make([]node, 1, sizeHint)}
	t.nodes[0] = node{kind: kindTable}
	return t
}

// add appends a child and returns its index.
func (t *tree) add(parent int32, n node) int32 {
	t.nodes = append(t.nodes, n)
	i := int32(len(t.nodes) - 1)
	p := &t.nodes[parent]
	if p.last == 0 {
		p.first = i
	} else {
		t.nodes[p.last].next = i
	}
	p.last = i
	p.count++
	if p.kind != kindTable && p.kind != kindInline {
		return i
	}
	switch {
	case p.count == manyKeys:
		m := make(map[string]int32, 2*manyKeys)
		for c := p.first; c != 0; c = t.nodes[c].next {
			m[t.nodes[c].key] = c
		}
		if t.big == nil {
			t.big = map[int32]map[string]int32{}
		}
		t.big[parent] = m
	case p.count > manyKeys:
		t.big[parent][n.key] = i
	}
	return i
}

// find returns the child of that key, 0 if there is none.
func (t *tree) find(parent int32, key string) int32 {
	p := &t.nodes[parent]
	if p.count >= manyKeys {
		return t.big[parent][key]
	}
	for c := p.first; c != 0; c = t.nodes[c].next {
		if t.nodes[c].key == key {
			return c
		}
	}
	return 0
}
