package tomlfile_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/profiles/tomlfile"
)

func TestFileSize(t *testing.T) {
	// A full-sized file passes on to the next thing that can be wrong with it.
	src := append([]byte("\xff\xfe"), make([]byte, tomlfile.MaxFileSize-2)...)
	var full, ps tomlfile.Problems
	if tomlfile.Parse("f.toml", src, &full) != nil || tomlfile.Parse("f.toml", append(src, '\n'), &ps) != nil {
		t.Error("it is read")
	}
	said(t, &full, " the file is UTF-16 text; save it as UTF-8")
	said(t, &ps, " the file has 16777217 bytes, more than 16777216; split it into several")
}

func TestValueCount(t *testing.T) {
	var ps tomlfile.Problems
	if tomlfile.Parse("f.toml", []byte("a = ["+strings.Repeat("1,", tomlfile.MaxValues)+"]"), &ps) != nil {
		t.Error("too many values are read")
	}
	said(t, &ps, " the file has about 1048578 values, more than 1048576; split it into several")
}

func TestDepth(t *testing.T) {
	for depth, ok := range map[int]bool{tomlfile.MaxDepth - 1: true, tomlfile.MaxDepth: false, 9_999: false, 100_000: false} {
		for kind, src := range map[string]string{
			"lists":  "a = " + strings.Repeat("[", depth+1) + strings.Repeat("]", depth+1) + "\nb = 1\n",
			"braces": "a = " + strings.Repeat("{ a = ", depth) + "{ }" + strings.Repeat("}", depth) + "\nb = 1\n",
			"dots":   strings.Repeat("a.", depth) + "a = 1\nb = 1\n",
			"header": "b = 1\n[" + strings.Repeat("a.", depth) + "a]\n",
		} {
			var ps tomlfile.Problems
			root := tomlfile.Parse("f.toml", []byte(src), &ps)
			if ps.Failed() == ok || len(ps.Sorted()) > 1 {
				t.Errorf("%d %s: %v", depth, kind, ps.Sorted())
			}
			if b, got := root.Int("b"); !got || b != 1 {
				t.Errorf("%d %s: the rest is not read", depth, kind)
			}
		}
	}
}

func TestTooManyFaults(t *testing.T) {
	for _, line := range []string{"x y\n", "[a]\n", "a = 1\n"} {
		var ps tomlfile.Problems
		if tomlfile.Parse("f.toml", []byte(strings.Repeat(line, 1000)), &ps) != nil {
			t.Errorf("%q a thousand times is read", line)
		}
		all := ps.Sorted()
		if len(all) != tomlfile.MaxFaults+2 || !strings.Contains(all[0].What, "more than 50 faults") {
			t.Errorf("%q a thousand times: %d problems, the first %v", line, len(all), all[0])
		}
	}
}

// Values that only the decoder refuses are told of one after the other, up to a
// number of them.
func TestRefusedValues(t *testing.T) {
	var src strings.Builder
	for i := range 20 {
		fmt.Fprintf(&src, "[t%d]\nd = 2024-13-45\nok = %d\n", i, i)
	}
	var ps tomlfile.Problems
	if tomlfile.Parse("f.toml", []byte(src.String()), &ps) != nil {
		t.Error("the file is read")
	}
	if all := ps.Sorted(); len(all) != 11 || all[1].String() != `f.toml:2:5: "2024-13-45" is no date or time that exists; put it in quotation marks if it is a text` {
		t.Errorf("%d problems: %v", len(all), all)
	}
}

func TestStrayCharactersAreCounted(t *testing.T) {
	var ps tomlfile.Problems
	root := tomlfile.Parse("f.toml", []byte("a = \"\x01\xff\x02\"\n"+strings.Repeat("# \x03\x04\xe9\n", 10)+"b = 1\n"), &ps)
	if b, ok := root.Int("b"); !ok || b != 1 || !root.Damaged() {
		t.Error("the rest is not read")
	}
	all := ps.Sorted()
	if len(all) != 11 || all[10].String() != `f.toml:11:5: this is the last of 33 characters like those before; save the file as plain text in UTF-8` {
		t.Errorf("%d problems: %v", len(all), all)
	}
}

// What is good of a file is read whatever stands beside it, and each fault is
// told of once.
func TestFaultsBesideGoodLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bad := rapid.SampledFrom([]string{
			"x = sky", "x = 2.5 s", "x", "x =", "left stroke = 1", "x: 1", `x = "sky`, "x = [1 2]", "x = { y }",
			"x = 007", "x = 2024-13-45", "// x", "a = 2", `x = "\q"`, "x = [1, 2",
		}).Draw(t, "bad")
		after := rapid.SampledFrom([]string{"[t]", "[[t]]"}).Draw(t, "header")
		var ps tomlfile.Problems
		root := tomlfile.Parse("f.toml", []byte("a = 1\n"+bad+"\n"+after+"\nb = 2\n"), &ps)
		if n := len(ps.Sorted()); n != 1 || ps.Sorted()[0].Line != 2 {
			t.Fatalf("%d problems: %v", n, ps.Sorted())
		}
		if a, ok := root.Int("a"); !ok || a != 1 {
			t.Fatal("the line before is lost")
		}
		tables := []*tomlfile.Table{}
		if after == "[t]" {
			tables = append(tables, root.Table("t"))
		} else {
			tables = root.Tables("t")
		}
		if b, ok := tables[0].Int("b"); !ok || b != 2 {
			t.Fatal("the table after is lost")
		}
	})
}

// Replacing a value's range leaves every other byte alone and reads back as the
// new value: what an edit in place rests on.
func TestRanges(t *testing.T) {
	src := []byte("\xef\xbb\xbf# kept\r\na = 1 # one\r\n\"b c\".d = [ 1, # x\r\n  'two' , { e = 2.5 }, ]\r\n[[f]]\r\ng = \"\"\"x\r\ny\"\"\"\r\nh={i=true}\r\n")
	var ps tomlfile.Problems
	var at []tomlfile.Range
	walk := func(src []byte, visit func(i int, v tomlfile.Value)) {
		i := 0
		tomlfile.Walk(tomlfile.Parse("f.toml", src, &ps), func(_ string, v tomlfile.Value, _, _ string) {
			if !tomlfile.IsHeader(v) {
				visit(i, v)
				i++
			}
		})
	}
	walk(src, func(_ int, v tomlfile.Value) { at = append(at, v.Range()) })
	if len(at) != 9 || ps.Failed() {
		t.Fatalf("%d values, %v", len(at), ps.Sorted())
	}
	for i, r := range at {
		edited := append(append(bytes.Clone(src[:r.From]), `"put in"`...), src[r.To:]...)
		found := false
		walk(edited, func(j int, v tomlfile.Value) {
			if s, _ := v.Text(); i == j {
				found = s == "put in"
			} else if s == "put in" {
				t.Errorf("value %d is edited in place of %d", j, i)
			}
		})
		if !found || ps.Failed() {
			t.Errorf("value %d, %q, does not take an edit: %v\n%s", i, src[r.From:r.To], ps.Sorted(), edited)
		}
	}
}
