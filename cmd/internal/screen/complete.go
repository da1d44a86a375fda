package screen

import (
	"slices"
	"strings"

	"limn/cue"
	"limn/cue/operate"
)

// MaxCandidates is the most completions that are offered.
const MaxCandidates = 40

// deskWords are understood by whoever takes the lines, besides the grammar.
var deskWords = []string{"status", "checklist", "quit"}

// Complete lists what a line may go on to be, whole lines in the order of the
// grammar: its words, and the names of the shoot. After a ; begins another command.
func Complete(text string, shoot *cue.Shoot) []string {
	head, last := "", text
	if i := strings.LastIndexByte(text, ';'); i >= 0 {
		head, last = text[:i+1]+" ", text[i+1:]
	}
	c := &completer{options: optionsOf(shoot)}
	last = strings.TrimLeft(last, " ")
	for _, chapter := range operate.Grammar() {
		for _, u := range chapter.Commands {
			c.walk(patternOf(u.Command), "", last)
		}
	}
	for _, w := range deskWords {
		c.walk([]string{w}, "", last)
	}
	for i := range c.found {
		c.found[i] = head + c.found[i]
	}
	return c.found
}

// optionsOf lists what may stand for each word in capitals that has known names.
func optionsOf(s *cue.Shoot) map[string][]string {
	o := map[string][]string{
		"STOPS": {"1/3 stop", "2/3 stop", "1 stop"},
		"CUE":   s.CueNames(),
	}
	for i := range s.Angles {
		o["ANGLE"] = append(o["ANGLE"], s.Angles[i].Name)
	}
	for i := range s.Looks {
		o["LOOK"] = append(o["LOOK"], s.Looks[i].Name)
	}
	for i := range s.Sequences {
		o["SEQUENCE"] = append(o["SEQUENCE"], s.Sequences[i].Name)
	}
	var roles []string
	for _, i := range lights(s) {
		src := &s.Rig.Sources[i]
		o["SOURCE"] = append(o["SOURCE"], src.Name)
		roles = append(roles, string(src.Role))
	}
	o["LIGHT"] = slices.Clone(o["SOURCE"])
	for i := range s.Groups {
		o["LIGHT"] = append(o["LIGHT"], s.Groups[i].Name)
	}
	for _, r := range append(roles, "everything") {
		if r != "" && !slices.Contains(o["LIGHT"], r) {
			o["LIGHT"] = append(o["LIGHT"], r)
		}
	}
	return o
}

// patternOf is a command of the grammar word by word; "CUE, CUE" is one list.
func patternOf(command string) []string {
	words := strings.Fields(command)
	for i := 0; i+1 < len(words); i++ {
		if strings.HasSuffix(words[i], ",") {
			words = slices.Delete(words, i, i+1)
			words[i] += ","
		}
	}
	return words
}

type completer struct {
	options map[string][]string
	found   []string
}

func (c *completer) add(text string) {
	if len(c.found) < MaxCandidates && !slices.Contains(c.found, text) {
		c.found = append(c.found, text)
	}
}

// walk follows a pattern along what is typed; done is what was understood already.
func (c *completer) walk(pattern []string, done, rest string) {
	if len(pattern) == 0 {
		return
	}
	word, list := strings.CutSuffix(pattern[0], ",")
	options, known := c.options[word]
	if !known {
		if isBlank(word) { // anything: one word is taken for it
			if first, after, ok := strings.Cut(rest, " "); ok && first != "" && (word != "N" || first[0] >= '0' && first[0] <= '9') {
				c.walk(pattern[1:], done+first+" ", strings.TrimLeft(after, " "))
			}
			return
		}
		options = []string{word}
	}
	for _, o := range options {
		if n, ok := taken(rest, o); ok {
			after := rest[n:]
			if next, more := strings.CutPrefix(after, ","); more && list {
				c.walk(pattern, done+rest[:n]+", ", strings.TrimLeft(next, " "))
			} else if strings.HasPrefix(after, " ") {
				c.walk(pattern[1:], done+rest[:n]+" ", strings.TrimLeft(after, " "))
			}
		}
		if len(rest) < len(o) && strings.EqualFold(o[:len(rest)], rest) {
			text := done + o
			if len(pattern) > 1 {
				text += " "
			}
			c.add(text)
		}
	}
}

// taken says how much of a text an option is, in quotation marks or not.
func taken(text, option string) (n int, ok bool) {
	if quoted := `"` + option + `"`; strings.HasPrefix(text, quoted) {
		return len(quoted), true
	}
	if len(text) < len(option) || !strings.EqualFold(text[:len(option)], option) {
		return 0, false
	}
	n = len(option)
	return n, n == len(text) || text[n] == ' ' || text[n] == ','
}

// isBlank says whether a word of the grammar stands for something of the user's.
func isBlank(word string) bool {
	return len(word) > 0 && word == strings.ToUpper(word) && word != strings.ToLower(word)
}

// lights are the sources that give light, by index; a motor does not.
func lights(s *cue.Shoot) []int {
	var out []int
	for i := range s.Rig.Sources {
		if src := &s.Rig.Sources[i]; src.Hand || src.Profile == nil || src.Profile.HasLight() {
			out = append(out, i)
		}
	}
	return out
}
