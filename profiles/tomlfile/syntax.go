package tomlfile

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// syntaxFault is a fault of syntax in our words.
type syntaxFault struct {
	at         int
	what, cure string
}

// syntax says what is wrong in the expression that begins at from and could not
// be read at f.at. The text itself is looked at for what was meant; the parser's
// words only tell what it was in the middle of.
func (d *doc) syntax(from int, f syntaxError) syntaxFault {
	b := d.text
	open := skim(b, from, f.at)
	says := func(part string) bool { return strings.Contains(f.msg, part) }
	switch {
	case says("nested more than"):
		return syntaxFault{f.at, "lists stand thousands deep in each other", "write it flatter"}
	case says("unterminated"), says("cannot have new lines"), says("not terminated by"):
		return d.openText(from, f.at)
	case says("escape"), says("need a character after"):
		return d.badEscape(from, f.at)
	case says("too many quotes"):
		return syntaxFault{f.at, "more than five quotation marks stand in a row", "put \\ before those that belong to the text"}
	case b[from] == '[' && len(open.brackets) > 0 && open.brackets[0] == from:
		return d.badHeader(from, f.at)
	case b[from] == '[':
		return syntaxFault{f.at, "something follows a header on its line: " + Quote(d.lineFrom(f.at)), "begin a new line after the header"}
	case len(open.brackets) > 0:
		if s, ok := d.openBracket(from, f.at, open); ok {
			return s
		}
	}
	switch {
	case says("start of key"), says("expected key but"):
		return d.badKey(f.at, open)
	case says("expected '=' after key"):
		return d.noEquals(f.at, open)
	case says("expected value but got"), says("unexpected comma"):
		return syntaxFault{f.at, "a comma stands where a value should", "take it out, or write the value before it"}
	case says("after array value"), says("after inline table"):
		return d.missingComma(from, f.at)
	case says("expected newline"):
		return d.afterValue(from, f.at)
	}
	return d.badValue(from, f.at)
}

// openText is a text without its closing quotation marks, told of where it
// begins: where it should end nobody can know.
func (d *doc) openText(from, at int) syntaxFault {
	open := skim(d.text, from, at)
	if open.quote < 0 { // the parser stopped on the last mark itself
		open = skim(d.text, from, len(d.text))
	}
	if open.quote < 0 {
		return syntaxFault{at, "a text is not closed", "write its closing quotation mark"}
	}
	mark := strings.Repeat(string(d.text[open.quote]), open.marks)
	what := "the text that begins here is not closed"
	if open.marks == 1 {
		return syntaxFault{open.quote, what + " on its line", "write the closing " + mark}
	}
	return syntaxFault{open.quote, what, "write the closing " + mark}
}

// badEscape is a backslash with something behind it that makes no character.
func (d *doc) badEscape(from, at int) syntaxFault {
	for at > 0 && d.text[at] != '\\' && d.text[at-1] != '\n' { // the parser may point at a digit of \u00g0
		at--
	}
	line := d.text[at:lineEnd(d.text, at)]
	if len(line) < 2 || line[1] == '\r' {
		return d.openText(from, at) // the backslash hides the end of the line
	}
	long := map[byte]int{'x': 2, 'u': 4, 'U': 8}[line[1]]
	if long == 0 {
		_, n := utf8.DecodeRune(line[1:])
		return syntaxFault{
			at, string(line[:1+n]) + " stands for no character",
			`write \\ for a backslash, or put the text in single quotation marks`,
		}
	}
	end := 2
	for end < len(line) && end < 2+long && line[end] != '"' {
		end++
	}
	return syntaxFault{
		at, strings.ToValidUTF8(string(line[:end]), "") + " stands for no character",
		"write " + strconv.Itoa(long) + " hexadecimal digits after " + string(line[:2]) + ", of a character that exists",
	}
}

