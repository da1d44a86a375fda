package chart

import (
	"fmt"
	"math"

	"limn/fixtures/colour"
)

// Chromaticity is a colour asked of a light, and what the light makes of it.
type Chromaticity struct {
	Title    string // the light
	Subtitle string // what was asked
	Emitters []Emitter
	Gamut    []colour.UV // edge of what the light can make
	Closed   bool        // the edge is a polygon, not a line or a point
	Target   colour.XY
	Reached  colour.XY
	Dark     bool   // nothing is reached: the light is off
	Facts    []Fact // figures to stand beside the picture
}

// Emitter is one emitter of the light.
type Emitter struct {
	Name string
	XY   colour.XY
}

// Fact is one figure in words.
type Fact struct{ Label, Value string }

// Size of the picture and its parts.
const (
	chromaWidth   = 1090
	chromaHeight  = 712
	chromaLeft    = 62
	chromaBottom  = 660
	chromaPerUnit = 860   // px per unit of u' and v'
	chromaMinU    = -0.04 // room for what is written outside the spectrum
	chromaMaxU    = 0.67
	chromaMinV    = -0.01
	chromaMaxV    = 0.64
	sideLeft      = 714
	sideWidth     = 330
	insetTop      = 102
)

// SVG draws the whole diagram, the neighbourhood of the target enlarged beside
// it, and the facts below that.
func (c *Chromaticity) SVG() []byte {
	v := newCanvas(chromaWidth, chromaHeight, c.Title+": "+c.Subtitle, c.describe())
	v.text("title", atStart, point{chromaLeft, 38}, shorten(c.Title, 70))
	v.text("sub", atStart, point{chromaLeft, 60}, shorten(c.Subtitle, 110))
	main := plane{chromaLeft, chromaBottom, chromaMinU, chromaMinV, chromaPerUnit}
	near := c.neighbourhood()
	v.diagram(main, c, near)
	v.inset(near, c)
	v.facts(c.Facts)
	return v.bytes()
}

// describe is the picture in words.
func (c *Chromaticity) describe() string {
	t := c.Target.UV()
	text := fmt.Sprintf("CIE 1976 chromaticity diagram. Asked: u' %.4f, v' %.4f", t.U, t.V)
	if c.Dark {
		text += "; the light is off"
	} else {
		r := c.Reached.UV()
		text += fmt.Sprintf("; reached: u' %.4f, v' %.4f, %.1f steps of %.4f away", r.U, r.V, colour.Steps(c.Target, c.Reached), colour.Step)
	}
	for i, e := range c.Emitters {
		text += [2]string{". Emitters: ", ", "}[min(i, 1)] + e.Name
	}
	for _, f := range c.Facts {
		text += ". " + f.Label + ": " + f.Value
	}
	return text + "."
}

// diagram draws everything any eye can see, and the light's part of it.
func (v *canvas) diagram(p plane, c *Chromaticity, near zoom) {
	right, top := p.at(colour.UV{U: chromaMaxU}).x, p.at(colour.UV{V: chromaMaxV}).y
	v.rect("field", point{p.left, top}, right-p.left, p.bottom-top)
	for k := range 7 {
		x := p.at(colour.UV{U: float64(k) / 10}).x
		y := p.at(colour.UV{V: float64(k) / 10}).y
		v.line("grid", point{x, top}, point{x, p.bottom})
		v.line("grid", point{p.left, y}, point{right, y})
		v.text("mark", atMiddle, point{x, p.bottom + 17}, fmt.Sprintf("%.1f", float64(k)/10))
		v.text("mark", atEnd, point{p.left - 8, y + 4}, fmt.Sprintf("%.1f", float64(k)/10))
	}
	v.text("head", atEnd, point{right, p.bottom + 36}, "u'")
	v.text("head", atStart, point{p.left - 24, top + 4}, "v'")

	l := &labels{canvas: v, area: box{p.left + 2, top + 2, right - 2, p.bottom - 2}}
	v.horseshoe(p, l)
	v.gamut(p, c)
	v.loci(p, l, 5)
	for _, e := range c.Emitters {
		l.keep(around(p.at(e.XY.UV()), 6))
	}
	at := p.at(near.centre)
	half := max(near.half*p.perUnit, 12)
	v.rect("zoom", point{at.x - half, at.y - half}, 2*half, 2*half)
	l.keep(around(at, half))
	heart := centroid(c.Gamut)
	for _, e := range c.Emitters {
		q := p.at(e.XY.UV())
		v.tinted("emitter", swatch(e.XY), q, 5)
		from := p.at(heart)
		l.put("name", 12, q, 9, math.Atan2(from.y-q.y, q.x-from.x), shorten(e.Name, 24))
	}
	for _, k := range []float64{1500, 2000, 2700, 3600, 5600, colour.MaxKelvin} {
		pink, green := isotherm(k, 0.004)
		a, b := p.at(pink), p.at(green)
		v.line("tick", a, b)
		l.put("mark", 11, a, 4, math.Atan2(b.y-a.y, a.x-b.x), kelvinLabel(k))
	}
	v.marker(p, c)
	v.legend(point{right - 262, p.bottom - 82}, c.Closed)
}

