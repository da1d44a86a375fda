package dial

import (
	"fmt"
	"io"

	"limn/cue"
)

// MaxSheet is the most pictures of one sheet.
const MaxSheet = 100

// Sheet writes several pictures on one sheet, two side by side, each with its
// light and what hands have to do for it beneath. Beyond [MaxSheet] it says how
// many are left out. Only writing can fail.
func Sheet(w io.Writer, shoot *cue.Shoot, snaps []*cue.Snapshot, opt Options) error {
	opt = opt.filled()
	c := &canvas{pal: paletteOf(opt.Theme), id: opt.ID}
	shown := snaps[:min(len(snaps), MaxSheet)]
	views := make([]*view, len(shown))
	for i, s := range shown {
		views[i] = newView(shoot, s)
	}
	title := clean(shoot.Subject.Name)
	if title == "" {
		title = "the shoot"
	}
	title += ", light by light"
	words := fmt.Sprintf("%d pictures", len(snaps))
	if len(snaps) == 1 {
		words = "1 picture"
	}
	if n := len(snaps) - len(shown); n > 0 {
		words += fmt.Sprintf(", the first %d here", len(shown))
	}
	columns, width := 2, float64(WideWidth)
	side, gap, size := margin, 40.0, 28.0
	if opt.narrow() {
		columns, width, side, size = 1, 600, 16, 22
	}
	wide := (width - 2*side - gap*float64(columns-1)) / float64(columns)
	c.text(script{class: "cue", fill: c.pal.text, size: size, bold: true}, point{side, 48}, title, width*0.7)
	c.text(script{class: "dim", fill: c.pal.dim, size: 14, anchor: atEnd}, point{width - side, 48}, words, width*0.24)
	y := 76.0
	for from := 0; from < len(views); from += columns {
		bottom := y
		for i := from; i < min(from+columns, len(views)); i++ {
			b := box{side + float64(i-from)*(wide+gap), y, wide, 0}
			var before *view
			if i > 0 {
				before = views[i-1]
			}
			bottom = max(bottom, c.sheetCell(views[i], before, b, opt.Frame))
		}
		y = bottom + 26
	}
	desc := words + "."
	for i, v := range views {
		if i == maxDescribed {
			break
		}
		desc += " " + v.title() + "."
	}
	return c.writeTo(w, opt, width, y, title, desc)
}

// sheetCell is one picture of a sheet; it says where it ends. before is the one
// before it, nil for the first.
func (c *canvas) sheetCell(v, before *view, b box, frame Frame) (bottom float64) {
	pal := c.pal
	c.line(paint{class: "line", stroke: pal.line}, point{b.x, b.y}, point{b.right(), b.y})
	c.text(script{class: "cue", fill: pal.text, size: 21, bold: true}, point{b.x, b.y + 29}, v.cue, b.w*0.55)
	c.text(script{class: "dim", fill: pal.dim, size: 13, anchor: atEnd}, point{b.right(), b.y + 28}, v.where, b.w*0.42)
	c.plan(v, box{b.x, b.y + 40, b.w, 0}, sheetPlan, frame)
	y := b.y + 40 + 2*sheetPlan.radius + 88
	for _, k := range v.shownLamps(wideRuler.rows) {
		l := &v.lamps[k]
		if !l.lit {
			continue
		}
		asked, reached := pal.swatch(l.asked, v.white), pal.swatch(l.light, v.white)
		if asked == "" {
			asked = pal.ground
		}
		if reached == "" {
			reached = pal.ground
		}
		c.swatch(point{b.x, y - 11}, 22, 13, asked, reached, 3)
		s := script{class: "name", fill: pal.text, size: 13, bold: true}
		c.text(s, point{b.x + 32, y}, l.name, 126)
		s.anchor = atEnd
		c.text(s, point{b.x + 222, y}, l.figure(), 62)
		s = script{class: "dim", fill: pal.dim, size: 12.5}
		words := l.rowWords()
		if l.hand {
			words += " · by hand"
		}
		c.text(s, point{b.x + 234, y}, words, b.right()-b.x-234)
		y += 20
	}
	var from *cue.Resolved
	if before != nil {
		from = before.now
	}
	if v.now == nil {
		return y
	}
	y += 4
	for _, step := range steps(v.shoot.Hands(from, v.now)) {
		for _, line := range lines(step, 12.5, false, b.w, 2) {
			c.text(script{class: "more", fill: pal.text, size: 12.5}, point{b.x, y}, line, b.w)
			y += 17
		}
	}
	return y
}
