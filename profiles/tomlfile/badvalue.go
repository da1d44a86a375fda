package tomlfile

import (
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

func lineText(line int) string { return strconv.Itoa(line) }

// valueFrom is where the value begins that at lies in or right after.
func (d *doc) valueFrom(from, at int) int {
	b := d.text
	open := skim(b, from, at).brackets
	if len(open) == 0 {
		if end, ok := skipKey(b, from); ok && end < at && b[end] == '=' {
			return skipBlanks(b, end+1)
		}
		return min(at, len(b))
	}
	// In a list or braces: after the last comma or = that stands in nothing deeper.
	start := open[len(open)-1] + 1
	for i := start; i < at; {
		switch c := b[i]; {
		case c == ',' || c == '=':
			start = i + 1
		case c == '"' || c == '\'':
			if end := closing(b[:at], i, 1); end > 0 {
				i = end
				continue
			}
		case c == '#':
			i = min(lineEnd(b, i), at)
			continue
		case c == '[' || c == '{':
			i = closed(b[:at], i)
			continue
		}
		i++
	}
	return min(skipTrivia(b, start), at)
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
		return syntaxFault{start, "the number " + Quote(whole) + " has a comma", "write " + key + strings.Replace(whole, ",", ".", 1)}
	case d.text[at] == ',' && d.wordAt(at) == ",":
		return syntaxFault{at, "a comma stands after the value", "take it out"}
	case first == '"' || first == '\'':
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the closing quotation mark", `write one key on a line, and \" for a mark inside the text`}
	case first == '[' || first == '{':
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the closing bracket", "write one key on a line"}
	case strings.ContainsAny(whole, `="'`):
		return syntaxFault{at, Quote(d.lineFrom(at)) + " stands after the value", "write one key on a line"}
	}
	return unquoted(start, whole, key)
}

// unquoted is a value that needs quotation marks.
func unquoted(at int, word, key string) syntaxFault {
	what := Quote(word) + " needs quotation marks"
	if word != "" && word[0] >= '0' && word[0] <= '9' {
		what += ", as it is more than a number"
	}
	return syntaxFault{at, what, "write " + key + Quote(word)}
}

// missingComma is an entry or a key in braces with something behind it: the next
// one, or the rest of a value that needs quotation marks.
func (d *doc) missingComma(from, at int) syntaxFault {
	word := d.wordAt(at)
	start := d.valueFrom(from, at)
	sameLine := lineStart(d.text, start) == lineStart(d.text, at)
	if c := d.text[start]; sameLine && c != '"' && c != '\'' && c != '[' && c != '{' && !strings.ContainsAny(word, `="'[{`) && !plainNumber.MatchString(word) {
		return unquoted(start, d.wordAt(start), d.keyBefore(from, start))
	}
	return syntaxFault{at, "a comma is missing before " + Quote(word), "write a comma between the two"}
}

// badValue is something that is no value where one should be, or a number that
// breaks the rules.
func (d *doc) badValue(from, at int) syntaxFault {
	start := d.valueFrom(from, at)
	word := d.wordAt(start)
	key := d.keyBefore(from, start)
	r, _ := utf8.DecodeRuneInString(word)
	switch {
	case word == "" || strings.ContainsAny(word[:1], ",]}"):
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
	return unquoted(start, word, key)
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

// value is what follows a key, as it ought to be written: as it is if it can be a
// value, in quotation marks otherwise.
func value(s string) string {
	s = strings.TrimSpace(s)
	switch {
	case s == "":
		return `"..."`
	case strings.ContainsAny(s[:1], "\"'[{"), plainNumber.MatchString(s), s == "true", s == "false":
		return shorten(s)
	}
	return Quote(s)
}

// plainLine is the line from at on without a comment.
func (d *doc) plainLine(at int) string {
	line := d.lineFrom(at)
	if i := strings.Index(line, "#"); i >= 0 {
		line = strings.TrimSpace(line[:i])
	}
	return line
}

// refusal is what the decoder refused at off though the range finder took it: a
// value that is written well but cannot be.
func (d *doc) refusal(off int, pe toml.ParseError) syntaxFault {
	says := func(part string) bool { return strings.Contains(pe.Message, part) }
	word := Quote(d.wordAt(off))
	switch {
	case says("datetime"):
		return syntaxFault{off, word + " is no date or time that exists", "put it in quotation marks if it is a text"}
	case says("out of range"), says("out of the safe"):
		return syntaxFault{off, word + " is too large a number", "write a smaller one"}
	}
	return syntaxFault{off, word + " cannot be read: " + pe.Message, "write it in another way"}
}
