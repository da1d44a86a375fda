package tomlfile_test

import (
	"bytes"
	"fmt"
	"maps"
	"testing"

	"pgregory.net/rapid"

	"limn/profiles/tomlfile"
)

// leaves are the values of a file by path, as the decoder reads them.
func leaves(t interface{ Fatal(...any) }, src []byte) map[string]string {
	var ps tomlfile.Problems
	root := tomlfile.Parse("f.toml", src, &ps)
	if ps.Failed() {
		t.Fatal(fmt.Sprintf("the file is broken: %v\n%q", ps.Sorted(), src))
	}
	out := map[string]string{}
	counted := map[string]int{}
	tomlfile.Walk(root, func(path string, v tomlfile.Value, _, _ string) {
		if _, list := v.List(); list {
			return
		}
		if _, table := v.Table(); table {
			return
		}
		n := counted[path]
		counted[path]++
		out[fmt.Sprint(path, " ", n)] = fmt.Sprint(tomlfile.Decoded(v))
	})
	return out
}

// edits makes every kind of edit at every place of a file, one at a time.
func edits(t interface{ Fatal(...any) }, src []byte, most int) {
	e, err := tomlfile.NewEditor("f.toml", src)
	if err != nil {
		return // a broken file is not edited
	}
	before := leaves(t, src)
	spots := tomlfile.Spots(e)
	if len(spots) > most {
		spots = spots[:most]
	}
	for _, s := range spots {
		if s.Value && len(s.Path) > 0 {
			replaceAt(t, e, src, s)
		}
		if s.Table {
			setAt(t, e, src, s, before)
		}
	}
}

// replaceAt gives one value another and then its own back.
func replaceAt(t interface{ Fatal(...any) }, e *tomlfile.Editor, src []byte, s tomlfile.Spot) {
	if err := e.Replace(s.Path, "new \"value\""); err != nil {
		t.Fatal(s.Path, err)
	}
	got := bytesOf(t, e)
	head, tail := src[:s.From], src[s.To:]
	if !bytes.HasPrefix(got, head) || !bytes.HasSuffix(got, tail) || len(got) < len(head)+len(tail) {
		t.Fatal(fmt.Sprintf("%v: other bytes have changed\n%q\n%q", s.Path, src, got))
	}
	leaves(t, got)
	again, err := tomlfile.NewEditor("f.toml", got)
	if err != nil {
		t.Fatal(err)
	}
	for _, back := range tomlfile.Spots(again) {
		if fmt.Sprintf("%#v", back.Path) == fmt.Sprintf("%#v", s.Path) {
			// The value that stands there now is exactly what lies between.
			if back.From != s.From || len(got)-back.To != len(src)-s.To {
				t.Fatal(fmt.Sprintf("%v: the value stands at %d..%d of %q", s.Path, back.From, back.To, got))
			}
			return
		}
	}
	t.Fatal(fmt.Sprintf("%v is gone from %q", s.Path, got))
}

// setAt puts a key into a table, reads it, and takes it out again.
func setAt(t interface{ Fatal(...any) }, e *tomlfile.Editor, src []byte, s tomlfile.Spot, before map[string]string) {
	const key = "a key of ours"
	if e.Has(append(s.Path, key)) {
		return
	}
	if err := e.Set(s.Path, tomlfile.Entry{Key: key, Value: "x"}); err != nil {
		t.Fatal(s.Path, err)
	}
	got := bytesOf(t, e)
	if s.Kids > 0 || s.Lines { // braces without anything in them are written anew
		if len(got) <= len(src) || !inserted(src, got) {
			t.Fatal(fmt.Sprintf("%v: other bytes have changed\n%q\n%q", s.Path, src, got))
		}
	}
	after := leaves(t, got)
	added := 0
	for k, v := range after {
		if _, known := before[k]; !known && v == "x" {
			added++
			delete(after, k)
		}
	}
	if added != 1 || !maps.Equal(after, before) {
		t.Fatal(fmt.Sprintf("%v: %d keys added\n%q\n%q\n%v\n%v", s.Path, added, src, got, before, after))
	}
	again, err := tomlfile.NewEditor("f.toml", got)
	if err != nil {
		t.Fatal(err)
	}
	if !again.Has(append(s.Path, key)) {
		t.Fatal(fmt.Sprintf("%v: the key is elsewhere\n%q", s.Path, got))
	}
	if s.Kids == 0 || !s.Lines || len(s.Path) == 0 {
		return // what was made around it stays when it is taken out
	}
	if err := again.Remove(append(s.Path, key)); err != nil {
		t.Fatal(err)
	}
	back := bytesOf(t, again)
	if !bytes.Equal(bytes.TrimRight(back, "\r\n"), bytes.TrimRight(src, "\r\n")) {
		t.Fatal(fmt.Sprintf("%v: taken out, it leaves\n%q\nof\n%q", s.Path, back, src))
	}
}

