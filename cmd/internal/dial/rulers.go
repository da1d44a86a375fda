package dial

import (
	"fmt"
	"strings"
)

// The exposure ruler, in stops against the key.
const (
	rulerFrom = -6.0
	rulerTo   = 2.0
)

// rulerSize is how a column of rulers is laid out, pixels.
type rulerSize struct {
	row, swatch float64
	name, small float64 // sizes of type
	rows        int     // at most
	compact     float64 // height of a row where there are many
	compactFrom int
}

var (
	wideRuler   = rulerSize{row: 67, swatch: 36, name: 15.5, small: 12.5, rows: 64, compact: 60, compactFrom: 10}
	narrowRuler = rulerSize{row: 68, swatch: 36, name: 15, small: 12, rows: 64, compact: 60, compactFrom: 12}
)

// scale is where stops lie on the picture.
type scale struct{ left, width float64 }

func (s scale) at(stops float64) float64 {
	return s.left + s.width*(min(max(stops, rulerFrom), rulerTo)-rulerFrom)/(rulerTo-rulerFrom)
}

// rulers is one row a source: swatch, name, level and colour, exposure ruler.
func (c *canvas) rulers(v *view, b box, size rulerSize) (bottom float64) {
	pal := c.pal
	shown := v.shownLamps(size.rows)
	row := size.row
	if len(shown) >= size.compactFrom {
		row = size.compact
	}
	s := scale{b.x + size.swatch + 14, b.w - size.swatch - 14 - 62}
	top := b.y + 24
	end := top + row*float64(len(shown))
	for stop := rulerFrom; stop <= rulerTo; stop++ {
		words := fmt.Sprintf("%+.0f", stop)
		bold := false
		fill := pal.dim
		if stop == 0 {
			words, bold, fill = "key", true, pal.text
		}
		words = strings.Replace(words, "-", minus, 1)
		c.text(script{class: "scale", fill: fill, size: 11.5, bold: bold, anchor: atMiddle}, point{s.at(stop), b.y + 13}, words, 0)
		p := paint{class: "faint", stroke: pal.faint}
		if stop == 0 {
			p = paint{class: "key", stroke: pal.line, width: 1.2}
		}
		if len(shown) > 0 {
			c.line(p, point{s.at(stop), b.y + 19}, point{s.at(stop), end - 6})
		}
	}
	stripes := c.stripes(pal.line, 4.5, 1.3)
	for i, k := range shown {
		c.rulerRow(v, &v.lamps[k], box{b.x, top + row*float64(i), b.w, row}, size, s, stripes)
	}
	y := end + 8
	if n := len(v.lamps) - len(shown); n > 0 {
		c.text(script{class: "dim", fill: pal.dim, size: size.small}, point{b.x, y + 2}, fmt.Sprintf("and %d more sources", n), b.w)
		y += 18
	}
	return c.legend(b, y, s, stripes)
}

// legend says what the marks of a ruler are.
func (c *canvas) legend(b box, y float64, s scale, stripes string) (bottom float64) {
	pal := c.pal
	const size = 11.5
	x := s.left
	put := func(words string, mark func(at point)) {
		mark(point{x, y - 4})
		x += 15
		c.text(script{class: "dim", fill: pal.dim, size: size}, point{x, y}, words, b.right()-x)
		x += textWidth(words, size, false) + 16
	}
	put("now", func(at point) { c.needle(at.add(point{4, 4})) })
	put("kept", func(at point) { c.keptTick(at.add(point{4, -6})) })
	put("headroom", func(at point) {
		c.rect(paint{class: "headroom", fill: stripes}, at.add(point{-4, -4}), 14, 8, 0)
	})
	put("asked | reached", func(at point) { c.swatch(point{at.x - 4, at.y - 5}, 13, 10, pal.dim, pal.faint, 2) })
	return y + 6
}

// shownLamps are the sources that have rows: all, or where there are too many the
// lit ones first.
func (v *view) shownLamps(most int) []int {
	var out, dark []int
	for i := range v.lamps {
		if v.lamps[i].lit || len(v.lamps) <= most {
			out = append(out, i)
		} else {
			dark = append(dark, i)
		}
	}
	out = append(out, dark...)
	return out[:min(len(out), most)]
}

func (c *canvas) rulerRow(v *view, l *lamp, b box, size rulerSize, s scale, stripes string) {
	pal := c.pal
	c.group(fmt.Sprintf(` class="row" data-source="%d"`, l.index), func() {
		asked, reached := pal.swatch(l.asked, v.white), pal.swatch(l.light, v.white)
		if !l.lit && reached == "" {
			reached = pal.ground
		}
		if asked == "" {
			asked = pal.ground
		}
		if l.picked {
			c.rect(paint{class: "picked", fill: pal.accent}, point{b.x - 9, b.y + 2}, 4, b.h-12, 2)
		}
		c.swatch(point{b.x, b.y + 4}, size.swatch, size.swatch, asked, reached, 6)
		if !l.lit {
			c.unlit(point{b.x, b.y + 4}, size.swatch)
		}
		name := script{class: "name", fill: pal.text, size: size.name, bold: true, halo: pal.ground}
		stopsWide := textWidth("−1 2/3", size.name+2, true)
		flags, room := strings.Join(l.flags, ", "), s.width-8
		if flags != "" {
			room = s.width * 0.55
		}
		c.text(name, point{s.left, b.y + 15}, l.name, room)
		used := min(textWidth(l.name, size.name, true), room)
		c.text(script{class: "flag", fill: pal.accent, size: size.small, halo: pal.ground}, point{s.left + used + 10, b.y + 15}, flags, b.right()-stopsWide-12-(s.left+used+10))
		level := l.figure()
		fill := pal.text
		if level == "off" {
			fill = pal.dim
		}
		c.text(script{class: "level", fill: fill, size: size.name + 2, bold: true, anchor: atEnd}, point{b.right(), b.y + 16}, level, b.w*0.3)
		aside := l.lux
		if l.level != "" && l.level != level {
			aside = l.level
		} else if aside == level {
			aside = ""
		}
		c.text(script{class: "dim", fill: pal.dim, size: size.small, anchor: atEnd}, point{b.right(), b.y + 33}, aside, 100)
		c.text(script{class: "dim", fill: pal.dim, size: size.small, halo: pal.ground}, point{s.left, b.y + 32}, l.rowWords(), b.right()-textWidth(aside, size.small, false)-10-s.left)
		c.ruler(l, b.y+49, s, stripes)
	})
}

