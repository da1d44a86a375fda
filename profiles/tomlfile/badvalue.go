package tomlfile

import (
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

func lineText(line int) string { return strconv.Itoa(line) }

// valueFrom is where the value begins that at lies in or after: after the last =
// before it, or after the last comma or bracket in a list.
func (d *doc) valueFrom(from, at int) int {
	b := d.text
	start := from
	for i := from; i < at; i++ {
		switch b[i] {
		case '"', '\'':
			if end := closing(b[:at], i, 1); end > 0 {
				i = end - 1
			}
		case '=', ',', '[', '{':
			start = i + 1
		case '#':
			i = min(lineEnd(b, i), at)
		}
	}
	return skipBlanks(b, start)
}

var (
	decimalComma = regexp.MustCompile(`^[+-]?\d+,\d+$`)
	plainNumber  = regexp.MustCompile(`^[+-]?\d+(\.\d+)?$`)
)

// keyBefore is the key that the value at start belongs to, with its =, or "".
func (d *doc) keyBefore(from, start int) string {
	b := d.text
	end := start
	for end > from && isBlank(b[end-1]) {
		end--
	}
	if end == from || b[end-1] != '=' {
		return ""
	}
	key := strings.TrimSpace(string(b[lineStart(b, end-1) : end-1]))
	if i := strings.LastIndexAny(key, "{,"); i >= 0 {
		key = strings.TrimSpace(key[i+1:])
	}
	return shorten(key) + " = "
}

// afterValue is a complete value with something behind it on its line.
func (d *doc) afterValue(from, at int) syntaxFault {
	start := d.valueFrom(from, at)
	if d.text[at] == ',' { // the comma belongs to the value, or ends it
		start = d.valueFrom(from, at-1)
	}
	whole := d.plainLine(start)
	key := d.keyBefore(from, start)
	first := byte(0)
	if start < len(d.text) {
		first = d.text[start]
	}
	switch {
	case d.text[at] == '\r':
		return syntaxFault{at, "a carriage return stands alone", "end lines with a newline"}
	case decimalComma.MatchString(whole):
		return syntaxFault{at, "the number " + Quote(whole) + " has a comma", "write " + key + strings.Replace(whole, ",", ".", 1)}
	case d.text[at] == ',' && d.wordAt(at) == ",":
		return syntaxFault{at, "a comma stands after the value", "take it out"}
	case first == '"' || first == '\'':
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the closing quotation mark", `write one key on a line, and \" for a mark inside the text`}
	case first == '[' || first == '{':
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the closing bracket", "write one key on a line"}
	case strings.ContainsAny(whole, `="'`):
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the value", "write one key on a line"}
	}
	return syntaxFault{start, Quote(whole) + " is more than a number, so it needs quotation marks", "write " + key + Quote(whole)}
}

// badValue is something that is no value where one should be, or a number that
// breaks the rules.
func (d *doc) badValue(from, at int) syntaxFault {
	start := d.valueFrom(from, at)
	word := d.wordAt(start)
	key := d.keyBefore(from, start)
	r, _ := utf8.DecodeRuneInString(word)
	switch {
	case word == "" || start >= len(d.text):
		return syntaxFault{start, owner(key) + " has no value", "write it, as in " + orName(key) + `"text"`}
	case strings.HasPrefix(word, "#"):
		return syntaxFault{start, owner(key) + " has no value, as # begins a comment", "write " + orName(key) + Quote(word) + " if that is the value"}
	case isCurly(r):
		return curlyQuotes(start)
	}
	if s, ok := boolean(word); ok {
		return syntaxFault{start, Quote(word) + " is no value TOML knows", "write " + key + s + ", or " + key + Quote(word) + " if it is a text"}
	}
	if s, ok := number(word); ok {
		return syntaxFault{start, Quote(word) + " is not how a number is written", "write " + key + s}
	}
	return syntaxFault{start, Quote(word) + " needs quotation marks", "write " + key + Quote(word)}
}

// owner names what a value is missing from. key is as keyBefore gives it.
func owner(key string) string {
	if key == "" {
		return "the list"
	}
	return strings.TrimSuffix(key, " = ")
}

func orName(key string) string {
	if key == "" {
		return "name = "
	}
	return key
}

// boolean gives true or false for the ways other formats write them.
func boolean(word string) (string, bool) {
	switch strings.ToLower(word) {
	case "true", "yes", "on":
		return "true", true
	case "false", "no", "off":
		return "false", true
	}
	return "", false
}

// number mends a number that TOML would not take.
func number(word string) (string, bool) {
	s := strings.ReplaceAll(word, "_", "")
	s = strings.Replace(s, ",", ".", 1)
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	s = strings.TrimPrefix(s, "+")
	if strings.HasPrefix(s, ".") {
		s = "0" + s
	}
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	for len(s) > 1 && s[0] == '0' && s[1] >= '0' && s[1] <= '9' {
		s = s[1:]
	}
	if !plainNumber.MatchString(s) || sign+s == word {
		return "", false
	}
	return sign + s, true
}

// plainLine is the line from at on without a comment.
func (d *doc) plainLine(at int) string {
	line := d.lineFrom(at)
	if i := strings.Index(line, "#"); i >= 0 {
		line = strings.TrimSpace(line[:i])
	}
	return line
}

// refusal is what the decoder refused though the range finder took it: values
// that cannot be, and tables that it will not have twice.
func (d *doc) refusal(e expr, off int, pe toml.ParseError) (at int, what, cure string) {
	says := func(part string) bool { return strings.Contains(pe.Message, part) }
	switch {
	case says("already"):
		return off, "this is already given earlier in the file", "keep one of the two"
	case says("datetime"):
		return off, Quote(d.wordAt(off)) + " is no date or time that exists", "put it in quotation marks if it is a text"
	case says("out of range"), says("out of the safe"):
		return off, Quote(d.wordAt(off)) + " is too large a number", "write a smaller one"
	}
	if s, ok := number(d.wordAt(off)); ok {
		return off, Quote(d.wordAt(off)) + " is not how a number is written", "write " + s
	}
	return off, "this cannot be read: " + pe.Message, "write key = value"
}