// inserted says whether long is short with something put in at one place.
func inserted(short, long []byte) bool {
	n := 0
	for n < len(short) && short[n] == long[n] {
		n++
	}
	for at := n; at >= 0; at-- { // what was put in may begin like what follows
		if bytes.Equal(short[at:], long[len(long)-(len(short)-at):]) {
			return true
		}
	}
	return false
}

func bytesOf(t interface{ Fatal(...any) }, e *tomlfile.Editor) []byte {
	got, err := e.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Every edit at every place of every file of the suite.
func TestEditCorpus(t *testing.T) {
	n := 0
	for _, c := range suite(t) {
		t.Run(c.Name, func(t *testing.T) { edits(t, c.TOML, 40) })
		n++
	}
	for _, end := range []string{"\n", "\r\n"} {
		src := bytes.ReplaceAll(cueFile(3), []byte("\n"), []byte(end))
		edits(t, src, 1000)
		edits(t, append([]byte("\xef\xbb\xbf"), src...), 1000)
		edits(t, bytes.TrimRight(src, "\r\n"), 1000)
	}
}

func FuzzEdit(f *testing.F) {
	f.Add([]byte("a = 1\n[b]\n\"c d\" = { e = [1, 2.5, \"x\"], f.g = true }\n[[h]]\ni = 2025-01-02\n[[h]]\n"))
	f.Add([]byte("\xef\xbb\xbfa = '''\r\nx'''\r\nb.c = \"\\u00e9\\e\"\r\n"))
	f.Add([]byte("[a.b]\n[a.c]\nd.e.f = 1\nd.\"g h\".i = {}\n[[j]]\n  [j.k]\n  l = [{m = 1}]\n"))
	f.Add(cueFile(2))
	for _, c := range suite(f) {
		f.Add(c.TOML)
	}
	f.Fuzz(func(t *testing.T, src []byte) { edits(t, src, 20) })
}

// Tables that are made, in files of every style.
func TestEditMakesTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := []byte(rapid.SampledFrom([]string{
			"", "# only a comment\n", "[look.dusk]\nsky = '1'\n", "[[cue]]\nname = \"a\"\n[[cue]]\nname = \"b\"\n",
			"[[cue]]\nname = 'a'\nlight.sky = '1'\n[[cue]]\nname = 'b'\n", "cue = [ { name = 'a' },\n  { name = 'b' } ]\n",
			"[[cue]]\nname = 'a'\n  [cue.card.\"x y\"]\n  out = true\n", "cue = []\n",
		}).Draw(t, "file"))
		if rapid.Bool().Draw(t, "crlf") {
			src = bytes.ReplaceAll(src, []byte("\n"), []byte("\r\n"))
		}
		before := leaves(t, src)
		e, err := tomlfile.NewEditor("f.toml", src)
		if err != nil {
			t.Fatal(err)
		}
		path := tomlfile.Path{}
		for range rapid.IntRange(1, 3).Draw(t, "depth") {
			path = append(path, rapid.SampledFrom([]string{"new", "a b", "light", "look", "dusk"}).Draw(t, "key"))
		}
		if n := e.Count(tomlfile.Path{"cue"}); n > 0 && rapid.Bool().Draw(t, "in a cue") {
			path = append(tomlfile.Path{"cue", rapid.IntRange(0, n-1).Draw(t, "cue")}, path...)
		}
		if err := e.Set(path, tomlfile.Entry{Key: "k", Value: 7}, tomlfile.Entry{Key: "l m", Value: []string{"x"}}); err != nil {
			return // a value stands in the way
		}
		got := bytesOf(t, e)
		again, err := tomlfile.NewEditor("f.toml", got)
		if err != nil {
			t.Fatalf("%v\n%q", err, got)
		}
		if !again.Has(append(path, "k")) || !again.Has(append(path, "l m")) {
			t.Fatalf("%v is not there\n%q", path, got)
		}
		after := leaves(t, got)
		for k, v := range before {
			if after[k] != v {
				t.Fatalf("%s was %s and is %s\n%q", k, v, after[k], got)
			}
		}
		if len(after) != len(before)+2 {
			t.Fatalf("%d values more\n%q", len(after)-len(before), got)
		}
	})
}
