package dial

import (
	"fmt"
	"io"
	"math"
	"strings"

	"limn/cue"
)

// SVG writes the picture of a snapshot of a shoot. Only writing can fail.
func SVG(w io.Writer, shoot *cue.Shoot, snap *cue.Snapshot, opt Options) error {
	opt = opt.filled()
	v := newView(shoot, snap)
	c := &canvas{pal: paletteOf(opt.Theme), id: opt.ID}
	width, height := 0.0, 0.0
	switch {
	case opt.Part == Plan:
		width, height = c.dialAlone(v, opt)
	case opt.narrow():
		width, height = c.narrowPage(v, opt)
	default:
		width, height = c.widePage(v, opt)
	}
	return c.writeTo(w, opt, width, height, v.title(), v.description())
}

// writeTo writes the picture as a whole; title and description are read out in its place.
func (c *canvas) writeTo(w io.Writer, opt Options, width, height float64, title, desc string) error {
	var b strings.Builder
	height = math.Ceil(height)
	scale := float64(opt.Width) / width
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%d" height="%s" role="img" aria-labelledby="%s-title %s-desc" font-family="system-ui, sans-serif" class="limn %s">`+"\n",
		px(width), px(height), opt.Width, px(math.Round(height*scale)), escape(c.id), escape(c.id), escape(string(opt.Theme)))
	fmt.Fprintf(&b, "<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", escape(c.id), escape(title), escape(c.id), escape(desc))
	fmt.Fprintf(&b, "<rect class=\"ground\" width=\"%s\" height=\"%s\" fill=\"%s\"/>\n", px(width), px(height), c.pal.ground)
	if _, err := io.WriteString(w, b.String()); err != nil {
		return err
	}
	if _, err := w.Write(c.buf.Bytes()); err != nil {
		return err
	}
	_, err := io.WriteString(w, "</svg>\n")
	return err
}

// title is the picture in one line.
func (v *view) title() string {
	name := v.cue
	if name == "" {
		name = "no cue yet"
	}
	if s := clean(v.shoot.Subject.Name); s != "" {
		return s + ": " + name + ", " + v.state.word
	}
	return name + ", " + v.state.word
}

// description is the picture in words, for those who do not see it.
func (v *view) description() string {
	var parts []string
	parts = append(parts, "The turntable from above, "+v.where)
	if v.state.detail != "" {
		parts = append(parts, v.state.word+", "+v.state.detail)
	}
	if len(v.over) > 0 {
		parts = append(parts, strings.Join(v.over, ", "))
	}
	for i := range v.lamps {
		l := &v.lamps[i]
		if i >= maxDescribed {
			parts = append(parts, fmt.Sprintf("and %d more sources", len(v.lamps)-i))
			break
		}
		words := l.name + " " + l.words()
		if l.lit && l.lights != "" {
			words += ", lights: " + l.lights
		}
		parts = append(parts, words)
	}
	for i := range v.cards {
		if i >= maxDescribed {
			break
		}
		parts = append(parts, v.cards[i].name+": "+v.cards[i].description)
	}
	parts = append(parts, v.tile.label+": "+v.tile.head)
	return strings.Join(parts, ". ") + "."
}

// maxDescribed is how many sources and cards a description names.
const maxDescribed = 40

// words are level and colour of a source.
func (l *lamp) words() string {
	switch {
	case l.stops == "" || l.stops == "off":
		return "off"
	case l.stops == "key":
		return "key, " + l.colour
	case l.stops == "?":
		if l.level != "" {
			return l.level + ", " + l.colour
		}
		return l.colour
	}
	return "key " + l.stops + ", " + l.colour
}

// Margins and columns of the pages, pixels.
const (
	margin      = 28.0
	planWidth   = 664.0
	columnLeft  = 716.0
	columnWidth = WideWidth - margin - columnLeft
	headHeight  = 96.0
	stripHeight = 136.0
)

