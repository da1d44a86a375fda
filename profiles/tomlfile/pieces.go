package tomlfile

import (
	"bytes"
	"sync"
	"sync/atomic"
)

// A long file of many [[tables]] is decoded piece by piece, two at once: the
// decoder keeps a list of every key it has met, and is the faster the shorter that
// is. The places have been found by then, so the file is known to be sound, and where
// a piece does not stand by itself the whole is decoded after all.

const (
	// pieceSize is about how many bytes a piece has.
	pieceSize = 64 << 10
	// piecesAtOnce leaves the other cores to whoever sends light.
	piecesAtOnce = 2
)

// decodePieces is decode in pieces; ok is false where it must be done whole.
func (d *doc) decodePieces() (values map[string]any, ok bool) {
	starts := d.pieces()
	if len(starts) < 2 {
		return nil, false
	}
	found := make([]map[string]any, len(starts))
	var next atomic.Int64
	var failed atomic.Bool
	var done sync.WaitGroup
	for range piecesAtOnce {
		done.Go(func() {
			for !failed.Load() {
				i := int(next.Add(1)) - 1
				if i >= len(starts) {
					return
				}
				end := len(d.text)
				if i+1 < len(starts) {
					end = starts[i+1]
				}
				values, err := decode(d.text[starts[i]:end])
				if err != nil {
					failed.Store(true)
				}
				found[i] = values
			}
		})
	}
	done.Wait()
	if failed.Load() {
		return nil, false
	}
	values = found[0]
	for _, more := range found[1:] {
		if !merge(values, more) {
			return nil, false
		}
	}
	return values, true
}

// pieces are where the pieces of a file begin: each but the first with a [[header]]
// of the tables that are most.
func (d *doc) pieces() []int {
	starts := []int{0}
	if d.damaged || len(d.text) < 2*pieceSize {
		return starts
	}
	nodes := d.tree.nodes
	most := int32(0)
	for c := nodes[0].first; c != 0; c = nodes[c].next {
		if nodes[c].kind == kindTables && (most == 0 || nodes[c].count > nodes[most].count) {
			most = c
		}
	}
	if most == 0 || !isBareKey(nodes[most].key) {
		return starts
	}
	header := []byte("[[" + nodes[most].key + "]]")
	for _, e := range d.exprs {
		if e.header && e.from >= starts[len(starts)-1]+pieceSize && bytes.Equal(d.text[e.from:e.to], header) {
			starts = append(starts, e.from)
		}
	}
	return starts
}

// merge puts what was read later below what was read first. It is false where a
// part of a later piece belongs to a table that an earlier one has begun.
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