// colourWords is the colour of a source, and what comes out instead; "" for what is
// off.
func (l *lamp) colourWords() string {
	switch {
	case !l.lit && (l.stops == "off" || l.colour == "" || l.colour == noLight):
		return ""
	case l.miss != "":
		return l.colour + ", gives " + l.miss
	}
	return l.colour
}

// lightsWords is what a source lights.
func (l *lamp) lightsWords() string {
	if l.lights == "" {
		return ""
	}
	return "lights: " + l.lights
}

// rowWords are colour and side of a source.
func (l *lamp) rowWords() string {
	return strings.Join(append(nonEmpty(l.colourWords()), nonEmpty(l.lightsWords())...), " · ")
}

// ruler is the ruler of one source: its line with ticks in thirds, the headroom,
// where it was kept, and the needle.
func (c *canvas) ruler(l *lamp, y float64, s scale, stripes string) {
	pal := c.pal
	g := l.gauge
	now := finite(g.Now) == g.Now
	if now && g.Most > g.Now && g.Now < rulerTo && finite(g.Most) == g.Most {
		c.rect(paint{class: "headroom", fill: stripes}, point{s.at(g.Now), y - 7}, s.at(g.Most)-s.at(g.Now), 7, 0)
		if g.Most <= rulerTo {
			c.line(paint{class: "most", stroke: pal.line, width: 1.4}, point{s.at(g.Most), y - 8}, point{s.at(g.Most), y})
		}
	}
	c.line(paint{class: "line", stroke: pal.line}, point{s.left, y}, point{s.left + s.width, y})
	for i := 0; i <= int(rulerTo-rulerFrom)*3; i++ {
		long := 2.5
		if i%3 == 0 {
			long = 5
		}
		x := s.at(rulerFrom + float64(i)/3)
		c.line(paint{class: "line", stroke: pal.line, width: 0.8}, point{x, y}, point{x, y + long})
	}
	if finite(g.Kept) == g.Kept && g.Kept >= rulerFrom && g.Kept <= rulerTo {
		c.keptTick(point{s.at(g.Kept), y})
	}
	switch {
	case !now:
	case g.Now < rulerFrom:
		c.path(paint{class: "needle", fill: pal.accent}, []point{{s.left - 8, y}, {s.left, y - 5}, {s.left, y + 5}}, true)
	case g.Now > rulerTo:
		x := s.left + s.width
		c.path(paint{class: "needle", fill: pal.accent}, []point{{x + 8, y}, {x, y - 5}, {x, y + 5}}, true)
	default:
		c.needle(point{s.at(g.Now), y})
	}
}

// needle points at a place on a ruler from above.
func (c *canvas) needle(at point) {
	c.path(paint{class: "needle", fill: c.pal.accent, stroke: c.pal.ground, width: 1, round: true}, []point{at, at.add(point{-5.5, -11}), at.add(point{5.5, -11})}, true)
}

// keptTick marks a place on a ruler from below.
func (c *canvas) keptTick(at point) {
	c.line(paint{class: "kept", stroke: c.pal.text, width: 2}, at, at.add(point{0, 9}))
	c.line(paint{class: "kept", stroke: c.pal.text, width: 2}, at.add(point{-3.5, 9}), at.add(point{3.5, 9}))
}

// unlit strikes a swatch through: on paper white light and none look alike.
func (c *canvas) unlit(at point, size float64) {
	c.line(paint{class: "unlit", stroke: c.pal.line, width: 1.2}, at.add(point{4, size - 4}), at.add(point{size - 4, 4}))
}

// swatch is a light's colour in two halves: asked, and reached.
func (c *canvas) swatch(at point, width, height float64, asked, reached string, corner float64) {
	half := width / 2
	r := min(corner, half, height/2)
	top, bottom := at.y, at.y+height
	c.putf("<path class=\"asked\" fill=\"%s\" d=\"M%s %sH%sV%sH%sQ%s %s %s %sV%sQ%s %s %s %sZ\"/>\n", asked,
		px(at.x+r), px(top), px(at.x+half), px(bottom), px(at.x+r), px(at.x), px(bottom), px(at.x), px(bottom-r), px(top+r), px(at.x), px(top), px(at.x+r), px(top))
	right := at.x + width
	c.putf("<path class=\"reached\" fill=\"%s\" d=\"M%s %sH%sQ%s %s %s %sV%sQ%s %s %s %sH%sZ\"/>\n", reached,
		px(at.x+half), px(top), px(right-r), px(right), px(top), px(right), px(top+r), px(bottom-r), px(right), px(bottom), px(right-r), px(bottom), px(at.x+half))
	c.rect(paint{class: "edge", stroke: c.pal.line}, at, width, height, corner)
	c.line(paint{class: "edge", stroke: c.pal.line, width: 0.8}, point{at.x + half, top}, point{at.x + half, bottom})
}
