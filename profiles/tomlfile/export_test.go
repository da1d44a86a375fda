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