// badHeader is a header that is not closed or has a name it cannot have.
func (d *doc) badHeader(from, at int) syntaxFault {
	b := d.text
	open, shut := "[", "]"
	if from+1 < len(b) && b[from+1] == '[' {
		open, shut = "[[", "]]"
	}
	line := strings.TrimSpace(string(b[from:lineEnd(b, from)]))
	inside := strings.TrimSpace(strings.Trim(strings.TrimLeft(line, "["), "]"))
	if i := strings.IndexAny(inside, "]#"); i >= 0 {
		inside = strings.TrimSpace(inside[:i])
	}
	switch end, ok := skipKey([]byte(inside), 0); {
	case strings.HasPrefix(inside, "."), strings.HasSuffix(inside, "."), strings.Contains(inside, ".."):
		return syntaxFault{at, "a part of the name " + Quote(inside) + " is missing before or after a point", "write all parts, or leave the point out"}
	case inside == "":
		return syntaxFault{at, "a header has no name", "write it between the brackets, as in " + open + "name" + shut}
	case (!ok || end < len(inside)) && !strings.ContainsAny(inside, `"'[]=`):
		return syntaxFault{
			skipBlanks(b, from+len(open)), "the name " + Quote(inside) + " needs quotation marks, for the " + character(firstOdd(inside)) + " in it",
			"write " + open + Quote(inside) + shut,
		}
	case strings.ContainsAny(inside, "=[]"):
		return syntaxFault{from, "the header " + Quote(line) + " cannot be read", "write the name between " + open + " and " + shut + ", alone on its line"}
	}
	return syntaxFault{from, "the header " + Quote(line) + " is not closed", "write " + shorten(open+inside+shut)}
}

// openBracket is a list or a table in braces that is not closed before the next
// expression or the end of the file. It is told of where it begins.
func (d *doc) openBracket(from, at int, open skimmed) (syntaxFault, bool) {
	b := d.text
	in := open.brackets[len(open.brackets)-1]
	what, shut := "the list", "]"
	if b[in] == '{' {
		what, shut = "the table in braces", "}"
	}
	start := lineStart(b, at)
	later := start > from
	if later && isHeaderLine(b, start, true) {
		for _, at := range open.brackets { // those of the header itself do not count
			if at < start {
				in = at
			}
		}
		what, shut = "the list", "]"
		if b[in] == '{' {
			what, shut = "the table in braces", "}"
		}
	}
	switch {
	case skipTrivia(b, at) == len(b):
		return syntaxFault{in, what + " that begins here is not closed before the end of the file", "write the closing " + shut}, true
	case later && isHeaderLine(b, start, true), later && b[in] == '[' && isKeyLine(b, start):
		return syntaxFault{in, what + " that begins here is not closed before line " + lineText(d.line(start)+1), "write the closing " + shut}, true
	case b[at] == ']' && b[in] == '{', b[at] == '}' && b[in] == '[':
		return syntaxFault{at, what + " closes with the wrong bracket", "write " + shut}, true
	}
	return syntaxFault{}, false
}

// badKey is something that is no key where one should begin.
func (d *doc) badKey(at int, open skimmed) syntaxFault {
	r, _ := utf8.DecodeRune(d.text[at:])
	line := d.lineFrom(at)
	key, rest, hasValue := strings.Cut(line, "=")
	key = strings.TrimSpace(key)
	switch {
	case r == '=':
		return syntaxFault{at, "a value has no key before it", "write the key, as in name " + shorten(line)}
	case r == '/' || r == ';' || r == '%' || r == '-' && !hasValue:
		return syntaxFault{at, Quote(line) + " is no key with a value", "write key = value; begin comments with #"}
	case isCurly(r):
		return curlyQuotes(at)
	case r == '.':
		return syntaxFault{at, "a part of the key is missing before or after the point", "write both parts, or leave the point out"}
	case hasValue && key != "" && len(open.brackets) == 0:
		return syntaxFault{at, "the key " + Quote(key) + " needs quotation marks, for the " + character(r) + " in it", "write " + Quote(key) + " = " + value(rest)}
	case len(open.brackets) > 0:
		return syntaxFault{at, Quote(d.wordAt(at)) + " stands where a key should", "write key = value between the braces"}
	}
	return syntaxFault{at, Quote(line) + " is no key with a value", "write key = value"}
}

