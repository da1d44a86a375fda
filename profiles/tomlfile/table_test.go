package tomlfile_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"limn/profiles/tomlfile"
)

func parse(t *testing.T, src string) (*tomlfile.Table, *tomlfile.Problems) {
	t.Helper()
	ps := new(tomlfile.Problems)
	root := tomlfile.Parse("f.toml", []byte(src), ps)
	return root, ps
}

// said compares the problems, without the name of the file.
func said(t *testing.T, ps *tomlfile.Problems, want ...string) {
	t.Helper()
	var got []string
	for _, p := range ps.Sorted() {
		got = append(got, strings.TrimPrefix(strings.TrimPrefix(p.String(), "f.toml"), ":"))
	}
	if !slices.Equal(got, want) {
		t.Errorf("said\n\t%s\nwant\n\t%s", strings.Join(got, "\n\t"), strings.Join(want, "\n\t"))
	}
}

func TestEveryUnknownKeyIsReported(t *testing.T) {
	root, ps := parse(t, `
[camera]
sensor = "36x24 mm"
focul = "50 mm"
ISO = 400
wibble = 1
[[source]]
name = "sky"
prfile = "panel"
place = { azimut = 1, elevation = 2 }
[[source]]
nmae = "torch"
[camra]
x = 1
`)
	camera := root.Table("camera")
	for _, k := range []string{"sensor", "focal", "iso"} {
		camera.Has(k)
	}
	for _, s := range root.Tables("source") {
		s.String("name")
		s.String("profile")
		place := s.Table("place")
		place.Float("azimuth")
		place.Float("elevation")
	}
	root.Close()
	root.Close()
	said(t, ps,
		`4:1: unknown key focul; did you mean "focal"?`,
		`5:1: ISO differs from iso in capitals only; write iso`,
		`6:1: unknown key wibble; known: "sensor", "focal", "iso"`,
		`9:1: unknown key prfile; did you mean "profile"?`,
		`10:11: unknown key azimut; did you mean "azimuth"?`,
		`12:1: unknown key nmae; did you mean "name"?`,
		`13:2: unknown key camra; did you mean "camera"?`,
	)
}

func TestGettersNameWhatTheyFound(t *testing.T) {
	root, ps := parse(t, `
a = 1
b = "1"
c = 1.0
d = true
e = [1]
f = 2025-01-02
g = { x = 1 }
h = nan
i = -inf
j = "x"
k = 1.5
"l m" = 9223372036854775807
[[n]]
`)
	type getter func(key string) bool
	str := func(k string) bool { _, ok := root.String(k); return ok }
	flt := func(k string) bool { _, ok := root.Float(k); return ok }
	whole := func(k string) bool { _, ok := root.Int(k); return ok }
	truth := func(k string) bool { _, ok := root.Bool(k); return ok }
	tab := func(k string) bool { return root.Table(k) != nil }
	tabs := func(k string) bool { return len(root.Tables(k)) > 0 }
	for _, c := range []struct {
		get  getter
		keys string // those it takes
	}{
		{str, "bj"}, {flt, "ack"}, {whole, "a"}, {truth, "d"}, {tab, "gn"}, {tabs, "gn"},
	} {
		for _, k := range "abcdefghijkn" {
			if got, want := c.get(string(k)), strings.ContainsRune(c.keys, k); got != want {
				t.Errorf("getter %v of %c gives %v", c.keys, k, got)
			}
		}
		c.get("absent")
	}
	if n, ok := root.Int("l m"); ok && strconv.Itoa(n) != "9223372036854775807" {
		t.Errorf("the largest whole number became %d", n)
	}
	all := map[string]bool{}
	for _, p := range ps.Sorted() {
		all[p.String()] = true
	}
	for _, want := range []string{
		`f.toml:2:5: a is the number 1, a text is wanted; write a = "1"`,
		`f.toml:3:5: b is the text "1", a number is wanted; write b = 1`,
		`f.toml:3:5: b is the text "1", a whole number is wanted; write b = 1`,
		`f.toml:4:5: c is the number 1.0, a whole number is wanted; write c = 1`,
		`f.toml:5:5: d is true, a text is wanted; write d = "true"`,
		`f.toml:5:5: d is true, a number is wanted; write d = 1.5`,
		`f.toml:6:5: e is a list, a text is wanted; write e = "..."`,
		`f.toml:6:6: an entry of e is the number 1, a table is wanted; write { } around its keys`,
		`f.toml:7:5: f is the date 2025-01-02, a number is wanted; write f = 1.5`,
		`f.toml:8:5: g is a table, a text is wanted; write g = "..."`,
		`f.toml:8:5: g is a single table, a list of them is wanted; write [[g]]`,
		`f.toml:9:5: h is the number nan, a number is wanted; write h = 1.5`,
		`f.toml:10:5: i is the number -inf, a number is wanted; write i = 1.5`,
		`f.toml:11:5: j is the text "x", a number is wanted; write j = 1.5`,
		`f.toml:11:5: j is the text "x", true or false is wanted; write j = true, without quotation marks`,
		`f.toml:11:5: j is the text "x", a table is wanted; write [j] and its keys below, or { } around them`,
		`f.toml:11:5: j is the text "x", a list of tables is wanted; write [[j]] and its keys below`,
		`f.toml:12:5: k is the number 1.5, a whole number is wanted; write k = 1`,
		`f.toml:14:1: n is written [[n]] as if there were several; write [n], once`,
	} {
		if !all[want] {
			t.Errorf("not said: %s", want)
		}
	}
	for p := range all {
		if strings.Contains(p, "absent") {
			t.Errorf("an absent key is reported: %s", p)
		}
		for _, goType := range []string{"int64", "float64", "map[", "interface", "[]any", "bool,"} {
			if strings.Contains(p, goType) {
				t.Errorf("a Go type in the message: %s", p)
			}
		}
	}
}

