package chart

import (
	"math"
	"unicode/utf8"
)

// box is the room a text takes.
type box struct{ left, top, right, bottom float64 }

func (b box) overlaps(c box) bool {
	return b.left < c.right && c.left < b.right && b.top < c.bottom && c.top < b.bottom
}

func (b box) within(c box) bool {
	return b.left >= c.left && b.right <= c.right && b.top >= c.top && b.bottom <= c.bottom
}

// around is a square about a point that texts keep clear of.
func around(p point, half float64) box { return box{p.x - half, p.y - half, p.x + half, p.y + half} }

// labels puts texts beside points so that none lies on another.
type labels struct {
	canvas *canvas
	area   box // where they must stay
	taken  []box
}

// Sizes of a text as it is likely to be set: fonts differ.
const (
	perLetter  = 0.6 // of the font size
	ascent     = 0.75
	descent    = 0.25
	labelSlack = 2.0 // px around a text
)

// keep marks room that texts must leave free.
func (l *labels) keep(b box) { l.taken = append(l.taken, b) }

// put places a text at a distance from a point, in the direction preferred or
// the nearest that is free, further out if need be; angles in radians,
// counter-clockwise from the right. It says whether there was room.
func (l *labels) put(class string, size float64, at point, distance, angle float64, text string) bool {
	const turns = 12
	for _, far := range []float64{1, 2.2, 3.6} {
		for k := range turns {
			side := float64((k+1)/2) * (1 - 2*float64(k%2)) // 0, -1, +1, -2, ...
			sin, cos := math.Sincos(angle + side*2*math.Pi/turns)
			p := point{at.x + far*distance*cos, at.y - far*distance*sin}
			anchor, b := textBox(p, cos, sin, size, text)
			if l.free(b) {
				l.keep(b)
				if far > 1 {
					from, to := 0.7*distance, 0.95*far*distance
					l.canvas.line("edge", point{at.x + from*cos, at.y - from*sin}, point{at.x + to*cos, at.y - to*sin})
				}
				l.canvas.text(class, anchor, point{p.x, b.top + labelSlack + ascent*size}, text)
				return true
			}
		}
	}
	return false
}

// textBox is where a text stands that begins at p and lies away from it in a direction.
func textBox(p point, cos, sin, size float64, text string) (anchor string, b box) {
	width := perLetter * size * float64(utf8.RuneCountInString(text))
	height := (ascent + descent) * size
	const slant = 0.35 // cosine below which a text is centred over or under its point
	switch {
	case cos > slant:
		anchor, b.left = atStart, p.x
	case cos < -slant:
		anchor, b.left = atEnd, p.x-width
	default:
		anchor, b.left = atMiddle, p.x-width/2
	}
	b.top = p.y - height/2 - sin*height/2
	b.right, b.bottom = b.left+width, b.top+height
	return anchor, box{b.left - labelSlack, b.top - labelSlack, b.right + labelSlack, b.bottom + labelSlack}
}

func (l *labels) free(b box) bool {
	if !b.within(l.area) {
		return false
	}
	for _, t := range l.taken {
		if t.overlaps(b) {
			return false
		}
	}
	return true
}
