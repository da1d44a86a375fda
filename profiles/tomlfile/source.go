package tomlfile

import (
	"bytes"
	"slices"
	"unicode/utf8"
)

// source is the text of a file, without its byte-order mark.
type source struct {
	file  string
	src   []byte
	mark  int   // bytes of the byte-order mark that was taken off
	lines []int // offset of each line's first byte; made when first needed
	last  int   // the line asked for last: the next is mostly it or soon after
}

// pos is the place of the byte at off.
func (s *source) pos(off int) Pos {
	off = min(off, len(s.src))
	line := s.line(off)
	return Pos{s.file, line + 1, utf8.RuneCount(s.src[s.lines[line]:off]) + 1}
}

// line is the number, from 0, of the line that holds the byte at off.
func (s *source) line(off int) int {
	if s.lines == nil {
		s.lines = append(make([]int, 0, bytes.Count(s.src, []byte{'\n'})+1), 0)
		for i := 0; ; {
			n := bytes.IndexByte(s.src[i:], '\n')
			if n < 0 {
				break
			}
			i += n + 1
			s.lines = append(s.lines, i)
		}
	}
	for i := s.last; i < len(s.lines) && i <= s.last+nearLines && s.lines[i] <= off; i++ {
		if i+1 == len(s.lines) || off < s.lines[i+1] {
			s.last = i
			return i
		}
	}
	i, exact := slices.BinarySearch(s.lines, off)
	if !exact {
		i--
	}
	s.last = i
	return i
}

// nearLines is how many lines on from the last one are looked at before all are
// searched.
const nearLines = 8

// rangeOf is a range of the file as it was given.
func (s *source) rangeOf(from, to int) Range { return Range{from + s.mark, to + s.mark} }

// lineStart and lineEnd are the offsets of the first byte of the line that holds
// off, and of its newline or the end of the text.
func lineStart(b []byte, off int) int { return bytes.LastIndexByte(b[:off], '\n') + 1 }

func lineEnd(b []byte, off int) int {
	if n := bytes.IndexByte(b[off:], '\n'); n >= 0 {
		return off + n
	}
	return len(b)
}

// nextLine is the offset of the first byte of the following line.
func nextLine(b []byte, off int) int { return min(lineEnd(b, off)+1, len(b)) }

func isBlank(c byte) bool { return c == ' ' || c == '\t' }

func skipBlanks(b []byte, at int) int {
	for at < len(b) && isBlank(b[at]) {
		at++
	}
	return at
}

// skipTrivia passes over blanks, newlines, commas and comments: what may stand
// between the parts of a list, or between expressions.
func skipTrivia(b []byte, at int) int {
	for at < len(b) {
		switch b[at] {
		case ' ', '\t', '\n', '\r', ',':
			at++
		case '#':
			at = lineEnd(b, at)
		default:
			return at
		}
	}
	return at
}

// isBare says whether c may stand in a key without quotation marks.
func isBare(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_'
}

// isBareKey says whether a key needs no quotation marks.
func isBareKey(key string) bool {
	for i := range len(key) {
		if !isBare(key[i]) {
			return false
		}
	}
	return key != ""
}

// written is key as it is written in a file, shortened for messages.
func written(key string) string {
	if isBareKey(key) {
		return shorten(key)
	}
	return Quote(key)
}
