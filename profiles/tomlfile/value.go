package tomlfile

import (
	"math"
	"strconv"
	"time"
)

// Value is a value with its place: a text, number, true or false, date, list or
// table. None of its methods reports anything.
type Value struct {
	in   *Table // the table it was found in, directly or in a list
	node int32
	v    any
	key  string // it was found under, for messages
}

// Pos is the place of the value's first character.
func (v Value) Pos() Pos {
	if v.in == nil {
		return Pos{}
	}
	return v.in.d.pos(int(v.in.d.tree.nodes[v.node].at))
}

// Range is the bytes of the value in the file as it was given to Parse. A table
// with a header has only the header's.
func (v Value) Range() Range {
	if v.in == nil {
		return Range{}
	}
	n := v.in.d.tree.nodes[v.node]
	return v.in.d.rangeOf(int(n.at), int(n.end))
}

// raw is the value as written.
func (v Value) raw() string {
	n := v.in.d.tree.nodes[v.node]
	return string(v.in.d.text[n.at:n.end])
}

// Text is the value of a text in quotation marks.
func (v Value) Text() (string, bool) {
	s, ok := v.v.(string)
	return s, ok
}

// Number is the value of a number, whole or not; nan and inf are none.
func (v Value) Number() (float64, bool) {
	switch x := v.v.(type) {
	case int64:
		return float64(x), true
	case float64:
		return x, !math.IsNaN(x) && !math.IsInf(x, 0)
	}
	return 0, false
}

// Integer is the value of a number written as a whole one.
func (v Value) Integer() (int, bool) {
	x, ok := v.v.(int64)
	return int(x), ok && int64(int(x)) == x
}

// Bool is the value of true or false.
func (v Value) Bool() (value, ok bool) {
	value, ok = v.v.(bool)
	return value, ok
}

// List is the entries of a list, or the tables under repeated [[headers]].
func (v Value) List() ([]Value, bool) {
	var at func(i int) any
	switch x := v.v.(type) {
	case []any:
		at = func(i int) any { return x[i] }
	case []map[string]any:
		at = func(i int) any { return x[i] }
	default:
		return nil, false
	}
	nodes := v.in.d.tree.nodes
	out := make([]Value, 0, nodes[v.node].count)
	for c := nodes[v.node].first; c != 0; c = nodes[c].next {
		out = append(out, Value{v.in, c, at(len(out)), v.key})
	}
	return out, true
}

// Table is the table, in braces or under its header. It is closed with the table
// it was found in.
func (v Value) Table() (*Table, bool) {
	m, ok := v.v.(map[string]any)
	if !ok {
		return nil, false
	}
	return v.in.d.cursor(v.node, m, v.in), true
}

// Kind is what the value is, for messages: "a text", "a whole number", "a
// number", "true or false", "a date", "a list", "a table".
func (v Value) Kind() string {
	if v.in == nil {
		return "nothing"
	}
	return v.in.d.tree.nodes[v.node].kind.words()
}

func (k kind) words() string {
	switch k {
	case kindText:
		return "a text"
	case kindInt:
		return "a whole number"
	case kindFloat:
		return "a number"
	case kindBool:
		return "true or false"
	case kindDate:
		return "a date"
	case kindList, kindTables:
		return "a list"
	}
	return "a table"
}

// found is what the value is with what it says, for messages.
func (v Value) found() string {
	switch x := v.v.(type) {
	case string:
		return "the text " + Quote(x)
	case int64, float64:
		return "the number " + shorten(v.raw())
	case bool:
		return strconv.FormatBool(x)
	case time.Time:
		return "the date " + shorten(v.raw())
	}
	return v.Kind()
}
