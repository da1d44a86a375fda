package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

const eraseLine = "\x1b[K" // from the cursor on

// livePicture draws scenes over each other on a terminal whose size may change.
type livePicture struct {
	w     io.Writer
	text  string // drawn last; "" before the first
	width int    // it was drawn for
}

func (p *livePicture) show(sc *scene, _ bool) error {
	w := width(p.w)
	text := sc.view(w, height(p.w))
	if text == "" { // a screen of one line has no room for a picture and the cursor
		return nil
	}
	return p.draw(text, w)
}

// draw puts a text over the one before. It erases line by line: erasing all from
// the top of the screen makes some terminals keep a copy in their scrollback.
func (p *livePicture) draw(text string, width int) error {
	var b strings.Builder
	switch {
	case p.text == "":
		b.WriteString(hideCursor)
	case width < p.width:
		fmt.Fprintf(&b, "\x1b[%dA\r", wrappedLines(p.text, width))
	default:
		fmt.Fprintf(&b, "\x1b[%dA\r", strings.Count(p.text, "\n"))
	}
	for line := range strings.Lines(text) {
		b.WriteString(eraseLine + line) // before the text: after a full line the cursor still stands on its last character
	}
	b.WriteString(eraseBelow)
	p.text, p.width = text, width
	_, err := io.WriteString(p.w, b.String())
	return err
}

// leave keeps the last picture and gives the cursor back.
func (p *livePicture) leave() {
	if p.text != "" {
		io.WriteString(p.w, showCursor)
	}
}

// height of a terminal in lines; 0 if it has none.
func height(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if _, rows, err := term.GetSize(int(f.Fd())); err == nil {
			return rows
		}
	}
	return 0
}

// wrappedLines is how many lines a text takes up on a terminal that was made
// narrower since: most of them wrap what stands there already.
func wrappedLines(text string, width int) int {
	n := 0
	for line := range strings.Lines(text) {
		n += max(1, (utf8.RuneCountInString(strings.TrimSuffix(line, "\n"))+width-1)/width)
	}
	return n
}

// cutLines keeps the first lines of a text, the last of them saying how many more
// there are. Fewer than two lines are no limit: there is no such terminal.
func cutLines(text string, lines int) string {
	all := strings.SplitAfter(text, "\n")
	if all[len(all)-1] == "" {
		all = all[:len(all)-1]
	}
	if lines < 2 || len(all) <= lines {
		return text
	}
	return strings.Join(all[:lines-1], "") + fmt.Sprintf("and %s\n", count(len(all)-lines+1, "more line"))
}
