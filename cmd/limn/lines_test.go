package main

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

func TestLines(t *testing.T) {
	long := strings.Repeat("x", maxLine+1)
	text := "one\r\n\n" + long + "\nlast"
	for name, r := range map[string]io.Reader{
		"whole":        strings.NewReader(text),
		"byte by byte": iotest.OneByteReader(strings.NewReader(text)),
	} {
		l := newLineReader(r)
		var got []string
		for {
			line, err := l.next()
			if errors.Is(err, io.EOF) {
				break
			}
			if errors.Is(err, errLongLine) {
				line = []byte("<long>")
			} else if err != nil {
				t.Fatal(err)
			}
			got = append(got, string(line))
		}
		if want := "one,,<long>,last"; strings.Join(got, ",") != want {
			t.Errorf("%s: read %q, want %s", name, got, want)
		}
		if l.number != 4 {
			t.Errorf("%s: %d lines counted, want 4", name, l.number)
		}
	}
}

func TestLinesPassOnTrouble(t *testing.T) {
	l := newLineReader(iotest.ErrReader(io.ErrUnexpectedEOF))
	if _, err := l.next(); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("got %v", err)
	}
}
