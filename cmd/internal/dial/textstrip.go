package dial

import (
	"fmt"
	"math"
)

// pointers are where a bow points, by eighths of a turn from the camera's side on,
// seen from above with the camera below.
var pointers = [8]string{"↓", "↘", "→", "↗", "↑", "↖", "←", "↙"}

func pointer(azimuth float64) string {
	e := int(math.Round(math.Mod(azimuth, 360)/45)) % 8
	return pointers[(e+8)%8]
}

// strip is the angles: as small hulls where there are five lines, else as arrows.
func (t *page) strip(x, y, width, lines int) {
	v := t.v
	if len(v.angles) == 0 || lines <= 0 {
		return
	}
	if lines < 5 {
		t.arrows(x, y, width)
		return
	}
	const least = 13
	from, to := v.window(max(width/least, 1))
	wide := min(width/(to-from), 20)
	h := hullOf(&v.shoot.Subject)
	for i := from; i < to; i++ {
		a := &v.angles[i]
		left := x + wide*(i-from)
		st := quiet
		word := degreesWords(a.azimuth)
		switch {
		case a.now:
			st, word = strong, word+" now"
		case a.due:
			st, word = t.accent(), word+" next"
		}
		d := newDots(left, y, wide-1, 3)
		p := projection{centre: point{float64(wide - 1), 6}, scale: 11.5 / max(h.length, h.width)}
		out := p.outline(h.outline, a.azimuth)
		d.outline(out, true, st)
		if a.now {
			for _, q := range out {
				d.line(q, p.centre, st)
			}
		}
		d.onto(t.grid)
		bx, by := d.cellOf(p.centre.toward(out[0], 1.25))
		if t.blank(bx, by, 1) {
			t.put(bx, min(max(by, y), y+2), pointer(a.azimuth), 1, st)
		}
		t.put(left+max((wide-1-columns(word))/2, 0), y+3, word, wide-1, st)
		t.put(left+max((wide-1-columns(a.name))/2, 0), y+4, a.name, wide-1, quiet)
	}
}

// arrows is the strip in one line.
func (t *page) arrows(x, y, width int) {
	v := t.v
	type item struct {
		text string
		st   style
	}
	of := func(i int) item {
		a := &v.angles[i]
		text := pointer(a.azimuth) + " " + degreesWords(a.azimuth)
		switch {
		case a.now:
			return item{text + " now", strong}
		case a.due:
			return item{text + " next", t.accent()}
		}
		return item{text, quiet}
	}
	for most := len(v.angles); most > 0; most-- {
		from, to := v.window(most)
		total := 0
		for i := from; i < to; i++ {
			total += columns(of(i).text) + 3
		}
		more := ""
		if n := len(v.angles) - most; n > 0 {
			more = fmt.Sprintf("and %d more", n)
			total += columns(more) + 3
		}
		if total-3 > width && most > 1 {
			continue
		}
		end := x + width
		for i := from; i < to; i++ {
			it := of(i)
			x = t.put(x, y, it.text, max(end-x, 0), it.st) + 3
		}
		t.put(x, y, more, max(end-x, 0), quiet)
		return
	}
}
