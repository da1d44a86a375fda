package main

import (
	"fmt"
	"io"
	"os"
	"strings"

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

// picture draws a text over itself. The text must not be wider than the
// terminal, or its lines would wrap and be counted wrong.
type picture struct {
	w      io.Writer
	height int
}

func (p *picture) draw(text string) {
	var b strings.Builder
	if p.height == 0 {
		b.WriteString(hideCursor)
	} else {
		fmt.Fprintf(&b, "\x1b[%dA\r", p.height)
	}
	b.WriteString(eraseBelow)
	b.WriteString(text)
	p.height = strings.Count(text, "\n")
	io.WriteString(p.w, b.String())
}

// leave keeps the last picture and gives the cursor back.
func (p *picture) leave() {
	if p.height > 0 {
		io.WriteString(p.w, showCursor)
		p.height = 0
	}
}
