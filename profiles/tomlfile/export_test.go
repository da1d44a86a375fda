package tomlfile

// Walk calls visit for every value of a file, with what the decoder made of it
// and its text; path names it. Used to hold places and values together.
func Walk(t *Table, visit func(path string, v Value, key, raw string)) {
	if t != nil {
		walkTable(t, "", visit)
	}
}

func walkTable(t *Table, path string, visit func(string, Value, string, string)) {
	for _, k := range t.Keys() {
		v, ok := t.Value(k)
		if !ok {
			panic("a key that Keys names is not there: " + k)
		}
		n := t.d.tree.nodes[v.node]
		walkValue(v, path+"/"+k, string(t.d.text[n.keyAt:n.keyEnd]), visit)
	}
}

func walkValue(v Value, path, key string, visit func(string, Value, string, string)) {
	visit(path, v, key, v.raw())
	if list, ok := v.List(); ok {
		for _, e := range list {
			walkValue(e, path+"[]", "", visit)
		}
	}
	if t, ok := v.Table(); ok {
		walkTable(t, path, visit)
	}
}

// IsHeader says whether a value is a table with a header, or several: its range
// is no value that stands alone.
func IsHeader(v Value) bool {
	k := v.in.d.tree.nodes[v.node].kind
	return k == kindTable || k == kindTables
}

// Decoded is what the decoder made of a value.
func Decoded(v Value) any { return v.v }

// Spot is a value or a table, for tests of the editor.
type Spot struct {
	Path     Path
	From, To int  // bytes of a value in the file
	Value    bool // it stands alone as a value
	Table    bool // keys can be set in it
	Kids     int
	Lines    bool // a table whose keys stand on lines of their own
}

// Spots lists everything in a file.
func Spots(e *Editor) []Spot {
	var out []Spot
	nodes := e.d.tree.nodes
	var walk func(i int32, at Path)
	walk = func(i int32, at Path) {
		n := &nodes[i]
		table := n.kind == kindTable || n.kind == kindInline
		out = append(out, Spot{
			Path: at, From: int(n.at) + e.d.mark, To: int(n.end) + e.d.mark,
			Value: n.kind != kindTable && n.kind != kindTables, Table: table, Kids: int(n.count),
			Lines: n.kind == kindTable && (n.header || i == 0),
		})
		k := 0
		for c := n.first; c != 0; c = nodes[c].next {
			var step any = nodes[c].key
			if !table {
				step = k
			}
			walk(c, append(append(Path{}, at...), step))
			k++
		}
	}
	walk(0, Path{})
	return out
}
