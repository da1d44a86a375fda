package dial

import "fmt"

// How strongly light is drawn in the plan: opacities at the source, on screens and
// on paper.
const (
	beamOpacity  = 0.42
	tintOpacity  = 0.30
	haloOpacity  = 0.85
	beamAtMiddle = 0.16 // share of it that is left at the table's axis
)

// beams are the ways of the light, from each source to the model.
func (d *planner) beams(lamps []seen) {
	for i := range lamps {
		l, s := &d.v.lamps[i], &lamps[i]
		if !l.lit || !l.stand.place.Known {
			continue
		}
		hex := d.pal.swatch(l.light, d.v.white)
		if l.lights == backdrop {
			d.wash(l, s, hex)
			continue
		}
		if s.overhead {
			if d.pal.glows {
				r := max(d.tableRadius(), 20.0)
				d.circle(paint{class: "glow", fill: d.halo(hex, d.p.centre, r, 0.30*l.glow)}, d.p.centre, r)
			}
			continue
		}
		d.beam(l, s, hex)
	}
}

// wash is the light of a source that looks away from the model, at what is behind it.
func (d *planner) wash(l *lamp, s *seen, hex string) {
	if !d.pal.glows {
		return
	}
	across := point{-s.way.y, s.way.x}
	left, right := s.extent(across)
	deep := s.way.mul(d.size.radius * 0.15)
	fill := d.fade(hex, s.middle, s.middle.add(deep), beamOpacity*l.glow, 0)
	spread := across.mul(d.size.radius * 0.05)
	d.path(paint{class: "wash", fill: fill}, []point{left, right, right.add(deep).add(spread), left.add(deep).sub(spread)}, true)
}

// extent is how far the face reaches to either side.
func (s *seen) extent(across point) (left, right point) {
	low, high := 0.0, 0.0
	for _, c := range s.face {
		w := c.sub(s.middle)
		k := w.x*across.x + w.y*across.y
		low, high = min(low, k), max(high, k)
	}
	return s.middle.add(across.mul(low)), s.middle.add(across.mul(high))
}

func (d *planner) beam(l *lamp, s *seen, hex string) {
	opacity := tintOpacity
	if d.pal.glows {
		opacity = beamOpacity
	}
	across := point{-s.way.y, s.way.x}
	left, right := s.extent(across)
	end := d.h.length * d.p.scale * 0.2
	a, b := d.p.centre.sub(across.mul(end)), d.p.centre.add(across.mul(end))
	if !d.pal.glows { // white light leaves no tint on paper: its edges show the way
		p := paint{class: "ray", stroke: d.pal.line, width: 0.6 + 0.8*l.glow, dash: "1 3"}
		d.line(p, left, a)
		d.line(p, right, b)
	}
	fill := d.fade(hex, s.middle, d.p.centre, opacity*l.glow*l.glow, opacity*l.glow*l.glow*beamAtMiddle)
	d.path(paint{class: "beam", fill: fill}, []point{left, right, b, a}, true)
}

// lamp is the face of a source, to scale.
func (d *planner) lamp(l *lamp, s *seen) {
	if !l.stand.place.Known {
		return
	}
	pal := d.pal
	d.group(fmt.Sprintf(` class="source" data-source="%d"`, l.index), func() {
		hex := pal.swatch(l.light, d.v.white)
		face := s.face[:]
		switch {
		case s.overhead && l.lit:
			d.path(paint{class: "overhead", stroke: pal.dim, width: 1.4, dash: "7 4", round: true}, face, true)
		case s.overhead:
			d.path(paint{class: "overhead", stroke: pal.line, width: 1, dash: "2 4"}, face, true)
		case !l.lit:
			d.path(paint{class: "unlit", fill: pal.ground, stroke: pal.line, width: 1.4, dash: "3 3"}, face, true)
		default:
			if pal.glows {
				r := 12 + 26*l.glow
				d.circle(paint{class: "glow", fill: d.halo(hex, s.middle, r, haloOpacity*l.glow)}, s.middle, r)
				d.path(paint{class: "glow", stroke: hex, width: 6 + 14*l.glow, faint: 0.14 * l.glow, round: true}, face, true)
				d.path(paint{class: "glow", stroke: hex, width: 6 + 6*l.glow, faint: 0.22 * l.glow, round: true}, face, true)
			} else {
				d.path(paint{class: "face", stroke: pal.text, width: 6.4, round: true}, face, true)
			}
			d.path(paint{class: "face", fill: hex, stroke: hex, width: 4.2, round: true}, face, true)
		}
		if s.far {
			out := s.middle.add(s.way.mul(16))
			across := point{-s.way.y, s.way.x}
			d.path(paint{class: "far", stroke: pal.dim, width: 1.6, round: true},
				[]point{out.sub(s.way.mul(5)).add(across.mul(5)), out, out.sub(s.way.mul(5)).sub(across.mul(5))}, false)
		}
		if l.picked {
			d.circle(paint{class: "picked", stroke: pal.accent, width: 2.4}, s.middle, 17)
		}
		if l.out {
			d.line(paint{class: "out", stroke: pal.text, width: 2}, s.middle.add(point{-8, -8}), s.middle.add(point{8, 8}))
			d.line(paint{class: "out", stroke: pal.text, width: 2}, s.middle.add(point{-8, 8}), s.middle.add(point{8, -8}))
		}
	})
}

// card is a card, to scale: white ones open, black ones filled.
func (d *planner) card(c *card, s *seen) {
	if !c.stand.place.Known {
		return
	}
	pal := d.pal
	d.group(fmt.Sprintf(` class="card" data-card="%d"`, c.index), func() {
		edge, fill := pal.line, pal.white
		if c.kind == "black" {
			edge, fill = pal.blackEdge, pal.black
		}
		d.path(paint{class: "card", stroke: edge, width: 6.5, round: true}, s.face[:], true)
		d.path(paint{class: "card", fill: fill, stroke: fill, width: 4, round: true}, s.face[:], true)
	})
}