func (c *canvas) widePage(v *view, opt Options) (width, height float64) {
	width = WideWidth
	c.head(v, box{margin, 0, width - 2*margin, headHeight}, 34)
	rows := c.rulers(v, box{columnLeft, headHeight, columnWidth, 0}, wideRuler)
	high := 2*widePlan.radius + 74
	y := max(headHeight+high, rows+18)
	c.plan(v, box{margin, headHeight + min((y-headHeight-high)/3, 60), planWidth, high}, widePlan, opt.Frame)
	c.strip(v, box{margin, y, planWidth, stripHeight}, 7)
	y = max(c.tile(v, box{columnLeft, y, columnWidth, 0}, 25), y+stripHeight+16) + 6
	y = c.foot(v, box{margin, y, width - 2*margin, 0})
	return width, y + 14
}

func (c *canvas) narrowPage(v *view, opt Options) (width, height float64) {
	const side = 16.0
	width = NarrowWidth
	inner := width - 2*side
	c.head(v, box{side, 0, inner, 84}, 27)
	y := c.tile(v, box{side, 96, inner, 0}, 21) + 8
	c.plan(v, box{side, y, inner, 0}, narrowPlan, opt.Frame)
	y += 2*narrowPlan.radius + 70
	y = c.strips(v, box{side, y, inner, 0}, 4)
	y = c.rulers(v, box{side, y + 6, inner, 0}, narrowRuler)
	y = c.foot(v, box{side, y + 16, inner, 0})
	return width, y + 14
}

// dialAlone is the plan without anything beside it.
func (c *canvas) dialAlone(v *view, opt Options) (width, height float64) {
	size, width := widePlan, planWidth
	if opt.narrow() {
		size, width = narrowPlan, NarrowWidth-16.0
	}
	height = 2*size.radius + 26 + 48
	c.plan(v, box{8, 0, width - 16, height}, size, opt.Frame)
	return width, height
}

// head is what stands, and what the light is doing.
func (c *canvas) head(v *view, b box, size float64) {
	pal := c.pal
	name := v.cue
	if name == "" {
		name = "no cue yet"
	}
	wordSize := size * 0.82
	stateWidth := textWidth(v.state.word, wordSize, true) + 52
	base := b.y + size + 20
	c.text(script{class: "cue", fill: pal.text, size: size, bold: true}, point{b.x, base}, name, b.w-stateWidth-16)
	where := v.where
	if s := clean(v.shoot.Subject.Name); s != "" {
		where = s + ", " + where
	}
	detail := v.state.detail
	if len(v.over) > 0 {
		detail = strings.Join(append(append([]string{}, nonEmpty(detail)...), v.over...), " · ")
	}
	small := max(size*0.44, 12.5)
	detailWidth := min(textWidth(detail, small, false)+4, b.w*0.58)
	c.text(script{class: "dim", fill: pal.dim, size: small}, point{b.x, base + small + 9}, where, b.w-detailWidth-14)
	c.text(script{class: "detail", fill: pal.dim, size: small, anchor: atEnd}, point{b.right(), base + small + 9}, detail, detailWidth)
	c.text(script{class: "state", fill: pal.text, size: wordSize, bold: true, anchor: atEnd}, point{b.right(), base}, v.state.word, 0)
	c.sign(v.state.shape, point{b.right() - textWidth(v.state.word, wordSize, true) - 22, base - wordSize*0.36}, wordSize*0.42)
}

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// sign is the shape of a state.
func (c *canvas) sign(s shape, at point, r float64) {
	pal := c.pal
	switch s {
	case ringShape:
		c.circle(paint{class: "sign", stroke: pal.text, width: 2}, at, r)
	case handShape:
		c.path(paint{class: "sign", fill: pal.accent, stroke: pal.accent, width: 2, round: true},
			[]point{at.add(point{0, -r}), at.add(point{r, r * 0.8}), at.add(point{-r, r * 0.8})}, true)
	case halfShape:
		c.circle(paint{class: "sign", stroke: pal.text, width: 2}, at, r)
		half := make([]point, 0, 13)
		for i := 0; i <= 12; i++ {
			sin, cos := math.Sincos(math.Pi * float64(i) / 12)
			half = append(half, at.add(point{sin * r, -cos * r}))
		}
		c.path(paint{class: "sign", fill: pal.text}, half, true)
	case discShape:
		c.circle(paint{class: "sign", fill: pal.text}, at, r)
	case squareShape:
		c.rect(paint{class: "sign", fill: pal.text}, at.add(point{-r * 0.85, -r * 0.85}), r*1.7, r*1.7, 1)
	}
}

