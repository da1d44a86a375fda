package dial

import (
	"fmt"
	"strings"
)

// grid is a screen of characters. Nothing written ever leaves it.
type grid struct {
	width, height int
	cells         []cell
	colour        bool
}

// cell is one column of one line.
type cell struct {
	text  string // a character and what combines with it; "" = blank
	tail  bool   // the right half of a wide character
	style style
}

// style is how a cell is written where there is colour.
type style struct {
	bold, dim bool
	ink       string // "#rrggbb"; "" = the terminal's own
}

func newGrid(width, height int, colour bool) *grid {
	return &grid{width: width, height: height, cells: make([]cell, width*height), colour: colour}
}

func (g *grid) at(x, y int) *cell {
	if x < 0 || y < 0 || x >= g.width || y >= g.height {
		return nil
	}
	return &g.cells[y*g.width+x]
}

// blank says whether so many columns hold no text.
func (g *grid) blank(x, y, n int) bool {
	for i := range n {
		c := g.at(x+i, y)
		if c == nil || c.tail || c.text != "" && !isBraille(c.text) {
			return false
		}
	}
	return true
}

// put writes a line from a column on, shortened to so many columns, and says in
// which column it ends.
func (g *grid) put(x, y int, text string, most int, st style) int {
	if y < 0 || y >= g.height || x < 0 {
		return x
	}
	text = clip(text, min(most, g.width-x))
	for _, r := range text {
		w := cells(r)
		if w == 0 {
			if c := g.at(x-1, y); c != nil {
				if c.tail {
					c = g.at(x-2, y)
				}
				if c != nil && c.text != "" {
					c.text += string(r)
				}
			}
			continue
		}
		g.clear(x, y)
		if w == 2 {
			g.clear(x+1, y)
		}
		c := g.at(x, y)
		if c == nil {
			return x
		}
		*c = cell{text: string(r), style: st}
		if w == 2 {
			if t := g.at(x+1, y); t != nil {
				*t = cell{tail: true}
			} else {
				*c = cell{}
			}
		}
		x += w
	}
	return x
}

// clear empties a cell, with the other half of a wide character in it.
func (g *grid) clear(x, y int) {
	c := g.at(x, y)
	if c == nil {
		return
	}
	if c.tail {
		if head := g.at(x-1, y); head != nil {
			*head = cell{}
		}
	} else if next := g.at(x+1, y); next != nil && next.tail {
		*next = cell{}
	}
	*c = cell{}
}

// right writes a line that ends in a column.
func (g *grid) right(x, y int, text string, most int, st style) int {
	text = clip(text, most)
	start := x - columns(text)
	g.put(start, y, text, most, st)
	return start
}

// String is the screen, lines without spaces at their ends.
func (g *grid) String() string {
	var b strings.Builder
	for y := range g.height {
		if y > 0 {
			b.WriteByte('\n')
		}
		g.line(&b, y)
	}
	return b.String()
}

func (g *grid) line(b *strings.Builder, y int) {
	row := g.cells[y*g.width : (y+1)*g.width]
	end := len(row)
	for end > 0 && strings.TrimSpace(row[end-1].text) == "" && !row[end-1].tail {
		end--
	}
	var now style
	for _, c := range row[:end] {
		if c.tail {
			continue
		}
		if g.colour && c.style != now {
			b.WriteString(c.style.escape())
			now = c.style
		}
		if c.text == "" {
			b.WriteByte(' ')
		} else {
			b.WriteString(c.text)
		}
	}
	if g.colour && now != (style{}) {
		b.WriteString(style{}.escape())
	}
}

// escape selects a style (ECMA-48, 8.3.117; colours as ISO 8613-6 has them).
func (s style) escape() string {
	text := "\x1b[0"
	if s.bold {
		text += ";1"
	}
	if s.dim {
		text += ";2"
	}
	if s.ink != "" {
		var r, g, b int
		if _, err := fmt.Sscanf(s.ink, "#%02x%02x%02x", &r, &g, &b); err == nil {
			text += fmt.Sprintf(";38;2;%d;%d;%d", r, g, b)
		}
	}
	return text + "m"
}
