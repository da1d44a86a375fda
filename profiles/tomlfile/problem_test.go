package tomlfile_test

import (
	"encoding/json"
	"strings"
	"sync"
	"testing"

	"limn/profiles/tomlfile"
)

func TestProblemString(t *testing.T) {
	at := tomlfile.Pos{File: "rig.toml", Line: 3, Col: 8}
	for _, c := range []struct {
		p    tomlfile.Problem
		want string
	}{
		{tomlfile.Problem{Pos: at, What: "x is bad", Cure: "write y"}, "rig.toml:3:8: x is bad; write y"},
		{tomlfile.Problem{Pos: at, What: "x is odd", Warning: true}, "rig.toml:3:8: warning: x is odd"},
		{tomlfile.Problem{Pos: tomlfile.Pos{File: "rig.toml"}, What: "no"}, "rig.toml: no"},
		{tomlfile.Problem{What: "no"}, "no"},
		{tomlfile.Problem{Pos: tomlfile.Pos{File: "a\x1b[31m"}, What: "b\x07\n\u202e\xff", Cure: "c\u0085"}, `a\x1b[31m: b\a\n\u202e\xff; c\u0085`},
	} {
		if got := c.p.String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestProblemJSON(t *testing.T) {
	got, err := json.Marshal([]tomlfile.Problem{
		{Pos: tomlfile.Pos{File: "rig.toml", Line: 3, Col: 8}, What: "x\x1b is bad", Cure: "write y"},
		{Warning: true, What: "odd"},
	})
	want := `[{"file":"rig.toml","line":3,"column":8,"severity":"error","what":"x\\x1b is bad","cure":"write y"},` +
		`{"file":"","line":0,"column":0,"severity":"warning","what":"odd","cure":""}]`
	if err != nil || string(got) != want {
		t.Errorf("%s, %v\nwant %s", got, err, want)
	}
}

func TestProblemsAreSortedAndOnce(t *testing.T) {
	var ps tomlfile.Problems
	if ps.Failed() || len(ps.Sorted()) != 0 {
		t.Error("problems out of nothing")
	}
	ps.Warn(tomlfile.Pos{File: "b", Line: 1, Col: 1}, "", "w")
	if ps.Failed() {
		t.Error("a warning is a failure")
	}
	for _, at := range []tomlfile.Pos{{"b", 2, 1}, {"a", 10, 1}, {"a", 9, 5}, {"a", 9, 4}, {"a", 0, 0}, {"b", 2, 1}} {
		ps.Error(at, "", "e")
	}
	ps.Error(tomlfile.Pos{File: "b", Line: 2, Col: 1}, "", "another")
	var got []string
	for _, p := range ps.Sorted() {
		got = append(got, p.String())
	}
	want := "a: e|a:9:4: e|a:9:5: e|a:10:1: e|b:1:1: warning: w|b:2:1: another|b:2:1: e"
	if strings.Join(got, "|") != want || !ps.Failed() {
		t.Errorf("%s\nwant %s", strings.Join(got, "|"), want)
	}
}

func TestProblemsAreBounded(t *testing.T) {
	var ps tomlfile.Problems
	var wg sync.WaitGroup
	for range 4 { // shared between goroutines
		wg.Go(func() {
			for i := range tomlfile.MaxProblems / 2 {
				ps.Error(tomlfile.Pos{File: "a", Line: i + 1, Col: 1}, "", "e")
			}
		})
	}
	wg.Wait()
	all := ps.Sorted()
	if last := all[len(all)-1]; last.String() != "and 10000 problems more; mend these first" {
		t.Errorf("the last problem is %q", last)
	}
}

func TestExcerpt(t *testing.T) {
	src := []byte("\xef\xbb\xbfa = 1\r\n\tfade = \"2.5 m\" # wörld\r\n光 = \x1b e\u0301x\n" + strings.Repeat("y", 300))
	at := func(line, col int) tomlfile.Problem {
		return tomlfile.Problem{Pos: tomlfile.Pos{File: "f", Line: line, Col: col}, What: "w"}
	}
	for _, c := range []struct {
		p    tomlfile.Problem
		want string
	}{
		{at(1, 5), "f:1:5: w\n  1 | a = 1\n    |     ^"},
		{at(2, 9), "f:2:9: w\n  2 |     fade = \"2.5 m\" # wörld\n    |            ^"},
		{at(3, 3), "f:3:3: w\n  3 | 光 = \\x1b e\u0301x\n    |    ^"},
		{at(3, 9), "f:3:9: w\n  3 | 光 = \\x1b e\u0301x\n    |            ^"},
		{at(1, 99), "f:1:99: w\n  1 | a = 1\n    |      ^"},
		{at(4, 1), "f:4:1: w\n  4 | " + strings.Repeat("y", 100) + "…\n    | ^"},
		{at(4, 200), "f:4:200: w\n  4 | …" + strings.Repeat("y", 33+66) + "…\n    | " + strings.Repeat(" ", 34) + "^"},
		{at(5, 1), "f:5:1: w"},
		{at(0, 0), "f: w"},
	} {
		if got := c.p.Excerpt(src); got != c.want {
			t.Errorf("%v:\n%s\nwant\n%s", c.p.Pos, got, c.want)
		}
	}
}

func TestQuote(t *testing.T) {
	for text, want := range map[string]string{
		"sky":                      `"sky"`,
		"":                         `""`,
		"a\"\x1b\u202e":            `"a\"\x1b\u202e"`,
		strings.Repeat("ö", 60):    `"` + strings.Repeat("ö", 60) + `"`,
		strings.Repeat("ö", 61):    `"` + strings.Repeat("ö", 59) + `…"`,
		strings.Repeat("x", 10000): `"` + strings.Repeat("x", 59) + `…"`,
	} {
		if got := tomlfile.Quote(text); got != want {
			t.Errorf("%.20q gives %s", text, got)
		}
	}
}