// Sizes of a tile, pixels.
const (
	tilePad   = 16.0
	tileSmall = 13.5
)

// tileLines is a tile broken into lines.
func (v *view) tileLines(width, size float64) (head, more []string) {
	head = lines(v.tile.head, size, true, width-2*tilePad, 2)
	for i, m := range v.tile.more {
		broken := lines(m, tileSmall, false, width-2*tilePad, 2)
		if left := len(v.tile.more) - i; len(more)+len(broken) > maxTileLines && left > 0 {
			return head, append(more, fmt.Sprintf("and %d more", left))
		}
		more = append(more, broken...)
	}
	return head, more
}

// maxTileLines is the most lines below the head of a tile.
const maxTileLines = 7

func tileHeight(head, more []string, size float64) float64 {
	return 2*tilePad + 12 + size*1.18*float64(len(head)) + tileSmall*1.4*float64(len(more)) + 6
}

// tile is the one thing that comes next, at least so high; it says where it ends.
func (c *canvas) tile(v *view, b box, size float64) (bottom float64) {
	pal := c.pal
	head, more := v.tileLines(b.w, size)
	b.h = max(b.h, tileHeight(head, more, size))
	c.group(` class="next"`, func() {
		c.rect(paint{class: "tile", fill: pal.raised, stroke: pal.accent, width: 1.4}, point{b.x, b.y}, b.w, b.h, 10)
		y := b.y + tilePad + 9
		c.text(script{class: "accent", fill: pal.accent, size: 12.5, bold: true}, point{b.x + tilePad, y}, v.tile.label, b.w-2*tilePad)
		y += size + 6
		for _, line := range head {
			c.text(script{class: "head", fill: pal.text, size: size, bold: true}, point{b.x + tilePad, y}, line, b.w-2*tilePad)
			y += size * 1.18
		}
		y += tileSmall - size + 8
		for _, line := range more {
			c.text(script{class: "more", fill: pal.text, size: tileSmall}, point{b.x + tilePad, y}, line, b.w-2*tilePad)
			y += tileSmall * 1.4
		}
	})
	return b.bottom()
}

// foot is what stays up: warnings, what has no place, the latest word.
func (c *canvas) foot(v *view, b box) (bottom float64) {
	pal := c.pal
	y := b.y
	line := func(class, fill, text string) {
		for _, l := range lines(text, 13, false, b.w, 2) {
			y += 18
			c.text(script{class: class, fill: fill, size: 13}, point{b.x, y}, l, b.w)
		}
	}
	for i, w := range v.snap.Warnings {
		if i == maxFoot {
			line("warning", pal.text, fmt.Sprintf("and %d more warnings", len(v.snap.Warnings)-i))
			break
		}
		line("warning", pal.text, "! "+clean(w))
	}
	if n := len(v.snap.Notices); n > 0 {
		line("notice", pal.dim, v.snap.Notices[n-1])
	}
	if aside := v.aside(); aside != "" {
		line("dim", pal.dim, aside)
	}
	return y
}

// maxFoot is the most warnings that are written out.
const maxFoot = 6

// aside lists what the plan cannot show, and what it drew by guess.
func (v *view) aside() string {
	var none, sizes []string
	add := func(s *stand, name string) {
		switch {
		case !s.place.Known:
			none = append(none, name)
		case s.guessed:
			sizes = append(sizes, name)
		}
	}
	for i := range v.lamps {
		add(&v.lamps[i].stand, v.lamps[i].name)
	}
	for i := range v.cards {
		add(&v.cards[i].stand, v.cards[i].name)
	}
	var parts []string
	if len(none) > 0 {
		parts = append(parts, "not on the plan, for want of a place: "+cue.ShortList(none))
	}
	if len(sizes) > 0 {
		parts = append(parts, "size not told, drawn by guess: "+cue.ShortList(sizes))
	}
	return strings.Join(parts, "; ")
}
