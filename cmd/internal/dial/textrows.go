package dial

import (
	"fmt"
	"math"
	"strings"
)

// rulers is a line or two a source.
func (t *page) rulers(x, y, width, lines int) {
	if lines <= 0 || width < 8 {
		return
	}
	v := t.v
	oneLine := width >= wideColumns*55/100
	perStop := 2
	if width >= 78 {
		perStop = 3
	}
	cells := int(rulerTo-rulerFrom)*perStop + 1
	name := min(max(t.longestName(), 6), max(width-cells-10, 6), 22)
	ruler := x + name + 1
	hasRuler := width >= name+1+cells+8
	if !hasRuler {
		cells = 0
		name = min(max(t.longestName(), 6), max(width/2, 6))
		ruler = x + name + 1
	}
	top := y
	if hasRuler && lines >= 4 {
		t.put(ruler, y, scaleCells(perStop), cells, quiet)
		y++
	}
	room := top + lines - y
	shown := v.shownLamps(room)
	if len(shown) < len(v.lamps) && room > 1 {
		shown = v.shownLamps(room - 1)
	}
	lit := 0
	for _, k := range shown {
		if v.lamps[k].lit {
			lit++
		}
	}
	// A second line for all, or else for those that shine, where there is room.
	all, some := 2*len(shown) <= room, len(shown)+lit <= room
	for _, k := range shown {
		l := &v.lamps[k]
		t.row(l, x, y, width, name, ruler, cells, perStop)
		words := ruler + cells + 9
		second := all || some && l.lit
		switch {
		case oneLine:
			second = all // a line of air, or for what finds no room
			t.swatchWords(l, words, y, x+width-words, quiet, second)
		case second:
			t.swatchWords(l, x+2, y+1, width-2, quiet, false)
		case cells == 0:
			at := ruler + 9
			t.swatchWords(l, at, y, x+width-at, quiet, false)
		}
		y++
		if second {
			y++
		}
	}
	if n := len(v.lamps) - len(shown); n > 0 && len(shown) > 0 {
		t.put(x, y, fmt.Sprintf("and %d more sources", n), width, quiet)
		y++
	}
	if hasRuler && y+1 < top+lines {
		t.put(x, top+lines-1, rulerLegend, width, quiet)
	}
}

// rulerLegend says what the signs mean.
const rulerLegend = "▼ now  ┬ kept  ▒ headroom  ◆ lit  ◇ off  □ ■ card"

func (t *page) longestName() int {
	n := 0
	for i := range t.v.lamps {
		n = max(n, columns(t.v.lamps[i].name))
	}
	return n
}

func (t *page) row(l *lamp, x, y, width, name, ruler, cells, perStop int) {
	st := strong
	if !l.lit {
		st = quiet
	}
	label := l.name
	if l.picked {
		label = "› " + label
	}
	t.put(x, y, label, name, st)
	if cells > 0 {
		t.put(ruler, y, rulerCells(l, perStop), cells, plain)
		if l.lit {
			t.tintNeedle(l, ruler, y, cells)
		}
	}
	t.put(ruler+cells+1, y, padLeft(l.figure(), 7), max(x+width-(ruler+cells+1), 0), st)
}

// tintNeedle gives the needle on a ruler its colour.
func (t *page) tintNeedle(_ *lamp, ruler, y, cells int) {
	for i := range cells {
		if c := t.at(ruler+i, y); c != nil && (c.text == "▼" || c.text == "◂" || c.text == "▸") {
			c.style = t.accent()
		}
	}
}

func padLeft(text string, n int) string {
	return strings.Repeat(" ", max(n-columns(text), 0)) + text
}

// swatchWords is the colour of a source, asked and reached, in blocks where there
// is colour, and in words; below says that the next line is free for more of them.
func (t *page) swatchWords(l *lamp, x, y, width int, st style, below bool) {
	end := x + width
	asked, reached := t.pal.swatch(l.asked, t.v.white), t.pal.swatch(l.light, t.v.white)
	if t.colour {
		if asked != "" {
			t.put(x, y, "█", min(1, width), style{ink: asked})
		}
		if reached != "" {
			t.put(x+1, y, "█", min(1, width-1), style{ink: reached})
		}
		x += 3
	}
	parts := nonEmpty(l.colourWords())
	if flags := strings.Join(l.flags, ", "); flags != "" {
		parts = append(parts, flags)
	}
	words := strings.Join(append(parts, nonEmpty(l.lightsWords())...), " · ")
	if below && columns(words) > end-x {
		t.put(x, y+1, l.lightsWords(), max(end-x, 0), st)
		words = strings.Join(parts, " · ")
	} else if columns(words) > end-x && l.lights != "" { // the side in fewer words, figures before names
		if len(parts) > 0 {
			parts[0], _, _ = strings.Cut(parts[0], ", xy")
		}
		words = strings.Join(append(parts, "on "+l.lights), " · ")
	}
	t.put(x, y, words, max(end-x, 0), st)
}

// rulerCells is the exposure ruler of a source: ▼ now, ┬ where it was kept, ▒ the
// headroom, │ the key.
func rulerCells(l *lamp, perStop int) string {
	n := int(rulerTo-rulerFrom)*perStop + 1
	out := make([]rune, n)
	for i := range out {
		out[i] = '·'
		if i%perStop == 0 {
			out[i] = '╵'
		}
	}
	key := int(-rulerFrom) * perStop
	out[key] = '│'
	at := func(stops float64) int { return int(math.Round((stops - rulerFrom) * float64(perStop))) }
	g := l.gauge
	now := finite(g.Now) == g.Now
	if now && g.Most > g.Now && finite(g.Most) == g.Most {
		for i := max(at(g.Now)+1, 0); i <= min(at(g.Most), n-1); i++ {
			out[i] = '▒'
		}
	}
	if k := g.Kept; finite(k) == k && k >= rulerFrom && k <= rulerTo {
		out[at(k)] = '┬'
	}
	switch {
	case !now:
	case g.Now < rulerFrom:
		out[0] = '◂'
	case g.Now > rulerTo:
		out[n-1] = '▸'
	default:
		out[at(g.Now)] = '▼'
	}
	return string(out)
}

// scaleCells is the head of the rulers.
func scaleCells(perStop int) string {
	n := int(rulerTo-rulerFrom)*perStop + 1
	out := []rune(strings.Repeat(" ", n))
	put := func(stops float64, text string, back int) {
		copy(out[max(int(stops-rulerFrom)*perStop-back, 0):], []rune(text))
	}
	put(rulerFrom, minus+"6", 0)
	put(-4, minus+"4", 1)
	put(-2, minus+"2", 1)
	put(0, "key", 1)
	put(rulerTo, "+2", 1)
	return string(out)
}
