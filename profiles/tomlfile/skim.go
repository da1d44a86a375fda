package tomlfile

import "bytes"

// skimmed is what is open at some place in an expression.
type skimmed struct {
	brackets []int // offsets of [ and { that are not closed
	quote    int   // offset of the quotation mark of a text that is not closed, or -1
	marks    int   // how many marks that text began with: 1 or 3
}

// skim reads over b[from:to] and notes what is open at its end. It knows texts,
// comments and brackets and nothing else, so that it can be used where nothing
// else is to be relied on.
func skim(b []byte, from, to int) skimmed {
	s := skimmed{quote: -1}
	for i := from; i < to; {
		switch c := b[i]; c {
		case '"', '\'':
			n := 1
			if i+2 < to && b[i+1] == c && b[i+2] == c {
				n = 3
			}
			end := closing(b[:to], i, n)
			if end < 0 {
				s.quote, s.marks = i, n
				return s
			}
			i = end
			continue
		case '#':
			i = min(lineEnd(b, i), to)
			continue
		case '[', '{':
			s.brackets = append(s.brackets, i)
		case ']', '}':
			if n := len(s.brackets); n > 0 {
				s.brackets = s.brackets[:n-1]
			}
		}
		i++
	}
	return s
}

// closing is the offset after the marks that close the text that opens at i with
// n marks, or -1. A text with one mark ends with its line.
func closing(b []byte, i, n int) int {
	c := b[i]
	for at := i + n; at < len(b); at++ {
		switch {
		case b[at] == '\\' && c == '"':
			at++
		case b[at] == '\n' && n == 1:
			return -1
		case b[at] == c && n == 1:
			return at + 1
		case b[at] == c && bytes.HasPrefix(b[at:], []byte{c, c, c}):
			at += 3
			for at < len(b) && b[at] == c { // marks of the text's own before the last three
				at++
			}
			return at
		}
	}
	return -1
}

// closed is the offset after the bracket that closes the one at i, or the end.
func closed(b []byte, i int) int {
	depth := 0
	for ; i < len(b); i++ {
		switch c := b[i]; c {
		case '"', '\'':
			if end := closing(b, i, 1); end > 0 {
				i = end - 1
			}
		case '#':
			i = lineEnd(b, i)
		case '[', '{':
			depth++
		case ']', '}':
			if depth--; depth == 0 {
				return i + 1
			}
		}
	}
	return len(b)
}

// isHeaderLine says whether a line reads like a header. The first character of
// the name must be a letter where a list is open: "[1]" and `["a"]` are entries
// of lists of lists, too.
func isHeaderLine(b []byte, at int, inList bool) bool {
	at = skipBlanks(b, at)
	n := 0
	for at < len(b) && b[at] == '[' && n < 2 {
		at, n = at+1, n+1
	}
	if n == 0 {
		return false
	}
	first := skipBlanks(b, at)
	if inList && (first == len(b) || !isBare(b[first]) || b[first] == '-' || b[first] >= '0' && b[first] <= '9') {
		return false
	}
	at, ok := skipKey(b, at)
	if !ok {
		return false
	}
	for ; n > 0; n-- {
		if at == len(b) || b[at] != ']' {
			return false
		}
		at++
	}
	at = skipBlanks(b, at)
	return at == len(b) || b[at] == '\n' || b[at] == '\r' || b[at] == '#'
}

// isKeyLine says whether a line reads like a key with a value.
func isKeyLine(b []byte, at int) bool {
	at, ok := skipKey(b, at)
	return ok && at < len(b) && b[at] == '='
}

// skipKey passes over a key of one or more parts and the blanks around it.
func skipKey(b []byte, at int) (int, bool) {
	for {
		at = skipBlanks(b, at)
		from := at
		if at < len(b) && (b[at] == '"' || b[at] == '\'') {
			if at = closing(b[:lineEnd(b, at)], at, 1); at < 0 {
				return from, false
			}
		} else {
			for at < len(b) && isBare(b[at]) {
				at++
			}
		}
		if at == from {
			return at, false
		}
		at = skipBlanks(b, at)
		if at == len(b) || b[at] != '.' {
			return at, true
		}
		at++
	}
}

// resume is where to go on after the fault at off in the expression that begins
// at from: the next line, or where something is still open that could hold it,
// the next line that can only be a new expression. One slip is told of once.
func (d *doc) resume(from, off int) int {
	b := d.text
	open := skim(b, from, off)
	if b[from] == '[' {
		open.brackets = nil // a header is over with its line
	}
	at := nextLine(b, off)
	if end := skim(b, from, at); len(end.brackets) == 0 && end.quote < 0 {
		return at // whatever was open is closed on the same line
	}
	inText := open.quote >= 0 && open.marks == 3
	switch {
	case inText:
		at = nextLine(b, open.quote)
	case len(open.brackets) == 0:
		return at
	case lineStart(b, off) > from:
		at = lineStart(b, off) // the line that made it plain may be the next expression itself
	}
	inList, over := false, len(b)
	if !inText {
		inList = b[open.brackets[len(open.brackets)-1]] == '['
		over = nextLine(b, closed(b, open.brackets[0]))
	}
	for ; at < len(b); at = nextLine(b, at) {
		if at >= over || isHeaderLine(b, at, !inText) || inList && isKeyLine(b, at) {
			return at
		}
	}
	return len(b)
}
