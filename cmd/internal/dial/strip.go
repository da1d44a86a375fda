package dial

import (
	"fmt"
)

// strip is the angles as small hulls, each as the camera's plan shows it there: at
// most so many, around the one that stands.
func (c *canvas) strip(v *view, b box, most int) {
	from, to := v.window(most)
	if from == to {
		return
	}
	wide := b.w / float64(max(to-from, min(most, 5)))
	for i := from; i < to; i++ {
		c.silhouette(v, &v.angles[i], box{b.x + wide*float64(i-from), b.y, wide, b.h})
	}
	s := script{class: "dim", fill: c.pal.dim, size: 11.5}
	if from > 0 {
		c.text(s, point{b.x, b.bottom() + 10}, fmt.Sprintf("%d more before", from), b.w/2)
	}
	if n := len(v.angles) - to; n > 0 {
		s.anchor = atEnd
		c.text(s, point{b.right(), b.bottom() + 10}, fmt.Sprintf("%d more after", n), b.w/2)
	}
}

// strips is the strip in several lines.
func (c *canvas) strips(v *view, b box, perLine int) (bottom float64) {
	from, to := v.window(perLine * 3)
	wide := b.w / float64(perLine)
	y := b.y
	for i := from; i < to; i++ {
		n := i - from
		y = b.y + float64(n/perLine)*stripHeight
		c.silhouette(v, &v.angles[i], box{b.x + wide*float64(n%perLine), y, wide, stripHeight})
	}
	if to > from {
		y += stripHeight
	}
	if n := len(v.angles) - (to - from); n > 0 {
		c.text(script{class: "dim", fill: c.pal.dim, size: 11.5}, point{b.x, y + 6}, fmt.Sprintf("and %d more angles", n), b.w)
		y += 16
	}
	return y
}

// window is which angles are shown, around the one that stands or comes next.
func (v *view) window(most int) (from, to int) {
	n := len(v.angles)
	if n <= most {
		return 0, n
	}
	middle := 0
	for i := range v.angles {
		if v.angles[i].now {
			middle = i
			break
		}
		if v.angles[i].due {
			middle = i
		}
	}
	from = min(max(middle-most/2, 0), n-most)
	return from, from + most
}

func (c *canvas) silhouette(v *view, a *angle, b box) {
	pal := c.pal
	h := hullOf(&v.shoot.Subject)
	size := min(b.w-8, 66)
	p := projection{centre: point{b.x + b.w/2, b.y + 22 + size/2}, scale: size / max(h.length, h.width)}
	word, fill := "", pal.dim
	body := paint{class: "silhouette", fill: pal.faint, stroke: pal.line, width: 1.2, round: true}
	switch {
	case a.now:
		word, fill = "now", pal.text
		body.fill, body.stroke, body.width = pal.text, pal.text, 1.6
	case a.due:
		word, fill = "next", pal.accent
		if v.turning {
			word = "turn here"
		}
		body.fill, body.stroke, body.width, body.dash = pal.ground, pal.accent, 1.8, "5 3"
	}
	c.group(fmt.Sprintf(` class="angle" data-angle="%d" data-at="%s"`, a.index, px(a.azimuth)), func() {
		c.text(script{class: "when", fill: fill, size: 12, bold: true, anchor: atMiddle}, point{p.centre.x, b.y + 12}, word, b.w)
		c.path(body, p.outline(h.outline, a.azimuth), true)
		tip := p.outline(h.outline, a.azimuth)[0]
		dot := pal.accent
		if !h.pointed || a.now {
			c.circle(paint{class: "bow", fill: dot}, p.centre.toward(tip, 0.82), 3.4)
		} else {
			c.circle(paint{class: "bow", fill: dot}, p.centre.toward(tip, 0.82), 2.6)
		}
		c.text(script{class: "at", fill: pal.text, size: 13, bold: a.now || a.due, anchor: atMiddle}, point{p.centre.x, b.y + 22 + size + 19}, degreesWords(a.azimuth), b.w-4)
		y := b.y + 22 + size + 33
		for _, line := range lines(a.name, 10.5, false, b.w-6, 2) {
			c.text(script{class: "dim", fill: pal.dim, size: 10.5, anchor: atMiddle}, point{p.centre.x, y}, line, b.w-4)
			y += 12.5
		}
	})
}