// noEquals is a key without the = that should follow it at at.
func (d *doc) noEquals(at int, open skimmed) syntaxFault {
	b := d.text
	keyFrom := lineStart(b, min(at, len(b)))
	if n := len(open.brackets); n > 0 {
		keyFrom = max(keyFrom, open.brackets[n-1]+1)
		if i := strings.LastIndexByte(string(b[keyFrom:at]), ','); i >= 0 {
			keyFrom += i + 1
		}
	}
	keyFrom = skipBlanks(b, keyFrom)
	if keyFrom >= at { // the key ends the file
		keyFrom = skipBlanks(b, lineStart(b, at))
	}
	key := strings.TrimSpace(string(b[keyFrom:at]))
	line := d.plainLine(at)
	if len(open.brackets) > 0 {
		line = d.wordAt(at)
	}
	r, _ := utf8.DecodeRuneInString(line)
	name, rest, hasValue := strings.Cut(line, "=")
	switch {
	case strings.Trim(key, "-") == "":
		return syntaxFault{keyFrom, Quote(d.lineFrom(keyFrom)) + " is no key with a value", "write key = value; begin comments with #"}
	case len(open.brackets) > 0 && strings.ContainsRune(",}", r):
		return syntaxFault{keyFrom, shorten(key) + " has no value", "write " + shorten(key) + " = and the value, or square brackets around a list"}
	case line == "":
		return syntaxFault{keyFrom, shorten(key) + " has no value", "write " + shorten(key) + " = and the value"}
	case r == ':':
		return syntaxFault{at, "a colon stands after the key " + shorten(key), "write " + shorten(key) + " = " + value(line[1:])}
	case hasValue && !strings.ContainsAny(name, `"'{[,`):
		name = strings.TrimSpace(key + string(b[keyFrom+len(key):at]) + name)
		return syntaxFault{
			keyFrom, "the key " + Quote(name) + " needs quotation marks, for the " + character(firstOdd(name)) + " in it",
			"write " + Quote(name) + " = " + value(rest),
		}
	case hasValue:
		return syntaxFault{at, Quote(line) + " stands after the key " + shorten(key), "write " + shorten(key) + " = " + value(rest)}
	}
	return syntaxFault{at, "no = stands between the key " + shorten(key) + " and its value", "write " + shorten(key) + " = " + value(line)}
}

// firstOdd is the first character of a name that a bare key cannot have.
func firstOdd(name string) rune {
	for _, r := range name {
		if r >= utf8.RuneSelf || !isBare(byte(r)) {
			return r
		}
	}
	return utf8.RuneError
}

// character names a character in words where it is hard to see.
func character(r rune) string {
	if unicode.IsSpace(r) {
		return "space"
	}
	return Quote(string(r))
}

func isCurly(r rune) bool { return strings.ContainsRune("“”„‟‘’‚‛«»", r) }

func curlyQuotes(at int) syntaxFault {
	return syntaxFault{at, "a typographic quotation mark stands here", `write the straight one, "`}
}

// lineFrom is the rest of the line from at on, without the blanks around it.
func (d *doc) lineFrom(at int) string {
	at = min(at, len(d.text))
	return strings.TrimSpace(string(d.text[at:lineEnd(d.text, at)]))
}

// wordAt is what stands at at, up to the next comma, bracket, comment or the end
// of the line.
func (d *doc) wordAt(at int) string {
	line := d.lineFrom(at)
	if i := strings.IndexAny(line, ",]}#"); i > 0 {
		line = line[:i]
	}
	return strings.TrimSpace(line)
}