func TestRequire(t *testing.T) {
	t.Run("missing", func(t *testing.T) {
		root, ps := parse(t, "[[source]]\nrole = \"key\"\n[camera]\n")
		root.Require("subject", "[subject]")
		s := root.Tables("source")[0]
		if s.Require("name", `name = "sky"`) || !s.Require("role", `role = "key"`) {
			t.Error("what is there and what is not are confused")
		}
		root.Has("camera")
		root.Close()
		said(t, ps,
			" subject is missing; write [subject]",
			`1:1: name is missing in [[source]]; write name = "sky"`,
		)
	})
	t.Run("misspelt keys are told of once", func(t *testing.T) {
		root, ps := parse(t, "nmae = \"sky\"\nROLE = \"key\"\n")
		root.Require("name", `name = "sky"`)
		root.Require("role", `role = "key"`)
		root.Close()
		said(t, ps, `1:1: unknown key nmae; did you mean "name"?`, "2:1: ROLE differs from role in capitals only; write role")
	})
	t.Run("a similar key of its own right is no slip", func(t *testing.T) {
		root, ps := parse(t, "with = 1\n")
		root.Require("width", `width = "0.6 m"`)
		root.Float("with")
		root.Close()
		said(t, ps, ` width is missing; write width = "0.6 m"`)
	})
	t.Run("not in a damaged file", func(t *testing.T) {
		root, ps := parse(t, "name = sky\n")
		root.Require("name", `name = "sky"`)
		root.Close()
		if !root.Damaged() {
			t.Error("the file passes for whole")
		}
		said(t, ps, `1:8: "sky" needs quotation marks; write name = "sky"`)
	})
}

func TestPlaces(t *testing.T) {
	root, _ := parse(t, "\xef\xbb\xbftitle = \"ö\" # é\r\n[camera]\r\n\"fo cal\" . x = 5\r\n[[a]]\r\nb = { c = [ 1,\r\n\t2 ] }\r\n[x.y.z]\r\n")
	at := func(p tomlfile.Pos) string { return strings.TrimPrefix(p.String(), "f.toml:") }
	a := root.Tables("a")[0]
	c, _ := a.Table("b").Value("c")
	list, _ := c.List()
	for _, w := range []struct{ what, got, want string }{
		{"root", at(root.Pos()), "f.toml"},
		{"key", at(root.KeyPos("title")), "1:1"},
		{"value", at(root.ValuePos("title")), "1:9"},
		{"absent key", at(root.KeyPos("absent")), "f.toml"},
		{"header", at(root.Table("camera").Pos()), "2:1"},
		{"key of a header", at(root.KeyPos("camera")), "2:2"},
		{"absent key in a table", at(root.Table("camera").ValuePos("absent")), "2:1"},
		{"dotted table", at(root.Table("camera").Table("fo cal").Pos()), "3:1"},
		{"dotted key", at(root.Table("camera").Table("fo cal").KeyPos("x")), "3:12"},
		{"table of a list", at(a.Pos()), "4:1"},
		{"brace", at(a.Table("b").Pos()), "5:5"},
		{"list", at(c.Pos()), "5:11"},
		{"entry", at(list[0].Pos()), "5:13"},
		{"entry after a tab", at(list[1].Pos()), "6:2"},
		{"implied table", at(root.Table("x").Pos()), "7:2"},
		{"implied table within", at(root.Table("x").Table("y").Pos()), "7:4"},
		{"header of several parts", at(root.Table("x").Table("y").Table("z").Pos()), "7:1"},
	} {
		if w.got != w.want {
			t.Errorf("%s at %s, want %s", w.what, w.got, w.want)
		}
	}
}

func TestKeysKeepTheOrderOfTheFile(t *testing.T) {
	var src strings.Builder
	var want []string
	for i := range 40 { // more than a table looks through one by one
		name := fmt.Sprintf("source %d", 97*i%40)
		want = append(want, name)
		fmt.Fprintf(&src, "%q = %d\n", name, i)
	}
	root, ps := parse(t, src.String())
	if got := root.Keys(); !slices.Equal(got, want) {
		t.Errorf("keys %q", got)
	}
	for i, k := range want {
		if n, ok := root.Int(k); !ok || n != i {
			t.Errorf("%s is %d, %v", k, n, ok)
		}
	}
	root.Close()
	said(t, ps)
}

