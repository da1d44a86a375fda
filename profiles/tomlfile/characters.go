package tomlfile

import (
	"bytes"
	"slices"
	"unicode/utf8"
)

var (
	utf8Mark   = []byte("\xef\xbb\xbf")
	utf16Marks = [][]byte{[]byte("\xff\xfe"), []byte("\xfe\xff")}
)

// readable refuses what is no text to begin with, and takes off a byte-order
// mark.
func (d *doc) readable() bool {
	whole := Pos{File: d.file}
	if len(d.src) > MaxFileSize {
		d.ps.Error(whole, "split it into several", "the file has %d bytes, more than %d", len(d.src), MaxFileSize)
		return false
	}
	n := 0
	for _, sign := range []string{",", "=", ".", "["} {
		n += bytes.Count(d.src, []byte(sign))
	}
	if n > MaxValues {
		d.ps.Error(whole, "split it into several", "the file has about %d values, more than %d", n, MaxValues)
		return false
	}
	for _, mark := range utf16Marks {
		if bytes.HasPrefix(d.src, mark) {
			d.ps.Error(whole, "save it as UTF-8", "the file is UTF-16 text")
			return false
		}
	}
	if rest, ok := bytes.CutPrefix(d.src, utf8Mark); ok {
		d.src, d.mark = rest, len(utf8Mark)
	}
	// Every other byte of UTF-16 without a mark is NUL where the text is Latin.
	if n := bytes.Count(d.src, []byte{0}); n > len(d.src)/3 {
		d.ps.Error(whole, "save it as UTF-8 text", "the file is UTF-16 text or no text at all: %d of its %d bytes are NUL", n, len(d.src))
		return false
	}
	return true
}

// maxStray is how many stray characters are told of one by one.
const maxStray = 10

// checkCharacters tells of characters that no TOML file may hold, and replaces
// them in a copy of the text so that the rest can be read.
func (d *doc) checkCharacters() {
	if harmless(d.src) {
		return
	}
	d.damaged = true
	d.text = slices.Clone(d.text)
	count := 0
	last := 0
	for i := 0; i < len(d.src); {
		r, n := utf8.DecodeRune(d.src[i:])
		broken := r == utf8.RuneError && n == 1
		if broken || stray(d.src, i) {
			last = i
			if count++; count <= maxStray {
				d.tellStray(i, broken)
			}
			d.text[i] = '_' // may stand in a text and in a key
			if d.src[i] == '\r' {
				d.text[i] = '\n' // what it was meant as
			}
		}
		i += n
	}
	if count > maxStray {
		d.ps.Error(d.pos(last), "save the file as plain text in UTF-8", "this is the last of %d characters like those before", count)
	}
}

func (d *doc) tellStray(i int, broken bool) {
	switch c := d.src[i]; {
	case broken:
		d.ps.Error(d.pos(i), "save the file as UTF-8", "byte 0x%02X is not UTF-8 text", c)
	case c == '\r':
		d.ps.Error(d.pos(i), "end lines with a newline, alone or after the carriage return", "a carriage return stands alone")
	default:
		d.ps.Error(d.pos(i), `take it out, or write it in quotation marks as "\u`+hex4(c)+`"`, "a control character, 0x%02X, stands in the text", c)
	}
}

func hex4(c byte) string {
	const digits = "0123456789ABCDEF"
	return "00" + string([]byte{digits[c>>4], digits[c&15]})
}

// stray says whether the byte at i is a control character that TOML forbids.
func stray(b []byte, i int) bool {
	switch c := b[i]; {
	case c == '\r':
		return i+1 == len(b) || b[i+1] != '\n'
	case c == '\t' || c == '\n':
		return false
	default:
		return c < ' ' || c == 0x7f
	}
}

// harmless says that there is nothing to tell.
func harmless(b []byte) bool {
	for i, c := range b {
		if (c < ' ' || c == 0x7f) && stray(b, i) {
			return false
		}
	}
	return utf8.Valid(b)
}
