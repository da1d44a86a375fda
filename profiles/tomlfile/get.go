package tomlfile

import (
	"math"
	"strconv"
	"strings"
)

// Value gives any value, for keys that may be written in several ways.
func (t *Table) Value(key string) (Value, bool) {
	c := t.child(key)
	if c == 0 {
		return Value{}, false
	}
	return Value{t, c, t.values[key], key}, true
}

func (t *Table) wrong(v Value, want, cure string) {
	t.d.ps.Error(v.Pos(), cure, "%s is %s, %s is wanted", written(v.key), v.found(), want)
}

// String reads a text. ok is false if the key is absent, silently, or its value
// is none, which is reported.
func (t *Table) String(key string) (string, bool) {
	v, ok := t.Value(key)
	if !ok {
		return "", false
	}
	s, ok := v.Text()
	if !ok {
		cure := "write " + written(key) + ` = "..."`
		if _, list := v.List(); !list && v.Kind() != "a table" {
			cure = "write " + written(key) + " = " + Quote(v.raw())
		}
		t.wrong(v, "a text", cure)
	}
	return s, ok
}

// Float reads a number, whole or not; nan and inf are refused. ok is false if
// the key is absent, silently, or its value is none, which is reported.
func (t *Table) Float(key string) (float64, bool) {
	v, ok := t.Value(key)
	if !ok {
		return 0, false
	}
	x, ok := v.Number()
	if !ok {
		t.wrong(v, "a number", t.numberCure(v, "1.5"))
	}
	return x, ok
}

// Int reads a whole number. ok is false if the key is absent, silently, or its
// value is none, which is reported.
func (t *Table) Int(key string) (int, bool) {
	v, ok := t.Value(key)
	if !ok {
		return 0, false
	}
	x, ok := v.Integer()
	if !ok {
		cure := t.numberCure(v, "1")
		if f, is := v.v.(float64); is {
			cure = "write " + written(key) + " = 1"
			if f == math.Trunc(f) && math.Abs(f) < 1e15 {
				cure = "write " + written(key) + " = " + strconv.FormatFloat(f, 'f', 0, 64)
			}
		}
		t.wrong(v, "a whole number", cure)
	}
	return x, ok
}

// numberCure takes a number out of its quotation marks, or shows an example.
func (t *Table) numberCure(v Value, example string) string {
	if s, ok := v.Text(); ok && plainNumber.MatchString(strings.TrimSpace(s)) {
		example = strings.TrimSpace(s)
	}
	return "write " + written(v.key) + " = " + example
}

// Bool reads true or false. ok is false if the key is absent, silently, or its
// value is neither, which is reported.
func (t *Table) Bool(key string) (value, ok bool) {
	v, ok := t.Value(key)
	if !ok {
		return false, false
	}
	value, ok = v.Bool()
	if !ok {
		t.wrong(v, "true or false", "write "+written(key)+" = true, without quotation marks")
	}
	return value, ok
}

// Table reads a sub-table, written under a [header] or in braces. It is nil,
// which is legal and empty, if the key is absent, silently, or its value is no
// table, which is reported.
func (t *Table) Table(key string) *Table {
	v, ok := t.Value(key)
	if !ok {
		return nil
	}
	if sub, ok := v.Table(); ok {
		return sub
	}
	if list, ok := v.List(); ok && t.d.tree.nodes[v.node].kind == kindTables {
		t.d.ps.Error(v.Pos(), "write ["+written(key)+"], once", "%s is written [[%s]] as if there were several", written(key), written(key))
		sub, _ := list[0].Table()
		return sub // so that its keys are checked too
	}
	t.wrong(v, "a table", "write ["+written(key)+"] and its keys below, or { } around them")
	return nil
}

// Tables reads the tables under repeated [[key]] headers, or a list of tables in
// braces. Entries that are no tables are reported and left out.
func (t *Table) Tables(key string) []*Table {
	v, ok := t.Value(key)
	if !ok {
		return nil
	}
	if sub, ok := v.Table(); ok {
		t.d.ps.Error(v.Pos(), "write [["+written(key)+"]]", "%s is a single table, a list of them is wanted", written(key))
		return []*Table{sub} // so that its keys are checked too
	}
	list, ok := v.List()
	if !ok {
		t.wrong(v, "a list of tables", "write [["+written(key)+"]] and its keys below")
		return nil
	}
	out := make([]*Table, 0, len(list))
	for _, e := range list {
		sub, ok := e.Table()
		if !ok {
			t.d.ps.Error(e.Pos(), "write { } around its keys", "an entry of %s is %s, a table is wanted", written(key), e.found())
			continue
		}
		out = append(out, sub)
	}
	return out
}