// gamut is what the light can make: an area, a line or a spot.
func (v *canvas) gamut(p plane, c *Chromaticity) {
	switch edge := p.all(c.Gamut); {
	case c.Closed:
		v.path("gamut", edge, true)
	case len(edge) == 1:
		v.circle("reach", edge[0], 2)
	default:
		v.path("reach", edge, false)
	}
}

// loci draws both loci of whites, which texts keep clear of.
func (v *canvas) loci(p plane, l *labels, clear float64) {
	planck := visible(p.all(planckian()), l.area)
	for _, q := range planck {
		l.keep(around(q, clear))
	}
	v.path("planck", planck, false)
	v.path("daylight", visible(p.all(daylight()), l.area), false)
}

// visible is the part of a line that an area and a margin about it show. The line
// enters it once.
func visible(line []point, area box) (part []point) {
	const margin = 20 // px
	area = box{area.left - margin, area.top - margin, area.right + margin, area.bottom + margin}
	for i, q := range line {
		b := around(q, 0)
		if i > 0 && b.overlaps(area) && part == nil {
			part = append(part, line[i-1])
		}
		if b.overlaps(area) {
			part = append(part, q)
		} else if part != nil {
			return append(part, q)
		}
	}
	return part
}

// horseshoe is the spectrum, each part in its colour, closed by the purples.
func (v *canvas) horseshoe(p plane, l *labels) {
	for nm := firstNM; nm < lastNM; nm += stepNM {
		a, b := spectral(nm), spectral(nm+stepNM)
		v.stroke("spectrum", swatch(spectral(nm+stepNM/2)), p.all([]colour.UV{a.UV(), b.UV()}))
		l.keep(around(p.at(a.UV()), 4))
	}
	v.line("purple", p.at(spectral(firstNM).UV()), p.at(spectral(lastNM).UV()))
	for _, nm := range markedNM {
		at := p.at(spectral(nm).UV())
		before, after := p.at(spectral(nm-stepNM).UV()), p.at(spectral(nm+stepNM).UV())
		// Outward is to the left of the way from blue to red, as seen on paper.
		out := math.Atan2(after.x-before.x, after.y-before.y)
		sin, cos := math.Sincos(out)
		v.line("tick", at, point{at.x + 8*cos, at.y - 8*sin})
		l.put("mark", 11, at, 11, out, fmt.Sprint(nm))
	}
}

// marker shows what was asked and what is reached, far too small for step circles.
func (v *canvas) marker(p plane, c *Chromaticity) {
	t := p.at(c.Target.UV())
	if !c.Dark {
		r := p.at(c.Reached.UV())
		v.line("miss", t, r)
		v.circle("reached", r, 4.5)
	}
	v.cross(t, 9)
}

// cross is the mark of the target: open in the middle, so that it hides nothing.
func (v *canvas) cross(at point, size float64) {
	for _, d := range []point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		v.line("target", point{at.x + d.x*size*0.45, at.y + d.y*size*0.45}, point{at.x + d.x*size, at.y + d.y*size})
	}
}

// legend says what the lines are.
func (v *canvas) legend(at point, area bool) {
	rows := []struct {
		draw func(a, b point)
		text string
	}{
		{func(a, b point) { v.line("planck", a, b) }, "Planckian whites, kelvin marked"},
		{func(a, b point) { v.line("daylight", a, b) }, "CIE daylight"},
		{func(a, b point) { v.reachSample(a, b, area) }, "what the light can make"},
	}
	for i, r := range rows {
		y := at.y + float64(i)*20
		r.draw(point{at.x, y}, point{at.x + 30, y})
		v.text("small", atStart, point{at.x + 40, y + 4}, r.text)
	}
	v.text("small", atStart, point{at.x + 40, at.y + 64}, "numbers on the edge: wavelength, nm")
}

// reachSample is an area, or a line where the light makes no more.
func (v *canvas) reachSample(a, b point, area bool) {
	if area {
		v.rect("gamut", point{a.x, a.y - 5}, b.x-a.x, 10)
		return
	}
	v.line("reach", a, b)
}

// facts are the figures in words.
func (v *canvas) facts(facts []Fact) {
	top := float64(insetTop + sideWidth + 58)
	const rowHeight, most = 23, 9
	for i, f := range facts[:min(len(facts), most)] {
		y := top + rowHeight*float64(i)
		v.text("sub", atStart, point{sideLeft, y}, f.Label)
		v.text("value", atStart, point{sideLeft + 70, y}, shorten(f.Value, 42))
	}
}

// centroid is the middle of some points.
func centroid(points []colour.UV) (c colour.UV) {
	if len(points) == 0 {
		return colour.UV{U: 0.2, V: 0.45} // about white
	}
	for _, p := range points {
		c.U += p.U / float64(len(points))
		c.V += p.V / float64(len(points))
	}
	return c
}

// kelvinLabel is a temperature as it is marked.
func kelvinLabel(k float64) string { return fmt.Sprintf("%.0f K", k) }

// shorten keeps a name from running out of the picture.
func shorten(text string, most int) string {
	r := []rune(text)
	if len(r) <= most {
		return text
	}
	return string(r[:most-1]) + "…"
}
