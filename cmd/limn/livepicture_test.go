package main

import "testing"

func TestCutLines(t *testing.T) {
	const text = "a\nb\nc\nd\n"
	for lines, want := range map[int]string{
		-1: text, 0: text, 4: text, 9: text,
		3: "a\nb\nand 2 more lines\n",
		2: "a\nand 3 more lines\n",
	} {
		if got := cutLines(text, lines); got != want {
			t.Errorf("%d lines: %q, want %q", lines, got, want)
		}
	}
}
