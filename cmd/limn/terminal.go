package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// plainWidth is the width of text that goes to no terminal.
const plainWidth = 110

// isTerminal says whether a stream is a terminal someone sits at.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// canRedraw says whether text can be drawn over itself there.
func canRedraw(w io.Writer) bool { return isTerminal(w) && os.Getenv("TERM") != "dumb" }

// width of a terminal in characters.
func width(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if cols, _, err := term.GetSize(int(f.Fd())); err == nil && cols > 0 {
			return cols
		}
	}
	return plainWidth
}

// Control sequences of ECMA-48, the ones every terminal knows.
const (
	eraseBelow = "\x1b[J"
	hideCursor = "\x1b[?25l"
	showCursor = "\x1b[?25h"
)