func TestSameTableSameCursor(t *testing.T) {
	root, ps := parse(t, "[camera]\na = 1\nb = 2\n")
	root.Table("camera").Int("a")
	root.Table("camera").Int("b")
	root.Close()
	said(t, ps)
}

func TestCloseOfOneTableLeavesTheOthers(t *testing.T) {
	root, ps := parse(t, "x = 1\n[camera]\na = 1\n")
	root.Table("camera").Close()
	said(t, ps, "3:1: unknown key a; there are none yet")
}

func TestNilTableIsEmpty(t *testing.T) {
	var n *tomlfile.Table
	n.String("a")
	n.Float("a")
	n.Int("a")
	n.Bool("a")
	n.OneOf("a", "b")
	n.Require("a", "a = 1")
	n.Tables("a")
	tomlfile.Read(n, "a", strconv.Atoi)
	if n.Table("a").Table("b") != nil || n.Has("a") || n.Keys() != nil || n.Pos() != (tomlfile.Pos{}) || !n.Damaged() || n.Problems() != nil {
		t.Error("a nil table has something in it")
	}
	n.Close()
	var v tomlfile.Value
	if v.Kind() != "nothing" || v.Pos() != (tomlfile.Pos{}) || v.Range() != (tomlfile.Range{}) {
		t.Error("no value is something")
	}
	tomlfile.ReadValue(v, strconv.Atoi)
}

func TestRead(t *testing.T) {
	root, ps := parse(t, `
a = "2.5 m"
b = 35
c = 35.0
d = 1_850
e = 0x10
f = 1e3
g = true
h = ["x"]
i = "semi; \"colon; inside\""
j = "ok"
`)
	fail := errors.New(`"2.5 m" is a length; a time is wanted; write "2.5 s"`)
	var texts []string
	for _, k := range []string{"b", "c", "d", "e", "f", "j", "absent"} {
		if s, ok := tomlfile.Read(root, k, text); ok {
			texts = append(texts, s)
		}
	}
	if want := []string{"35", "35.0", "1850", "16", "1000", "ok"}; !slices.Equal(texts, want) {
		t.Errorf("texts %q, want %q", texts, want)
	}
	for _, k := range []string{"a", "g", "h"} {
		if _, ok := tomlfile.Read(root, k, func(string) (int, error) { return 0, fail }); ok {
			t.Errorf("%s is read", k)
		}
	}
	tomlfile.Read(root, "i", func(s string) (int, error) { return 0, fmt.Errorf("%q is bad; mend it", s) })
	h, _ := root.Value("h")
	list, _ := h.List()
	tomlfile.ReadValue(list[0], func(string) (int, error) { return 0, errors.New("no cure here") })
	said(t, ps,
		`2:5: a: "2.5 m" is a length; a time is wanted; write "2.5 s"`,
		`8:5: g is true, a text is wanted; write g = "..."`,
		`9:5: h is a list, a text is wanted; write h = "..."`,
		`9:6: h: no cure here`,
		`10:5: i: "semi; \"colon; inside\"" is bad; mend it`,
	)
	for _, p := range ps.Sorted() {
		if p.Line == 2 && p.Cure != `a time is wanted; write "2.5 s"` || p.Line == 10 && p.Cure != "mend it" {
			t.Errorf("cure %q", p.Cure)
		}
	}
}

func TestOneOf(t *testing.T) {
	root, ps := parse(t, "a = \"kye\"\nb = \"fill\"\nc = 1\nd = \"zzz\"\n")
	for _, k := range []string{"a", "b", "c", "d", "absent"} {
		if s, ok := root.OneOf(k, "key", "fill", "edge"); ok != (k == "b") || ok && s != "fill" {
			t.Errorf("%s gives %q, %v", k, s, ok)
		}
	}
	said(t, ps,
		`1:5: a cannot be "kye"; did you mean "key"?`,
		`3:5: c is the number 1, a text is wanted; write c = "1"`,
		`4:5: d cannot be "zzz"; known: "key", "fill", "edge"`,
	)
}

func TestValueKinds(t *testing.T) {
	root, _ := parse(t, "a = 'x'\nb = 1\nc = 1.5\nd = false\ne = 12:30:00\nf = []\ng = {}\n[[h]]\n[i]\n")
	want := map[string]string{
		"a": "a text", "b": "a whole number", "c": "a number", "d": "true or false",
		"e": "a date", "f": "a list", "g": "a table", "h": "a list", "i": "a table",
	}
	for _, k := range root.Keys() {
		v, _ := root.Value(k)
		if v.Kind() != want[k] {
			t.Errorf("%s is %s, want %s", k, v.Kind(), want[k])
		}
	}
}
