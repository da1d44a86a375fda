package operate

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/fixtures/nearest"
	"limn/fixtures/quantity"
)

// What a command may hold.
const (
	// MaxCommand is the most bytes one command may have.
	MaxCommand = 1024
	// MaxPicture is the highest number a picture may have.
	MaxPicture = 99_999_999
)

// Parse reads one command in words. Verbs may be in any case; names may be
// quoted, and are found by their exact spelling, else by their spelling in any
// case if that is one's alone. The error says what is wrong, what would be
// right, and the nearest known name.
func Parse(text string, shoot *cue.Shoot) (Command, error) {
	c, bad := parse(text, namesOf(shoot))
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

// wrongOf is the error of a quantity or a colour, at a byte.
func wrongOf(at int, err error) *wrong {
	var q *quantity.Error
	var s *colour.SpecError
	switch {
	case errors.As(err, &q):
		return &wrong{at, q.What, q.Cure}
	case errors.As(err, &s):
		return &wrong{at, s.What, s.Cure}
	}
	return &wrong{at, err.Error(), "write it another way"}
}

// parser reads one command from left to right.
type parser struct {
	text  string
	at    int // of what is not yet read
	names *names
}

func (p *parser) rest() string { return p.text[p.at:] }

func (p *parser) wrong(what, cure string) *wrong { return &wrong{p.at, what, cure} }

// cutWord parts a text behind its first word.
func cutWord(text string) (word, rest string) {
	end := strings.IndexAny(text, blanks)
	if end < 0 {
		return text, ""
	}
	return text[:end], strings.TrimLeft(text[end:], blanks)
}

// word takes the next word.
func (p *parser) word() string {
	word, rest := cutWord(p.rest())
	p.at = len(p.text) - len(rest)
	return word
}

// is says whether this word comes next.
func (p *parser) is(word string) bool {
	next, _ := cutWord(p.rest())
	return strings.EqualFold(next, word)
}

// skip passes over a mark, if it comes next.
func (p *parser) skip(mark string) bool {
	if !strings.HasPrefix(p.rest(), mark) {
		return false
	}
	p.at = len(p.text) - len(strings.TrimLeft(p.rest()[len(mark):], blanks))
	return true
}

func (p *parser) comma() bool { return p.skip(",") }

// clause takes what comes before the next comma.
func (p *parser) clause() string {
	text := p.rest()
	if i := strings.IndexByte(text, ','); i >= 0 {
		text = text[:i]
	}
	p.at += len(text)
	return strings.TrimRight(text, blanks)
}

// quoted takes a quoted text.
func (p *parser) quoted() (string, *wrong) {
	text, n, ok := unquote(p.rest())
	if !ok {
		return "", p.wrong("the quoted name does not end", `close it with a quotation mark, as in go "bow"`)
	}
	p.at = len(p.text) - len(strings.TrimLeft(p.rest()[n:], blanks))
	return text, nil
}

// last takes all the rest as a name, quoted or not, to be looked up or made.
func (p *parser) last(after, example string) (string, *wrong) {
	name := p.rest()
	if strings.HasPrefix(name, `"`) {
		at := p.at
		text, bad := p.quoted()
		if bad != nil {
			return "", bad
		}
		if extra := p.rest(); extra != "" {
			return "", p.wrong(fmt.Sprintf("after the name comes %q", extra), "a ; parts commands")
		}
		name, p.at = text, at
	}
	if name == "" {
		return "", p.wrong(after+" has no name", example)
	}
	return name, nil
}

// lastKnown takes all the rest as one of the known names.
func (p *parser) lastKnown(after, kind string, names []string) (string, *wrong) {
	name, bad := p.last(after, fmt.Sprintf("write a %s's name after it: %s", kind, nearest.DidYouMean("", names)))
	if bad != nil {
		return "", bad
	}
	found, cure := find(name, names)
	if cure != "" {
		return "", p.wrong(fmt.Sprintf("there is no %s %q", kind, name), cure)
	}
	return found, nil
}

// lastNew takes all the rest as a name or text that is to be made.
func (p *parser) lastNew(after, example string) (string, *wrong) {
	at := p.at
	name, bad := p.last(after, example)
	if bad == nil && (!utf8.ValidString(name) || strings.ContainsFunc(name, unicode.IsControl) || strings.Trim(name, blanks) != name) {
		return "", &wrong{at, fmt.Sprintf("%q cannot be written", name), "use letters, numbers and single spaces"}
	}
	return name, bad
}

// known takes the longest of the known names that comes next, quoted or not.
// stops are words that end a name nobody bears.
func (p *parser) known(kind string, names []string, stops ...string) (string, *wrong) {
	at := p.at
	if strings.HasPrefix(p.rest(), `"`) {
		name, bad := p.quoted()
		if bad != nil {
			return "", bad
		}
		found, cure := find(name, names)
		if cure != "" {
			return "", &wrong{at, fmt.Sprintf("there is no %s %q", kind, name), cure}
		}
		return found, nil
	}
	if text := longest(p.rest(), names); text != "" {
		found, cure := find(text, names)
		if cure != "" {
			return "", &wrong{at, fmt.Sprintf("there is no %s %q", kind, text), cure}
		}
		p.at = len(p.text) - len(strings.TrimLeft(p.rest()[len(text):], blanks))
		return found, nil
	}
	name := untilStop(p.rest(), stops)
	if name == "" {
		return "", p.wrong("a "+kind+" is missing", fmt.Sprintf("write a %s's name: %s", kind, nearest.DidYouMean("", names)))
	}
	return "", &wrong{at, fmt.Sprintf("there is no %s %q", kind, name), nearest.DidYouMean(name, names)}
}

// longest is the longest beginning of a text that is a name in any case.
func longest(text string, names []string) string {
	best := 0
	for _, n := range names {
		end := len(n)
		if end <= best || end > len(text) || !strings.EqualFold(text[:end], n) {
			continue
		}
		if end == len(text) || strings.ContainsAny(text[end:end+1], " \t\r\n,:") || strings.HasPrefix(text[end:], "\u00a0") {
			best = end
		}
	}
	return text[:best]
}

// untilStop is the beginning of a text up to a comma, a number or one of the words.
func untilStop(text string, stops []string) string {
	text, _, _ = strings.Cut(text, ",")
	taken := 0
	for rest := text; rest != ""; {
		word, after := cutWord(rest)
		_, number := parseNumber(word)
		if taken > 0 && (number || containsFold(stops, word)) {
			break
		}
		taken = len(text) - len(rest) + len(word)
		rest = after
	}
	return text[:taken]
}

func containsFold(words []string, word string) bool {
	for _, w := range words {
		if strings.EqualFold(w, word) {
			return true
		}
	}
	return false
}

func parse(text string, names *names) (Command, *wrong) {
	text = strings.TrimRight(text, blanks)
	start := len(text) - len(strings.TrimLeft(text, blanks))
	switch {
	case start == len(text):
		return Command{}, &wrong{start, "there is no command", "write one of " + strings.Join(beginnings(), ", ")}
	case len(text)-start > MaxCommand:
		return Command{}, &wrong{start, fmt.Sprintf("the command has %d bytes", len(text)-start), fmt.Sprintf("a command has at most %d", MaxCommand)}
	}
	p := &parser{text: text, at: start, names: names}
	return p.command()
}

// command reads a whole command.
func (p *parser) command() (Command, *wrong) {
	start := p.at
	word := p.word()
	switch first := strings.ToLower(word); first {
	case "go":
		return p.parseGo()
	case "whole":
		return p.parseWhole()
	case "look":
		return p.parseLook()
	case "work":
		if !p.is("light") {
			return p.after("work", "write work light on, or work light off")
		}
		p.word()
		return p.parseOnOff(WorkLight)
	case "identify", "aim", "alone":
		return p.parseSource(Verb(first), "off", p.names.lightSources)
	case "with":
		return p.parseSource(With, everything, p.names.lightSources)
	case "without":
		return p.parseSource(Without, "", p.names.lightSources)
	case "trim":
		t, bad := p.parseTrim()
		return Command{Verb: TrimVerb, Trim: t}, bad
	case "azimuth":
		a, bad := p.degrees("azimuth")
		return Command{Verb: Azimuth, Azimuth: a}, bad
	case "match":
		return p.parseMatch()
	case "copy":
		return p.parseCopy()
	case "new":
		return p.parseNewAngle()
	case "attach":
		name, bad := p.lastNew("attach", `write the picture's file after it, as in attach pictures/bow.jpg`)
		return Command{Verb: Attach, Name: name}, bad
	case "note":
		name, bad := p.lastNew("note", `write the text after it, as in note varnish polished again`)
		return Command{Verb: Note, Name: name}, bad
	case "missed":
		name, bad := p.lastNew("missed", `write why after it, as in missed the mirror was down`)
		return Command{Verb: Missed, Name: name}, bad
	case "play":
		name, bad := p.lastKnown("play", "sequence", p.names.sequences)
		return Command{Verb: Play, Name: name}, bad
	case "picture":
		n, err := strconv.Atoi(p.rest())
		if err != nil || n < 0 || n > MaxPicture {
			return Command{}, p.wrong(fmt.Sprintf("%q is no number of a picture", p.rest()), "write the number the camera gives the next picture, as in picture 482")
		}
		return Command{Verb: Picture, Number: n}, nil
	case "hold":
		if p.is("exposure") {
			p.word()
			return p.parseOnOff(HoldExposure)
		}
	case "keep", "mirror":
		if p.is("as") {
			verb := Mirror
			if first == "keep" {
				verb = KeepAs
			}
			p.word()
			name, bad := p.newCue(first + " as")
			return Command{Verb: verb, Name: name}, bad
		}
	}
	p.at = start
	return p.parsePlain()
}

// parsePlain reads a command that is nothing but its words.
func (p *parser) parsePlain() (Command, *wrong) {
	start := p.at
	said := strings.ToLower(strings.Join(strings.FieldsFunc(p.rest(), isBlank), " "))
	for _, v := range plain {
		if said == string(v) {
			return Command{Verb: v}, nil
		}
	}
	word := p.word()
	if p.begins(word) {
		return p.after(strings.ToLower(word), p.completions(strings.ToLower(word)))
	}
	p.at = start
	return Command{}, p.wrong(fmt.Sprintf("there is no command %q", word), nearest.DidYouMean(word, beginnings()))
}

// after says that what comes behind a word is not understood.
func (p *parser) after(word, cure string) (Command, *wrong) {
	if p.rest() == "" {
		return Command{}, p.wrong(word+" says too little", cure)
	}
	return Command{}, p.wrong(fmt.Sprintf("after %s comes %q", word, p.rest()), cure)
}

// begins says whether a plain command of several words begins with this one.
func (p *parser) begins(word string) bool {
	for _, v := range plain {
		if first, _ := cutWord(string(v)); strings.EqualFold(first, word) {
			return true
		}
	}
	return false
}

// completions are the commands that begin with a word.
func (p *parser) completions(word string) string {
	var out []string
	for _, v := range plain {
		if first, _ := cutWord(string(v)); first == word {
			out = append(out, string(v))
		}
	}
	switch word {
	case "keep":
		out = append(out, "keep as NAME")
	case "mirror":
		out = append(out, "mirror as NAME")
	case "hold":
		out = append(out, "hold exposure on")
	}
	if len(out) == 1 && out[0] == word {
		return fmt.Sprintf("write %s alone; a ; parts commands", word)
	}
	return "write " + strings.Join(out, ", or ")
}
