package operate

import (
	"fmt"
	"strings"

	"limn/fixtures/nearest"

	"limn/cue"
)

// Verb is what a command does.
type Verb string

// The verbs, as they are written.
const (
	Next    Verb = "next"
	Back    Verb = "back"
	Go      Verb = "go"
	Hold    Verb = "hold"
	Resume  Verb = "resume"
	Dark    Verb = "dark"
	DarkOff Verb = "dark off"
	Confirm Verb = "confirm"
)

// Command is one command of the grammar, parsed.
type Command struct {
	Verb Verb
	Name string // Go: the cue's name
}

// String is the command as it is written; Parse reads it back.
func (c Command) String() string {
	if c.Verb == Go {
		return string(Go) + " " + quote(c.Name)
	}
	return string(c.Verb)
}

// Usage is one command of the grammar, for a page of help.
type Usage struct{ Command, Help string }

// Grammar lists the commands in the order a shoot meets them.
func Grammar() []Usage {
	return []Usage{
		{"next", "the next cue"},
		{"back", "the cue before"},
		{"go NAME", `a cue by its name: go bow at dusk, or go "bow at dusk"`},
		{"confirm", "hands have done what was prompted"},
		{"hold", "freeze the light where it is"},
		{"resume", "let it go on"},
		{"dark", "fade everything to black; the cue is remembered"},
		{"dark off", "bring the cue back"},
	}
}

// words are what a command may begin with.
func words() []string {
	return []string{string(Next), string(Back), string(Go), string(Hold), string(Resume), string(Dark), string(Confirm)}
}

// MaxCommand is the most bytes one command may have.
const MaxCommand = 1024

// Parse reads one command in words. Verbs may be in any case; a cue's name may
// be quoted, and is found by its exact spelling, else by its spelling in any
// case if that is one cue's alone. The error says what is wrong, what would be
// right, and the nearest known name.
func Parse(text string, shoot *cue.Shoot) (Command, error) {
	c, bad := parse(text, shoot)
	if bad != nil {
		return Command{}, bad
	}
	return c, nil
}

// wrong is what is wrong with a text, at a byte of it.
type wrong struct {
	at         int
	what, cure string
}

// Error is the fault in one line.
func (w *wrong) Error() string { return w.what + "; " + w.cure }

func parse(text string, shoot *cue.Shoot) (Command, *wrong) {
	text = strings.TrimRight(text, blanks)
	start := len(text) - len(strings.TrimLeft(text, blanks))
	switch {
	case start == len(text):
		return Command{}, &wrong{start, "there is no command", "write one of " + strings.Join(words(), ", ")}
	case len(text)-start > MaxCommand:
		return Command{}, &wrong{start, fmt.Sprintf("the command has %d bytes", len(text)-start), fmt.Sprintf("a command has at most %d", MaxCommand)}
	}
	end := len(text)
	if i := strings.IndexAny(text[start:], blanks); i >= 0 {
		end = start + i
	}
	word := text[start:end]
	rest := strings.TrimLeft(text[end:], blanks)
	at := len(text) - len(rest)

	switch verb := Verb(strings.ToLower(word)); verb {
	case Go:
		return parseGo(rest, at, shoot)
	case Dark:
		switch {
		case rest == "":
			return Command{Verb: Dark}, nil
		case strings.EqualFold(rest, "off"):
			return Command{Verb: DarkOff}, nil
		}
		return Command{}, &wrong{at, fmt.Sprintf("after dark comes %q", rest), "write dark, or dark off"}
	case Next, Back, Hold, Resume, Confirm:
		if rest != "" {
			return Command{}, &wrong{at, fmt.Sprintf("after %s comes %q", verb, rest), fmt.Sprintf("write %s alone; a ; parts commands", verb)}
		}
		return Command{Verb: verb}, nil
	}
	return Command{}, &wrong{start, fmt.Sprintf("there is no command %q", word), nearest.DidYouMean(word, words())}
}

// parseGo reads what comes after go, at a byte of the whole command.
func parseGo(rest string, at int, shoot *cue.Shoot) (Command, *wrong) {
	name := rest
	if strings.HasPrefix(rest, `"`) {
		text, n, ok := unquote(rest)
		if !ok {
			return Command{}, &wrong{at, "the quoted name does not end", `close it with a quotation mark, as in go "bow"`}
		}
		if extra := strings.TrimLeft(rest[n:], blanks); extra != "" {
			return Command{}, &wrong{at + len(rest) - len(extra), fmt.Sprintf("after the name comes %q", extra), "a ; parts commands"}
		}
		name = text
	}
	if name == "" {
		return Command{}, &wrong{at, "go has no name", "write a cue's name after it: " + nearest.DidYouMean("", shoot.CueNames())}
	}
	found, cure := find(name, shoot.CueNames())
	if cure != "" {
		return Command{}, &wrong{at, fmt.Sprintf("there is no cue %q", name), cure}
	}
	return Command{Verb: Go, Name: found}, nil
}
