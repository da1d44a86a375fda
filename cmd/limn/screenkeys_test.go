package main

import (
	"strings"
	"testing"
)

func TestParseKeys(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string // parts of the messages, in order; none = good
	}{
		{"nothing", "", nil},
		{"the documented one", `
[keys]
next    = ["pgdown", "space"]
back    = "pgup"
"go on" = "f5"
[say]
f2 = "look dusk on"
f3 = "trim {light} up 1 stop"
`, nil},
		{"no key for it", "[keys]\nquicker = []\n", nil},
		{"an action", "[keys]\nbrigther = \"b\"\n", []string{`2:1: no key does "brigther"; did you mean "brighter"?`}},
		{"a key", "[keys]\nnext = \"pgdwn\"\n", []string{`2:1: there is no key "pgdwn"; did you mean "pgdown"?`}},
		{"one key twice", "[keys]\nnext = \"z\"\nback = [\"y\", \"z\"]\n", []string{`3:14: the key "z" does "next" already; give it one thing to do`}},
		{"one key under two names", "[keys]\nnext = \"PgDown\"\nback = \"pgdown\"\n", []string{`3:8: the key "pgdown" does "next" already`}},
		{"an action and words", "[keys]\nnext = \"z\"\n[say]\nz = \"keep\"\n", []string{`4:1: the key "z" does "next" already`}},
		{"a number", "[keys]\nnext = 3\n", []string{`2:8: "next" is a whole number and no key; write "pgdown", or a list of keys`}},
		{"words that are none", "[say]\nf2 = 3\n", []string{"2:6:"}},
		{"reserved", "[say]\nesc = \"keep\"\n", []string{`2:1: "esc" cannot be given another meaning`}},
		{"a table", "[key]\nnext = \"z\"\n", []string{`keys`}},
		{"several", "[keys]\nnxt = \"z\"\nback = \"pgdwn\"\n", []string{"2:1:", "3:1:"}},
		{"no TOML", "[keys\n", []string{"1:"}},
	} {
		keys, problems := parseKeys(keysFile, []byte(c.text))
		if keys == nil {
			t.Fatalf("%s: no keys", c.name)
		}
		if len(problems) != len(c.want) {
			t.Errorf("%s: %d problems, want %d: %v", c.name, len(problems), len(c.want), problems)
			continue
		}
		for i, w := range c.want {
			if got := problems[i].String(); !strings.Contains(got, w) {
				t.Errorf("%s: %q, want %q", c.name, got, w)
			}
		}
	}
}

func FuzzParseKeys(f *testing.F) {
	for _, s := range []string{"", "[keys]\nnext = [\"pgdown\", \"space\"]\n", "[say]\nf2 = \"look dusk on\"\n", "[keys]\n\"go on\" = {}\n", "[keys]\nnext = [[\"x\"]]\n", "keys = 3\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		keys, problems := parseKeys(keysFile, []byte(text))
		if keys == nil {
			t.Fatal("no keys")
		}
		for _, p := range problems {
			if p.String() == "" || strings.ContainsRune(p.String(), '\x1b') {
				t.Errorf("%q", p)
			}
		}
	})
}
