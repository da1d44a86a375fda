package tomlfile_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	gotoml "github.com/pelletier/go-toml/v2"

	"limn/profiles/tomlfile"
)

// FuzzParse holds any input to: no panic; every problem has a place in the file;
// a file that both independent decoders take has none; a file without any is
// read as the decoder reads it; and every value and key stands where it is said
// to stand.
func FuzzParse(f *testing.F) {
	f.Add([]byte("a = 1\n[b]\n\"c d\" = { e = [1, 2.5, \"x\"], f.g = true }\n[[h]]\ni = 2025-01-02\n[[h]]\n"))
	f.Add([]byte("\xef\xbb\xbfa = '''\r\nx'''\r\nb.c = \"\\u00e9\\e\"\r\n"))
	f.Add(cueFile(2))
	for _, c := range faults {
		f.Add([]byte(c.src))
	}
	for _, c := range suite(f) {
		f.Add(c.TOML)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var ps tomlfile.Problems
		root := tomlfile.Parse("f.toml", src, &ps)
		for _, p := range ps.Sorted() {
			checkPlace(t, p, src)
		}
		var byDecoder, byOther map[string]any
		errDecoder := decode(src, &byDecoder)
		errOther := gotoml.Unmarshal([]byte(strings.TrimPrefix(string(src), "\ufeff")), &byOther)
		tomlfile.Walk(root, func(path string, v tomlfile.Value, key, raw string) { checkStanding(t, path, v, key, raw) })
		if ps.Failed() {
			if errDecoder == nil && errOther == nil && !deep(byDecoder, 0) {
				t.Errorf("a good file has problems: %v", ps.Sorted())
			}
			return
		}
		if errDecoder != nil {
			t.Fatalf("the decoder refuses what has no problem: %v", errDecoder)
		}
		if got := values(root); !same(got, byDecoder) {
			t.Errorf("read %v\nthe decoder says %v", got, byDecoder)
		}
		again := tomlfile.Parse("f.toml", src, &ps)
		again.Close()
		if len(byDecoder) > 0 && !ps.Failed() {
			t.Errorf("no key is unknown, though none was asked for")
		}
	})
}

// decode is the decoder alone; it panics on some files.
func decode(src []byte, m *map[string]any) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = toml.ParseError{Message: "panic"}
		}
	}()
	return toml.Unmarshal(src, m)
}

// checkStanding decodes the text at the place of a value, and that of its key,
// by itself.
func checkStanding(t *testing.T, path string, v tomlfile.Value, key, raw string) {
	if pos := v.Pos(); pos.Line < 1 || pos.Col < 1 {
		t.Errorf("%s has no place", path)
	}
	var alone map[string]any
	if !tomlfile.IsHeader(v) {
		if err := decode([]byte("x = "+raw), &alone); err != nil {
			t.Errorf("%s: %q alone is no value: %v", path, raw, err)
		} else if !same(alone["x"], tomlfile.Decoded(v)) {
			t.Errorf("%s: %q alone is %v, in the file %v", path, raw, alone["x"], tomlfile.Decoded(v))
		}
	} else if !strings.HasPrefix(raw, "[") || !strings.HasSuffix(raw, "]") {
		if _, ok := v.Table(); !ok || key == "" {
			t.Errorf("%s: %q is no header", path, raw)
		}
	}
	if key == "" && strings.HasSuffix(path, "[]") {
		return
	}
	clear(alone)
	if err := decode([]byte(key+" = 1"), &alone); err != nil || len(alone) != 1 {
		t.Errorf("%s: %q alone is no key: %v", path, key, err)
	}
	for k := range alone {
		if !strings.HasSuffix(path, "/"+k) {
			t.Errorf("%s: its key is written %q", path, key)
		}
	}
}

// values reads everything through the cursors.
func values(t *tomlfile.Table) map[string]any {
	out := map[string]any{}
	for _, k := range t.Keys() {
		v, _ := t.Value(k)
		out[k] = value(v)
	}
	return out
}

func value(v tomlfile.Value) any {
	if t, ok := v.Table(); ok {
		return values(t)
	}
	if list, ok := v.List(); ok {
		out := []any{}
		for _, e := range list {
			out = append(out, value(e))
		}
		return out
	}
	return tomlfile.Decoded(v)
}

// same is deep equality in which nan equals nan, and a list of tables a list.
func same(a, b any) bool {
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		if !ok || len(x) != len(y) {
			return false
		}
		for k := range x {
			if v, ok := y[k]; !ok || !same(x[k], v) {
				return false
			}
		}
		return true
	case []map[string]any:
		return same(list(x), b)
	case []any:
		if y, ok := b.([]map[string]any); ok {
			b = list(y)
		}
		y, ok := b.([]any)
		if !ok || len(x) != len(y) {
			return false
		}
		for i := range x {
			if !same(x[i], y[i]) {
				return false
			}
		}
		return true
	case float64:
		y, ok := b.(float64)
		return ok && (x == y || math.IsNaN(x) && math.IsNaN(y))
	}
	return reflect.DeepEqual(a, b)
}

func list(tables []map[string]any) []any {
	out := make([]any, len(tables))
	for i, t := range tables {
		out[i] = t
	}
	return out
}

// deep says whether values stand deeper in each other than may be.
func deep(v any, depth int) bool {
	if depth > tomlfile.MaxDepth {
		return true
	}
	switch x := v.(type) {
	case map[string]any:
		for _, e := range x {
			if deep(e, depth+1) {
				return true
			}
		}
	case []map[string]any:
		return deep(list(x), depth)
	case []any:
		for _, e := range x {
			if deep(e, depth+1) {
				return true
			}
		}
	}
	return false
}
