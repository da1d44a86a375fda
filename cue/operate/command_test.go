package operate_test

import (
	"strings"
	"testing"

	"limn/cue/operate"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	s := shoot("bow", "Bow at dusk", "beam", "BEAM", `the "old" one`, `back\slash`, "3/4 # stern")
	for text, want := range map[string]operate.Command{
		"next":                 {Verb: operate.Next},
		"  NEXT\t":             {Verb: operate.Next},
		"back":                 {Verb: operate.Back},
		"hold":                 {Verb: operate.Hold},
		"resume":               {Verb: operate.Resume},
		"confirm":              {Verb: operate.Confirm},
		"dark":                 {Verb: operate.Dark},
		"dark off":             {Verb: operate.DarkOff},
		"Dark \t OFF ":         {Verb: operate.DarkOff},
		"go bow":               {Verb: operate.Go, Name: "bow"},
		"go\u00a0bow":          {Verb: operate.Go, Name: "bow"},
		"go bow at dusk":       {Verb: operate.Go, Name: "Bow at dusk"},
		`go "bow at dusk"`:     {Verb: operate.Go, Name: "Bow at dusk"},
		"go beam":              {Verb: operate.Go, Name: "beam"},
		"go BEAM":              {Verb: operate.Go, Name: "BEAM"},
		`go "the \"old\" one"`: {Verb: operate.Go, Name: `the "old" one`},
		`go the "old" one`:     {Verb: operate.Go, Name: `the "old" one`},
		`go "back\\slash"`:     {Verb: operate.Go, Name: `back\slash`},
		`go back\slash`:        {Verb: operate.Go, Name: `back\slash`},
		`go 3/4 # stern`:       {Verb: operate.Go, Name: "3/4 # stern"},
	} {
		got, err := operate.Parse(text, s)
		if err != nil || got != want {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
}

func TestParseFaults(t *testing.T) {
	s := shoot("bow", "bow at dusk", "beam", "BEAM")
	for text, want := range map[string][]string{
		"":               {"there is no command", "write one of next, back, go"},
		" \t":            {"there is no command"},
		"nxet":           {`no command "nxet"`, `did you mean "next"?`},
		"next bow":       {`after next comes "bow"`, "next alone"},
		"dark on":        {`after dark comes "on"`, "dark off"},
		"go":             {"go has no name", `"bow at dusk"`},
		`go ""`:          {"go has no name"},
		"go bwo":         {`no cue "bwo"`, `did you mean "bow"?`},
		"go Beam":        {`no cue "Beam"`, `mind the case: "beam" or "BEAM"`},
		`go "bow`:        {"does not end", "close it"},
		`go "bow" beam`:  {`after the name comes "beam"`, "; parts commands"},
		"go \x1b[31mbow": {`no cue "\x1b[31mbow"`},
		"go " + strings.Repeat("x", operate.MaxCommand): {"has 1027 bytes", "at most 1024"},
	} {
		c, err := operate.Parse(text, s)
		if err == nil {
			t.Errorf("%q is taken as %v", text, c)
			continue
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%q: %q; want %q in it", text, err, w)
			}
		}
	}
}

// What a command prints is read back as the same command, whatever the names.
func TestCommandsPrintBack(t *testing.T) {
	name := rapid.StringMatching(`[ -~äµ—]{1,20}`)
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfNDistinct(name, 1, 5, rapid.ID).Draw(t, "names")
		c := operate.Command{Verb: operate.Go, Name: rapid.SampledFrom(names).Draw(t, "name")}
		got, err := operate.Parse(c.String(), shoot(names...))
		if err != nil || got != c {
			t.Fatalf("%s is read as %v (%v)", c, got, err)
		}
	})
	for _, v := range []operate.Verb{operate.Next, operate.Back, operate.Hold, operate.Resume, operate.Dark, operate.DarkOff, operate.Confirm} {
		c := operate.Command{Verb: v}
		if got, err := operate.Parse(c.String(), shoot("bow")); err != nil || got != c {
			t.Errorf("%s is read as %v (%v)", c, got, err)
		}
	}
}

// Every command of the grammar that help lists can be given.
func TestGrammarIsTheGrammar(t *testing.T) {
	for _, u := range operate.Grammar() {
		if _, err := operate.Parse(strings.Replace(u.Command, "NAME", "bow", 1), shoot("bow")); err != nil {
			t.Errorf("%s: %v", u.Command, err)
		}
		if u.Help == "" {
			t.Errorf("%s has no help", u.Command)
		}
	}
}

func FuzzParse(f *testing.F) {
	s := shoot("bow", "Bow at dusk", `the "old" one`, "4°")
	for _, text := range []string{
		"next", "back", "go bow", `go "bow at dusk"`, `go "the \"old\" one"`, "go 4°", "hold", "resume",
		"dark", "dark off", "confirm", "", "go", `go "`, `go "\`, "dark  on", "nxt", "go \xff\xfe", "next;", "\u00a0go\u00a0bow",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := operate.Parse(text, s)
		if err != nil {
			if msg := err.Error(); msg == "" || strings.ContainsAny(msg, "\n\r\x1b") {
				t.Fatalf("%q: the message %q would spoil a terminal", text, msg)
			}
			return
		}
		if again, err := operate.Parse(c.String(), s); err != nil || again != c {
			t.Fatalf("%q is %v, which is read back as %v (%v)", text, c, again, err)
		}
	})
}
