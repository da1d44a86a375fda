package dial

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"strconv"
)

// canvas collects the elements of one picture. Coordinates are in pixels, y down.
type canvas struct {
	buf  bytes.Buffer
	pal  *palette
	id   string // what every id begins with
	defs int    // given out so far
}

func (c *canvas) putf(format string, args ...any) { fmt.Fprintf(&c.buf, format, args...) }

// px is a coordinate to a tenth of a pixel; what is no number is 0.
func px(v float64) string { return string(appendPx(nil, v)) }

func appendPx(dst []byte, v float64) []byte {
	r := math.Round(v * 10)
	if r == 0 || math.IsNaN(r) || math.IsInf(r, 0) {
		return append(dst, '0')
	}
	return strconv.AppendFloat(dst, r/10, 'f', -1, 64)
}

// escape makes cleaned text safe inside an element or an attribute.
func escape(text string) string { return html.EscapeString(clean(text)) }

// point is a place on the canvas.
type point struct{ x, y float64 }

func (p point) add(q point) point               { return point{p.x + q.x, p.y + q.y} }
func (p point) sub(q point) point               { return point{p.x - q.x, p.y - q.y} }
func (p point) mul(k float64) point             { return point{p.x * k, p.y * k} }
func (p point) toward(q point, k float64) point { return p.add(q.sub(p).mul(k)) }
func (p point) len() float64                    { return math.Hypot(p.x, p.y) }

// unit is the direction of p; down for that of nothing.
func (p point) unit() point {
	if l := p.len(); l > 1e-9 {
		return p.mul(1 / l)
	}
	return point{0, 1}
}

// paint is how something is drawn: a class for whoever dresses the picture anew,
// and the looks it has until then.
type paint struct {
	class  string
	fill   string // "" = none
	stroke string // "" = none
	width  float64
	dash   string
	alpha  float64 // of fill; 0 = 1
	faint  float64 // opacity of the stroke; 0 = 1
	round  bool
}

// attr writes an attribute whose value needs no escaping.
func (c *canvas) attr(name, value string) {
	c.buf.WriteByte(' ')
	c.buf.WriteString(name)
	c.buf.WriteString(`="`)
	c.buf.WriteString(value)
	c.buf.WriteByte('"')
}

// num writes an attribute that is a coordinate.
func (c *canvas) num(name string, v float64) {
	c.buf.WriteByte(' ')
	c.buf.WriteString(name)
	c.buf.WriteString(`="`)
	c.coordinate(v)
	c.buf.WriteByte('"')
}

func (c *canvas) coordinate(v float64) {
	var digits [24]byte
	c.buf.Write(appendPx(digits[:0], v))
}

// open begins an element, its paint first.
func (c *canvas) open(element string, p *paint) {
	c.buf.WriteByte('<')
	c.buf.WriteString(element)
	if p.class != "" {
		c.attr("class", p.class)
	}
	if p.fill == "" {
		c.attr("fill", "none")
	} else {
		c.attr("fill", p.fill)
		if p.alpha > 0 && p.alpha < 1 {
			c.attr("fill-opacity", opacity(p.alpha))
		}
	}
	if p.stroke == "" {
		return
	}
	c.attr("stroke", p.stroke)
	if p.width > 0 && p.width != 1 {
		c.num("stroke-width", p.width)
	}
	if p.faint > 0 && p.faint < 1 {
		c.attr("stroke-opacity", opacity(p.faint))
	}
	if p.dash != "" {
		c.attr("stroke-dasharray", p.dash)
	}
	if p.round {
		c.buf.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
	}
}

