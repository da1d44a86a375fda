package chart

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// canvas collects the elements of one picture. Coordinates are in pixels, y down.
type canvas struct {
	buf           bytes.Buffer
	width, height float64
}

// newCanvas opens a picture. Title and description are read out in place of it.
func newCanvas(width, height float64, title, desc string) *canvas {
	c := &canvas{width: width, height: height}
	c.putf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="title desc">`+"\n",
		px(width), px(height), px(width), px(height))
	c.putf("<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", escape(title), escape(desc))
	c.putf("<style>%s</style>\n", style)
	c.putf(`<rect class="paper" width="%s" height="%s"/>`+"\n", px(width), px(height))
	return c
}

// bytes closes the picture.
func (c *canvas) bytes() []byte {
	c.buf.WriteString("</svg>\n")
	return c.buf.Bytes()
}

func (c *canvas) putf(format string, args ...any) { fmt.Fprintf(&c.buf, format, args...) }

// px is a coordinate to a hundredth of a pixel, without trailing zeros or -0.
func px(v float64) string {
	r := math.Round(v*100) / 100
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// escape makes any text safe inside an element or an attribute: markup is
// escaped, and what XML cannot hold or what hides or turns text is replaced.
func escape(text string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == 0xfffe, r == 0xffff:
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(text, string(utf8.RuneError))))
}

// point is a place on the canvas.
type point struct{ x, y float64 }

func (c *canvas) line(class string, a, b point) {
	c.putf(`<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, px(a.x), px(a.y), px(b.x), px(b.y))
}

func (c *canvas) rect(class string, at point, width, height float64) {
	c.putf(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, px(at.x), px(at.y), px(width), px(height))
}

func (c *canvas) circle(class string, at point, radius float64) {
	c.putf(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`+"\n", class, px(at.x), px(at.y), px(radius))
}

// tinted is a filled disc in a colour of its own, which is decoration: what it
// means stands beside it in words.
func (c *canvas) tinted(class, colour string, at point, radius float64) {
	c.putf(`<circle class="%s" cx="%s" cy="%s" r="%s" fill="%s"/>`+"\n", class, px(at.x), px(at.y), px(radius), colour)
}

// path draws through points, closed into an area or not.
func (c *canvas) path(class string, points []point, closed bool) {
	c.putf(`<path class="%s" d="%s"/>`+"\n", class, pathData(points, closed))
}

// stroke is an open path in a colour of its own.
func (c *canvas) stroke(class, colour string, points []point) {
	c.putf(`<path class="%s" stroke="%s" d="%s"/>`+"\n", class, colour, pathData(points, false))
}

func pathData(points []point, closed bool) string {
	var d strings.Builder
	for i, p := range points {
		d.WriteByte("ML"[min(i, 1)])
		d.WriteString(px(p.x) + " " + px(p.y))
	}
	if closed {
		d.WriteByte('Z')
	}
	return d.String()
}

// Anchors of a text.
const (
	atStart  = "start"
	atMiddle = "middle"
	atEnd    = "end"
)

func (c *canvas) text(class, anchor string, at point, text string) {
	c.putf(`<text class="%s" x="%s" y="%s"`, class, px(at.x), px(at.y))
	if anchor != atStart {
		c.putf(` text-anchor="%s"`, anchor)
	}
	c.putf(">%s</text>\n", escape(text))
}

// clipped draws within a rectangle only; id is unique within the picture.
func (c *canvas) clipped(id string, at point, width, height float64, draw func()) {
	c.putf(`<clipPath id="%s"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`+"\n", id, px(at.x), px(at.y), px(width), px(height))
	c.putf(`<g clip-path="url(#%s)">`+"\n", id)
	draw()
	c.putf("</g>\n")
}
