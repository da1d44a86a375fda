package tomlfile

// conflict is an expression that contradicts an earlier one, or a limit.
type conflict struct {
	kind conflictKind
	at   int   // offset of the key
	with int32 // the node it contradicts
}

type conflictKind uint8

const (
	conflictTwice    conflictKind = iota // the key is already there
	conflictValue                        // a table is wanted where a value stands
	conflictClosed                       // a table in braces is added to from outside
	conflictTables                       // [x] or x.y where [[x]] stands
	conflictOpened                       // a dotted key into a table that has a header
	conflictNoTables                     // [[x]] where [x] or a value stands
	conflictDepth                        // deeper than MaxDepth
)

// explain says what a conflict is, with the place of the earlier expression.
func (d *doc) explain(c conflict) {
	at := d.pos(c.at)
	old := d.tree.nodes[c.with]
	key := written(old.key)
	before := d.pos(int(old.keyAt))
	switch c.kind {
	case conflictTwice:
		if old.kind == kindTable {
			d.ps.Error(at, "put the keys of both under one header", "the table %s is already there at line %d, column %d", key, before.Line, before.Col)
			return
		}
		d.ps.Error(at, "keep one of the two", "%s is already given at line %d, column %d", key, before.Line, before.Col)
	case conflictValue:
		d.ps.Error(at, "give one of the two another name", "%s is %s at line %d, column %d, so it cannot have keys of its own", key, old.kind.words(), before.Line, before.Col)
	case conflictOpened:
		d.ps.Error(at, "write the key below that header", "the table %s has a header of its own at line %d, column %d", key, before.Line, before.Col)
	case conflictClosed:
		d.ps.Error(at, "write the new key between those braces", "%s is complete between its braces at line %d, column %d", key, before.Line, before.Col)
	case conflictTables:
		d.ps.Error(at, "write [["+key+"]] for one more of them, or keep the keys under its own header", "%s is a list of tables, [[%s]], at line %d, column %d", key, key, before.Line, before.Col)
	case conflictNoTables:
		is := "a single table, [" + key + "],"
		if old.kind != kindTable {
			is = old.kind.words()
		}
		d.ps.Error(at, "write all of them the same way, with double brackets", "%s is %s at line %d, column %d", key, is, before.Line, before.Col)
	case conflictDepth:
		d.ps.Error(at, "write it flatter", "tables and lists stand more than %d deep in each other", MaxDepth)
	}
}
