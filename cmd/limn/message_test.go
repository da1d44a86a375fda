package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestReport(t *testing.T) {
	for _, c := range []struct {
		name   string
		err    error
		status int
		text   string
	}{
		{"nothing", nil, statusDone, ""},
		{"usage", usagef("do this", "no %q", "x"), statusUsage, "error: no \"x\"\nhint: do this\n"},
		{"no hint", failuref(statusUnreachable, "", "gone"), statusUnreachable, "error: gone\n"},
		{"said", said(statusFiles), statusFiles, ""},
		{"wrapped", fmt.Errorf("outer: %w", usagef("", "inner")), statusUsage, "error: inner\n"},
		{"any", errors.New("broke"), statusFailed, "error: broke\n"},
		{"hostile", errors.New("a\x1b[2Jb\nc"), statusFailed, "error: a\uFFFD[2Jb c\n"},
	} {
		var b bytes.Buffer
		if got := report(&b, c.err); got != c.status || b.String() != c.text {
			t.Errorf("%s: status %d, %q; want %d, %q", c.name, got, b.String(), c.status, c.text)
		}
	}
}

func TestCleanLeavesNothingThatMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		got := clean(rapid.String().Draw(t, "s"))
		if i := strings.IndexFunc(got, func(r rune) bool {
			return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)
		}); i >= 0 {
			t.Fatalf("%q still holds a control character", got)
		}
	})
	if got := clean("left stroke, 5600 K – ½ stop"); got != "left stroke, 5600 K – ½ stop" {
		t.Errorf("plain text came back as %q", got)
	}
}