func opacity(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

const shut = "/>\n"

func (c *canvas) line(p paint, a, b point) {
	c.open("line", &p)
	c.num("x1", a.x)
	c.num("y1", a.y)
	c.num("x2", b.x)
	c.num("y2", b.y)
	c.buf.WriteString(shut)
}

func (c *canvas) rect(p paint, at point, width, height, corner float64) {
	c.open("rect", &p)
	c.num("x", at.x)
	c.num("y", at.y)
	c.num("width", max(width, 0))
	c.num("height", max(height, 0))
	if corner > 0 {
		c.num("rx", corner)
	}
	c.buf.WriteString(shut)
}

func (c *canvas) circle(p paint, at point, radius float64) {
	c.open("circle", &p)
	c.num("cx", at.x)
	c.num("cy", at.y)
	c.num("r", max(radius, 0))
	c.buf.WriteString(shut)
}

func (c *canvas) path(p paint, points []point, closed bool) {
	c.open("path", &p)
	c.buf.WriteString(` d="`)
	for i, q := range points {
		c.buf.WriteByte("ML"[min(i, 1)])
		c.coordinate(q.x)
		c.buf.WriteByte(' ')
		c.coordinate(q.y)
	}
	if closed {
		c.buf.WriteByte('Z')
	}
	c.buf.WriteByte('"')
	c.buf.WriteString(shut)
}

// Anchors of a text.
const (
	atStart  = "start"
	atMiddle = "middle"
	atEnd    = "end"
)

// script is how a text is written.
type script struct {
	class  string
	fill   string
	size   float64
	bold   bool
	anchor string
	halo   string // a ground behind it; "" = none
}

// text writes one line, shortened to a width; 0 = as long as it is.
func (c *canvas) text(s script, at point, text string, width float64) {
	text = clean(text)
	if width < 0 {
		return // there is no room
	}
	if width > 0 {
		text = fitted(text, s.size, s.bold, width)
	}
	if text == "" {
		return
	}
	c.buf.WriteString("<text")
	if s.class != "" {
		c.attr("class", s.class)
	}
	c.num("x", at.x)
	c.num("y", at.y)
	c.num("font-size", s.size)
	c.attr("fill", s.fill)
	if s.bold {
		c.attr("font-weight", "600")
	}
	if s.anchor != "" && s.anchor != atStart {
		c.attr("text-anchor", s.anchor)
	}
	if s.halo != "" {
		c.attr("stroke", s.halo)
		c.buf.WriteString(` stroke-width="3" stroke-linejoin="round" paint-order="stroke"`)
	}
	c.buf.WriteByte('>')
	c.buf.WriteString(html.EscapeString(text))
	c.buf.WriteString("</text>\n")
}

// group draws within a group that a page can find again.
func (c *canvas) group(attributes string, draw func()) {
	c.putf("<g%s>\n", attributes)
	draw()
	c.putf("</g>\n")
}

// newID is an id that nothing else in the picture has.
func (c *canvas) newID() string {
	c.defs++
	return c.id + "-" + strconv.Itoa(c.defs)
}

// fade is paint that goes from one opacity to another along a line.
func (c *canvas) fade(hex string, from, to point, start, end float64) string {
	id := c.newID()
	c.putf("<linearGradient id=\"%s\" gradientUnits=\"userSpaceOnUse\" x1=\"%s\" y1=\"%s\" x2=\"%s\" y2=\"%s\">"+
		"<stop offset=\"0\" stop-color=\"%s\" stop-opacity=\"%.3f\"/><stop offset=\"1\" stop-color=\"%s\" stop-opacity=\"%.3f\"/></linearGradient>\n",
		id, px(from.x), px(from.y), px(to.x), px(to.y), hex, start, hex, end)
	return "url(#" + id + ")"
}

// halo is paint that fades from a middle outward.
func (c *canvas) halo(hex string, at point, radius, start float64) string {
	id := c.newID()
	c.putf("<radialGradient id=\"%s\" gradientUnits=\"userSpaceOnUse\" cx=\"%s\" cy=\"%s\" r=\"%s\">"+
		"<stop offset=\"0\" stop-color=\"%s\" stop-opacity=\"%.3f\"/><stop offset=\"0.35\" stop-color=\"%s\" stop-opacity=\"%.3f\"/><stop offset=\"1\" stop-color=\"%s\" stop-opacity=\"0\"/></radialGradient>\n",
		id, px(at.x), px(at.y), px(radius), hex, start, hex, start*0.4, hex)
	return "url(#" + id + ")"
}

// stripes is paint of slanted lines, for what is meant by shape and not by colour.
func (c *canvas) stripes(hex string, apart, width float64) string {
	id := c.newID()
	c.putf("<pattern id=\"%s\" patternUnits=\"userSpaceOnUse\" width=\"%s\" height=\"%s\" patternTransform=\"rotate(45)\">"+
		"<rect width=\"%s\" height=\"%s\" fill=\"%s\"/></pattern>\n", id, px(apart), px(apart), px(width), px(apart), hex)
	return "url(#" + id + ")"
}
