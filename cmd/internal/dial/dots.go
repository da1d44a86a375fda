package dial

import (
	"math"
	"unicode/utf8"
)

// dots is a drawing in Braille patterns: two by four dots a character (Unicode
// block U+2800), so that a hull of a dozen columns still looks like one.
type dots struct {
	x, y, width, height int // in cells, on the grid
	bits                []rune
	style               []style
}

const braille = 0x2800

// dotBits are the bits of the dots of a pattern, by line and column.
var dotBits = [4][2]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}

func isBraille(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	return r >= braille && r < braille+0x100
}

func newDots(x, y, width, height int) *dots {
	return &dots{x: x, y: y, width: width, height: height, bits: make([]rune, width*height), style: make([]style, width*height)}
}

// set sets one dot; coordinates are in dots.
func (d *dots) set(p point, st style) {
	x, y := int(math.Floor(finite(p.x))), int(math.Floor(finite(p.y)))
	if x < 0 || y < 0 || x >= 2*d.width || y >= 4*d.height {
		return
	}
	i := y/4*d.width + x/2
	d.bits[i] |= dotBits[y%4][x%2]
	d.style[i] = st
}

// line joins two points.
func (d *dots) line(a, b point, st style) {
	n := min(int(b.sub(a).len())+1, maxDots)
	for i := 0; i <= n; i++ {
		d.set(a.toward(b, float64(i)/float64(n)), st)
	}
}

// maxDots is the most dots of a line: more than the largest screen has.
const maxDots = 4096

// outline joins points, closed or not.
func (d *dots) outline(points []point, closed bool, st style) {
	for i := range points {
		if i+1 < len(points) || closed {
			d.line(points[i], points[(i+1)%len(points)], st)
		}
	}
}

// onto puts the drawing on the grid.
func (d *dots) onto(g *grid) {
	for i, bits := range d.bits {
		if bits == 0 {
			continue
		}
		if c := g.at(d.x+i%d.width, d.y+i/d.width); c != nil && c.text == "" && !c.tail {
			*c = cell{text: string(braille + bits), style: d.style[i]}
		}
	}
}

// cellOf is the cell of the grid that holds a point.
func (d *dots) cellOf(p point) (x, y int) {
	return d.x + int(math.Floor(finite(p.x)/2)), d.y + int(math.Floor(finite(p.y)/4))
}
