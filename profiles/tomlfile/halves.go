package tomlfile

import (
	"bytes"
	"sort"
)

// A long file of many [[tables]] is decoded in two halves at once. Its places
// have been found by then, so it is known to be sound, and where the second half
// does not stand by itself the whole is decoded after all.

// halvesSize is from how many bytes on that pays.
const halvesSize = 256 << 10

// decodeHalves is decode in two halves; ok is false where it must be done whole.
func (d *doc) decodeHalves() (values map[string]any, ok bool) {
	at := d.middle()
	if at == 0 {
		return nil, false
	}
	type half struct {
		values map[string]any
		err    error
	}
	second := make(chan half, 1)
	go func() {
		values, err := decode(d.text[at:])
		second <- half{values, err}
	}()
	values, err := decode(d.text[:at])
	rest := <-second
	if err != nil || rest.err != nil || !merge(values, rest.values) {
		return nil, false
	}
	return values, true
}

// middle is where the second half begins: with a [[header]] of the tables that
// are most. 0 = there is no such place.
func (d *doc) middle() int {
	if d.damaged || len(d.text) < halvesSize {
		return 0
	}
	nodes := d.tree.nodes
	most := int32(0)
	for c := nodes[0].first; c != 0; c = nodes[c].next {
		if nodes[c].kind == kindTables && (most == 0 || nodes[c].count > nodes[most].count) {
			most = c
		}
	}
	if most == 0 || !isBareKey(nodes[most].key) {
		return 0
	}
	header := []byte("[[" + nodes[most].key + "]]")
	half := len(d.text) / 2
	for i := sort.Search(len(d.exprs), func(i int) bool { return d.exprs[i].from >= half }); i < len(d.exprs); i++ {
		if e := d.exprs[i]; e.header && bytes.Equal(d.text[e.from:e.to], header) {
			return e.from
		}
	}
	return 0
}

// merge puts what was read later below what was read first. It is false where a
// part of the second half belongs to a table that the first has begun.
func merge(into, from map[string]any) bool {
	for key, v := range from {
		old, both := into[key]
		if !both {
			into[key] = v
			continue
		}
		switch old := old.(type) {
		case []map[string]any:
			more, ok := v.([]map[string]any)
			if !ok {
				return false
			}
			into[key] = append(old, more...)
		case map[string]any:
			more, ok := v.(map[string]any)
			if !ok || !merge(old, more) {
				return false
			}
		default:
			return false
		}
	}
	return true
}
