package tomlfile_test

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"limn/profiles/tomlfile"
)

// lenient are the invalid cases that are taken, as BurntSushi/toml takes them:
// what the values are is its to say.
var lenient = []string{"invalid/datetime/offset-overflow-minute"}

// suiteCase is a case of the TOML project's own suite, see testdata/toml-test/README.
type suiteCase struct {
	Name string
	TOML []byte
	Want any
}

func suite(t testing.TB) []suiteCase {
	f, err := os.Open("testdata/toml-test/cases.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var cases []suiteCase
	for d := json.NewDecoder(f); ; {
		var c suiteCase
		if err := d.Decode(&c); errors.Is(err, io.EOF) {
			return cases
		} else if err != nil {
			t.Fatal(err)
		}
		cases = append(cases, c)
	}
}

func TestConformance(t *testing.T) {
	cases := suite(t)
	if len(cases) < 600 {
		t.Errorf("only %d cases", len(cases))
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			var ps tomlfile.Problems
			root := tomlfile.Parse("case.toml", c.TOML, &ps)
			if strings.HasPrefix(c.Name, "invalid/") {
				if ps.Failed() == slices.Contains(lenient, c.Name) {
					t.Errorf("faults %v\n%s", ps.Sorted(), c.TOML)
				}
				for _, p := range ps.Sorted() {
					checkPlace(t, p, c.TOML)
				}
				return
			}
			if all := ps.Sorted(); len(all) > 0 {
				t.Fatalf("faults in a valid file: %v\n%s", all, c.TOML)
			}
			if got := tagged(root); !sameTagged(got, c.Want) {
				t.Errorf("read %v\nwant %v\n%s", got, c.Want, c.TOML)
			}
		})
	}
}

// tagged brings a table into the suite's form through the cursors.
func tagged(t *tomlfile.Table) map[string]any {
	out := map[string]any{}
	for _, k := range t.Keys() {
		v, _ := t.Value(k)
		out[k] = taggedValue(v)
	}
	return out
}

func taggedValue(v tomlfile.Value) any {
	tag := func(kind, value string) any { return map[string]any{"type": kind, "value": value} }
	if t, ok := v.Table(); ok {
		return tagged(t)
	}
	if list, ok := v.List(); ok {
		out := []any{}
		for _, e := range list {
			out = append(out, taggedValue(e))
		}
		return out
	}
	switch x := tomlfile.Decoded(v).(type) {
	case string:
		return tag("string", x)
	case int64:
		return tag("integer", strconv.FormatInt(x, 10))
	case float64:
		return tag("float", strconv.FormatFloat(x, 'g', -1, 64))
	case bool:
		return tag("bool", strconv.FormatBool(x))
	case time.Time:
		return tag("time", x.Format(time.RFC3339Nano))
	}
	return nil
}

// sameTagged compares what was read with what the suite wants. Of dates only the
// kind is compared: nothing here reads one.
func sameTagged(got, want any) bool {
	w, isMap := want.(map[string]any)
	g, isMap2 := got.(map[string]any)
	if isMap && isMap2 {
		kind, isTag := w["type"].(string)
		if isTag && len(w) == 2 && reflect.TypeOf(w["value"]) == reflect.TypeOf("") {
			gv, _ := g["value"].(string)
			wv := w["value"].(string)
			switch {
			case strings.HasPrefix(kind, "date") || strings.HasPrefix(kind, "time"):
				return g["type"] == "time"
			case kind == "float" && g["type"] == "float":
				a, err1 := strconv.ParseFloat(gv, 64)
				b, err2 := strconv.ParseFloat(wv, 64)
				return err1 == nil && err2 == nil && (a == b || math.IsNaN(a) && math.IsNaN(b))
			}
			return g["type"] == kind && gv == wv
		}
		if len(w) != len(g) {
			return false
		}
		for k := range w {
			if _, ok := g[k]; !ok || !sameTagged(g[k], w[k]) {
				return false
			}
		}
		return true
	}
	wl, ok1 := want.([]any)
	gl, ok2 := got.([]any)
	if !ok1 || !ok2 || len(wl) != len(gl) {
		return false
	}
	for i := range wl {
		if !sameTagged(gl[i], wl[i]) {
			return false
		}
	}
	return true
}

// checkPlace holds a problem to what every problem promises: a place in the
// file, and a message that can go to a terminal.
func checkPlace(t *testing.T, p tomlfile.Problem, src []byte) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(string(src), "\ufeff"), "\n")
	if p.Line < 0 || p.Line > len(lines) {
		t.Errorf("%v: no such line", p)
	} else if p.Line > 0 && (p.Col < 1 || p.Col > len([]rune(lines[p.Line-1]))+1) {
		t.Errorf("%v: no such column", p)
	}
	for _, r := range p.String() {
		if r < ' ' || r == 0x7f || r == '\u202e' {
			t.Errorf("%q: control character in the message", p.String())
		}
	}
	if p.What == "" {
		t.Errorf("%v: says nothing", p)
	}
}
