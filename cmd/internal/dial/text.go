package dial

import (
	"fmt"
	"strings"

	"limn/cue"
)

// MaxColumns and MaxLines bound a picture in characters.
const (
	MaxColumns = 1000
	MaxLines   = 1000
)

// Widths and heights from which parts of the picture are drawn.
const (
	planColumns = 72 // the plan beside the rulers
	planLines   = 15
	hullLines   = 30  // the angles as small hulls
	wideColumns = 118 // a source in one line
)

// Text is the picture of a snapshot of a shoot in characters: at most so many
// columns and lines, whatever names it holds; a wider or taller screen shows more.
// Lines are separated by a line feed and none ends in a space. Without colour it holds no
// escape sequences, and nothing is told by colour alone.
func Text(shoot *cue.Shoot, snap *cue.Snapshot, width, height int, colour bool) string {
	width, height = min(width, MaxColumns), min(height, MaxLines)
	if width <= 0 || height <= 0 {
		return ""
	}
	v := newView(shoot, snap)
	t := &page{grid: newGrid(width, height, colour), v: v, pal: paletteOf(Dark)}
	if width >= planColumns && height >= planLines {
		t.wide()
	} else {
		t.narrow()
	}
	return t.String()
}

// page is a picture in characters.
type page struct {
	*grid
	v   *view
	pal *palette
}

// signs of the states, by shape.
var signs = map[shape]string{ringShape: "○", handShape: "▲", halfShape: "◐", discShape: "●", squareShape: "■"}

var (
	plain  = style{}
	strong = style{bold: true}
	quiet  = style{dim: true}
)

func (t *page) accent() style { return style{bold: true, ink: t.pal.accent} }

// head is what stands, and what the light is doing; it takes two lines.
func (t *page) head() {
	v := t.v
	name := v.cue
	if name == "" {
		name = "no cue yet"
	}
	word := signs[v.state.shape] + " " + v.state.word
	left := t.right(t.width-1, 0, word, t.width-2, strong)
	t.put(1, 0, name, left-3, strong)
	detail := strings.Join(append(nonEmpty(v.state.detail), v.over...), ", ")
	left = t.right(t.width-1, 1, detail, t.width/2, quiet)
	where := v.where
	if s := clean(v.shoot.Subject.Name); s != "" {
		where = s + ", " + where
	}
	t.put(1, 1, where, left-3, quiet)
}

// wide is the plan and the rulers side by side, the angles and the tile below.
func (t *page) wide() {
	t.head()
	foot := t.foot()
	tile := min(max(1+t.tileLines(), 2), max(t.height/5, 3))
	strip := 1
	if t.height >= hullLines {
		strip = 5
	}
	bottom := t.height - tile - strip - foot
	if bottom-2 > 2*len(t.v.lamps)+1 {
		bottom-- // a line of air
	}
	lines := bottom - 2
	columns := min(t.width*45/100, 2*lines+18)
	t.plan(0, 2, columns, lines)
	t.rulers(columns+1, 2, t.width-columns-2, lines)
	t.strip(1, t.height-tile-strip-foot, t.width-2, strip)
	t.tile(1, t.height-tile-foot, t.width-2, tile)
}

// narrow is one column: what comes next stands above.
func (t *page) narrow() {
	t.head()
	y := 2
	if t.height >= 6 {
		n := min(1+t.tileLines(), max(t.height/4, 2))
		t.tile(1, y, t.width-2, n)
		y += n
	}
	foot := 0
	if t.height >= 10 {
		foot = t.foot()
	}
	if t.height-y-foot >= 4 {
		t.strip(1, y, t.width-2, 1)
		y++
	}
	t.rulers(1, y, t.width-2, t.height-y-foot)
}

// foot is the warnings that stay up, and the latest word, in the last lines.
func (t *page) foot() (lines int) {
	v := t.v
	var texts []string
	for i, w := range v.snap.Warnings {
		if i == 2 && len(v.snap.Warnings) > 3 {
			texts = append(texts, fmt.Sprintf("! and %d more warnings", len(v.snap.Warnings)-i))
			break
		}
		texts = append(texts, "! "+clean(w))
	}
	if n := len(v.snap.Notices); n > 0 && t.height >= 20 {
		texts = append(texts, clean(v.snap.Notices[n-1]))
	}
	texts = texts[:min(len(texts), t.height/6)]
	for i, text := range texts {
		st := quiet
		if strings.HasPrefix(text, "! ") {
			st = strong
		}
		t.put(1, t.height-len(texts)+i, text, t.width-2, st)
	}
	return len(texts)
}

// tileLines is how many lines below its head the tile would fill.
func (t *page) tileLines() int { return len(t.v.tile.more) }

// tile is the one thing that comes next.
func (t *page) tile(x, y, width, lines int) {
	tile := &t.v.tile
	at := t.put(x, y, strings.ToUpper(tile.label[:1])+tile.label[1:]+": ", width, t.accent())
	t.put(at, y, tile.head, width-(at-x), strong)
	for i, m := range tile.more {
		if i+1 >= lines {
			return
		}
		if left := len(tile.more) - i; i+2 == lines && left > 1 {
			m += fmt.Sprintf("  (and %d more)", left-1)
			if columns(m) > width {
				tail := fmt.Sprintf("  (and %d more)", left-1)
				m = clip(tile.more[i], width-columns(tail)) + tail
			}
		}
		t.put(x+2, y+1+i, m, width-2, plain)
	}
}
