package chart

import (
	"fmt"
	"math"

	"limn/fixtures/colour"
)

// zoom is the neighbourhood drawn enlarged.
type zoom struct {
	centre colour.UV
	half   float64 // of its side, u'v'
}

// circleSteps are the step circles about the target.
var circleSteps = []float64{1, 2, 4}

// neighbourhood holds the outermost circle and the point reached, with room to spare.
func (c *Chromaticity) neighbourhood() zoom {
	const margin = 1.3
	t := c.Target.UV()
	circle := circleSteps[len(circleSteps)-1] * colour.Step
	if c.Dark {
		return zoom{t, circle * margin}
	}
	r := c.Reached.UV()
	low := colour.UV{U: min(t.U-circle, r.U), V: min(t.V-circle, r.V)}
	high := colour.UV{U: max(t.U+circle, r.U), V: max(t.V+circle, r.V)}
	return zoom{
		colour.UV{U: (low.U + high.U) / 2, V: (low.V + high.V) / 2},
		max(high.U-low.U, high.V-low.V) / 2 * margin,
	}
}

// inset draws the neighbourhood of the target: step circles, loci, the gamut's
// edge, what was asked and what is reached.
func (v *canvas) inset(z zoom, c *Chromaticity) {
	corner := point{sideLeft, insetTop}
	v.text("head", atStart, point{sideLeft, insetTop - 10}, "About the target")
	v.text("small", atEnd, point{sideLeft + sideWidth, insetTop - 10}, fmt.Sprintf("1 step = %g u'v'", colour.Step))
	p := plane{
		left: sideLeft, bottom: insetTop + sideWidth,
		u: z.centre.U - z.half, v: z.centre.V - z.half, perUnit: sideWidth / (2 * z.half),
	}
	v.rect("field", corner, sideWidth, sideWidth)
	l := &labels{canvas: v, area: box{corner.x + 3, corner.y + 3, corner.x + sideWidth - 3, corner.y + sideWidth - 3}}
	t := p.at(c.Target.UV())
	l.keep(around(t, 9))
	v.clipped("inset", corner, sideWidth, sideWidth, func() {
		v.gamut(p, c)
		v.loci(p, l, 3)
		v.kelvins(p, l, z)
		for _, n := range circleSteps {
			v.circle("step", t, n*colour.Step*p.perUnit)
		}
		if !c.Dark {
			r := p.at(c.Reached.UV())
			l.keep(around(r, 7))
			v.line("miss", t, r)
			v.circle("reached", r, 6)
		}
		v.cross(t, 12)
		v.circleNames(p, l, t)
		v.pointNames(p, l, c)
	})
	v.rect("frame", corner, sideWidth, sideWidth)
	v.text("small", atStart, point{sideLeft, insetTop + sideWidth + 18},
		fmt.Sprintf("u' %.4f to %.4f", p.u, p.u+2*z.half))
	v.text("small", atEnd, point{sideLeft + sideWidth, insetTop + sideWidth + 18},
		fmt.Sprintf("v' %.4f to %.4f", p.v, p.v+2*z.half))
}

// kelvinSteps are the distances of marks on the locus that read well.
var kelvinSteps = []float64{50, 100, 200, 500, 1000, 2000, 5000}

// kelvins marks the Planckian locus at round temperatures, as close as they
// can be read where the target lies.
func (v *canvas) kelvins(p plane, l *labels, z zoom) {
	const apart = 62 // px between marks
	place := func(k float64) point { return p.at(colour.White{Kelvin: k}.XY().UV()) }
	about, ok := z.centre.XY().White()
	if !ok {
		return
	}
	step := kelvinSteps[len(kelvinSteps)-1]
	for _, s := range kelvinSteps {
		if k := about.Kelvin; distance(place(k), place(k+s)) >= apart {
			step = s
			break
		}
	}
	last := point{math.Inf(1), 0}
	for k := math.Ceil(colour.MinKelvin/step) * step; k <= colour.MaxKelvin; k += step {
		at := place(k)
		if math.Abs(at.x-p.at(z.centre).x) > sideWidth/2 || math.Abs(at.y-p.at(z.centre).y) > sideWidth/2 || distance(at, last) < apart*0.8 {
			continue
		}
		pink, green := isotherm(k, min(0.0008+z.half/12, 0.006))
		a, b := p.at(pink), p.at(green)
		v.line("tick", a, b)
		if l.put("mark halo", 11, a, 4, math.Atan2(b.y-a.y, a.x-b.x), kelvinLabel(k)) {
			last = at
		}
	}
}

func distance(a, b point) float64 { return math.Hypot(a.x-b.x, a.y-b.y) }

// circleNames says how many steps each circle is, where there is room.
func (v *canvas) circleNames(p plane, l *labels, t point) {
	for _, n := range circleSteps {
		r := n * colour.Step * p.perUnit
		if r < 14 {
			continue
		}
		for _, angle := range []float64{-2.3, -0.8, 0.8, 2.3, -1.57, 1.57} {
			sin, cos := math.Sincos(angle)
			at := point{t.x + r*cos, t.y - r*sin}
			text := fmt.Sprintf("%g step", n)
			if n > 1 {
				text += "s"
			}
			_, b := textBox(at, 0, 0, 11, text)
			if l.free(b) {
				l.keep(b)
				v.text("mark halo", atMiddle, point{at.x, at.y + 4}, text)
				break
			}
		}
	}
}

// pointNames names target and reached point where they can be told apart.
func (v *canvas) pointNames(p plane, l *labels, c *Chromaticity) {
	t := p.at(c.Target.UV())
	if c.Dark {
		l.put("name halo", 12, t, 13, math.Pi/4, "asked")
		return
	}
	r := p.at(c.Reached.UV())
	const apart = 14 // px
	if distance(t, r) < apart {
		l.put("name halo", 12, t, 13, math.Pi/4, "asked and reached")
		return
	}
	away := math.Atan2(r.y-t.y, t.x-r.x)
	l.put("name halo", 12, t, 13, away, "asked")
	l.put("name halo", 12, r, 9, away+math.Pi, "reached")
}
