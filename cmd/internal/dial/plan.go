package dial

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/fixtures/space"
)

// planner draws the dial.
type planner struct {
	*canvas
	v    *view
	h    hull
	p    projection
	box  box
	size planSize
}

// box is a part of the picture.
type box struct{ x, y, w, h float64 }

func (b box) right() float64  { return b.x + b.w }
func (b box) bottom() float64 { return b.y + b.h }

// planSize is how large the parts of a plan are, pixels.
type planSize struct {
	radius    float64
	label     float64 // size of type
	ring      float64 // width of the ring of angle marks
	labels    bool
	scaleRule bool
}

var (
	widePlan   = planSize{radius: 220, label: 13, ring: 24, labels: true, scaleRule: true}
	narrowPlan = planSize{radius: 122, label: 11, ring: 18, labels: true}
	sheetPlan  = planSize{radius: 160, label: 12, ring: 20, labels: true}
)

func (c *canvas) plan(v *view, b box, size planSize, frame Frame) {
	d := &planner{canvas: c, v: v, h: hullOf(&v.shoot.Subject), box: b, size: size}
	centre := point{b.x + b.w/2, b.y + size.radius + 26}
	d.p = newProjection(v, &d.h, centre, size.radius, frame)
	c.group(fmt.Sprintf(` class="plan" data-azimuth="%s"`, px(v.azimuth)), func() {
		d.room()
		d.table()
		lamps := d.seeLamps()
		cards := d.seeCards()
		d.beams(lamps)
		d.ghost()
		d.model(lamps)
		for i := range cards {
			d.card(&v.cards[i], &cards[i])
		}
		for i := range lamps {
			d.lamp(&v.lamps[i], &lamps[i])
		}
		d.marks(true)
		d.moving()
		d.camera()
		d.progress()
		if size.labels {
			d.labels(lamps, cards)
		}
		if size.scaleRule {
			d.scaleRule()
		}
	})
}

// room is the ring that stands still, and what the camera sees of it.
func (d *planner) room() {
	pal := d.pal
	d.circle(paint{class: "room", fill: pal.ground, stroke: pal.faint, width: 1.2}, d.p.centre, d.size.radius)
	for a := 0; a < 360; a += 15 {
		long := 4.0
		if a%45 == 0 {
			long = 9
		}
		d.line(paint{class: "faint", stroke: pal.line, width: 0.8}, d.p.on(float64(a), d.size.radius), d.p.on(float64(a), d.size.radius-long))
	}
	cam := &d.v.shoot.Camera
	away, focal, wide := cam.Distance.Metres, cam.Focal.Metres, cam.Sensor.Width
	if !(away > 0) || !(focal > 0) || !(wide > 0) {
		return
	}
	eye := space.At(0, 0, away)
	for _, side := range []float64{-1, 1} {
		edge := space.Vec{X: side * wide / 2 / focal, Y: 1}.Unit()
		// Where the edge of the picture enters and leaves the ring.
		r := d.size.radius / d.p.scale
		b := eye.Dot(edge)
		q := b*b - eye.Dot(eye) + r*r
		if q <= 0 {
			continue
		}
		from, to := max(-b-math.Sqrt(q), 0), -b+math.Sqrt(q)
		if to <= from {
			continue
		}
		d.line(paint{class: "faint", stroke: pal.faint, width: 1.2, dash: "2 5"}, d.p.at(eye.Add(edge.Mul(from))), d.p.at(eye.Add(edge.Mul(to))))
	}
}

// table is the turntable's top with the angle marks, which turn with it.
func (d *planner) table() {
	pal := d.pal
	outer := d.tableRadius()
	inner := outer - d.size.ring
	d.circle(paint{class: "table", fill: pal.table, stroke: pal.line, width: 1.2}, d.p.centre, outer)
	d.circle(paint{class: "faint", stroke: pal.faint}, d.p.centre, inner)
	for a := 0.0; a < 360; a += 10 {
		d.line(paint{class: "faint", stroke: pal.faint, width: 1.2}, d.p.on(markOf(d.v.azimuth, a), outer), d.p.on(markOf(d.v.azimuth, a), outer-4))
	}
	d.marks(false)
}

// marks are the angles on the ring: those that stand and come next, which are
// drawn over what stands on the table, or the others. Figures that would lie on
// one another are left out.
func (d *planner) marks(first bool) {
	outer := d.tableRadius()
	inner := outer - d.size.ring
	told := make([]float64, 0, len(d.v.angles))
	for _, pass := range []bool{true, false} {
		for i := range d.v.angles {
			a := &d.v.angles[i]
			if (a.now || a.due) != pass {
				continue
			}
			clear := true
			for _, t := range told {
				clear = clear && math.Abs(cue.Turn(t, a.azimuth)) >= 360*d.size.label*1.9/(2*math.Pi*inner)
			}
			if clear {
				told = append(told, a.azimuth)
			}
			if pass == first {
				d.mark(a, outer, inner, clear)
			}
		}
	}
}

// tableRadius holds the hull within the ring of angle marks.
func (d *planner) tableRadius() float64 {
	return min(max(d.h.length, d.h.width)/2*d.p.scale+d.size.ring+5, d.size.radius-4)
}

// mark is one angle on the ring.
func (d *planner) mark(a *angle, outer, inner float64, figure bool) {
	pal := d.pal
	at := markOf(d.v.azimuth, a.azimuth)
	p := paint{class: "mark", stroke: pal.dim, width: 1.6}
	s := script{class: "mark", fill: pal.dim, size: d.size.label * 0.85, anchor: atMiddle, halo: pal.table}
	switch {
	case a.now:
		p.stroke, p.width, s.fill, s.bold = pal.text, 2.4, pal.text, true
	case a.due:
		p.stroke, p.width, s.fill, s.bold = pal.accent, 2.4, pal.accent, true
	}
	d.group(fmt.Sprintf(` data-angle="%d" data-at="%s"`, a.index, px(a.azimuth)), func() {
		d.line(p, d.p.on(at, outer), d.p.on(at, outer-7))
		if figure {
			mid := d.p.on(at, (outer-7+inner)/2)
			d.text(s, mid.add(point{0, s.size * 0.36}), degreesWords(a.azimuth), 0)
		}
	})
}

func (d *planner) seeLamps() []seen {
	out := make([]seen, len(d.v.lamps))
	for i := range out {
		out[i] = d.p.see(&d.v.lamps[i].stand, d.v.azimuth)
	}
	return out
}

func (d *planner) seeCards() []seen {
	out := make([]seen, len(d.v.cards))
	for i := range out {
		out[i] = d.p.see(&d.v.cards[i].stand, d.v.azimuth)
	}
	return out
}

// ghost is where the hull goes next, with the way there.
func (d *planner) ghost() {
	if !d.v.turning {
		return
	}
	pal := d.pal
	d.path(paint{class: "ghost", stroke: pal.accent, width: 1.6, dash: "5 4", round: true}, d.p.outline(d.h.outline, d.v.turnTo), true)
	way := cue.Turn(d.v.azimuth, d.v.turnTo)
	r := max(d.h.length, d.h.width)/2*d.p.scale*0.62 + 4
	arc := d.p.arc(d.v.azimuth, d.v.azimuth+way, r)
	d.path(paint{class: "turn", stroke: pal.accent, width: 2.4, round: true}, arc, false)
	tip, sense := arc[len(arc)-1], math.Copysign(1, way)
	along := d.p.way(d.v.azimuth + way + 90*sense)
	across := point{-along.y, along.x}
	d.path(paint{class: "turn", fill: pal.accent}, []point{tip.add(along.mul(9)), tip.add(across.mul(5)), tip.sub(across.mul(5))}, true)
}

// moving is an arrow along the table's edge while it turns, ahead of the bow.
func (d *planner) moving() {
	if d.v.speed == 0 {
		return
	}
	pal := d.pal
	r := d.tableRadius() + 7
	sense := math.Copysign(1, d.v.speed)
	arc := d.p.arc(d.v.azimuth-6*sense, d.v.azimuth+34*sense, r)
	d.path(paint{class: "moving", stroke: pal.accent, width: 4, round: true}, arc, false)
	tip := arc[len(arc)-1]
	along := d.p.way(d.v.azimuth + (34+90)*sense)
	across := point{-along.y, along.x}
	d.path(paint{class: "moving", fill: pal.accent}, []point{tip.add(along.mul(13)), tip.add(across.mul(8)), tip.sub(across.mul(8))}, true)
}

// model is the hull, its edge shining where light falls on it.
func (d *planner) model(lamps []seen) {
	pal := d.pal
	edge := d.p.outline(d.h.outline, d.v.azimuth)
	if !d.v.stood { // nobody has told how it stands
		d.path(paint{class: "hull", fill: pal.table, stroke: pal.rim, width: 1.4, dash: "3 5", round: true}, edge, true)
		d.text(script{class: "dim", fill: pal.dim, size: d.size.label * 1.6, anchor: atMiddle}, d.p.centre.add(point{0, 7}), "?", 0)
		return
	}
	d.path(paint{class: "hull", fill: pal.hull, stroke: pal.rim, width: 1.6, round: true}, edge, true)
	d.path(paint{class: "deck", fill: pal.deck, stroke: pal.rim, width: 0.8, round: true}, d.p.outline(d.h.deck, d.v.azimuth), true)
	if d.h.well != nil {
		d.path(paint{class: "well", fill: pal.hull, stroke: pal.rim, width: 0.8, round: true}, d.p.outline(d.h.well, d.v.azimuth), true)
	}
	if pal.glows {
		d.shine(edge, lamps)
	}
	bow := d.p.at(space.Vec{Y: -d.h.length / 2}.Turn(d.v.azimuth))
	way := d.p.way(d.v.azimuth)
	across := point{-way.y, way.x}
	back := bow.sub(way.mul(11))
	d.path(paint{class: "bow", fill: pal.accent}, []point{bow.add(way.mul(1.5)), back.add(across.mul(4.5)), back.sub(across.mul(4.5))}, true)
	at := d.p.centre.add(way.mul(d.h.length / 2 * d.p.scale * 0.42))
	d.text(script{class: "bow", fill: pal.text, size: d.size.label * 0.85, anchor: atMiddle}, at.add(point{0, 4}), "bow", 0)
}

// shine brightens the edge of the hull where it faces a light, in that light's
// colour: in a few steps of strength, each stretch in one stroke.
func (d *planner) shine(edge []point, lamps []seen) {
	type glint struct {
		hex  string
		step int
	}
	var run []point
	var now glint
	flush := func() {
		if len(run) > 1 && now.step > 0 {
			best := float64(now.step) / shineSteps
			d.path(paint{class: "shine", stroke: now.hex, width: 0.8 + 2.6*best, faint: best}, run, false)
		}
		run = run[:0]
	}
	for i := range edge {
		a, b := edge[i], edge[(i+1)%len(edge)]
		along := b.sub(a)
		if along.len() < 0.05 {
			continue
		}
		mid := a.toward(b, 0.5)
		out := point{-along.y, along.x}.unit()
		if out.x*(mid.x-d.p.centre.x)+out.y*(mid.y-d.p.centre.y) < 0 {
			out = out.mul(-1)
		}
		var best float64
		var here glint
		for k := range lamps {
			l, s := &d.v.lamps[k], &lamps[k]
			if !l.lit || !l.stand.place.Known || s.overhead || l.lights == backdrop {
				continue
			}
			if f := (out.x*s.way.x + out.y*s.way.y) * l.glow; f > best {
				best, here.hex = f, d.pal.swatch(l.light, d.v.white)
			}
		}
		if here.step = int(math.Round(best * shineSteps)); here.step == 0 {
			here.hex = ""
		}
		if here != now {
			flush()
			now = here
		}
		if len(run) == 0 {
			run = append(run, a)
		}
		run = append(run, b)
	}
	flush()
}

// shineSteps is how many strengths of light on an edge are told apart.
const shineSteps = 6

// backdrop is what background lights light.
const backdrop = "backdrop"

// camera is the camera below, whose pointer reads the ring.
func (d *planner) camera() {
	pal := d.pal
	way := d.p.way(0)
	across := point{-way.y, way.x}
	tip := d.p.centre.add(way.mul(d.tableRadius() + 1))
	base := tip.add(way.mul(12))
	d.path(paint{class: "pointer", fill: pal.text}, []point{tip, base.add(across.mul(6.5)), base.sub(across.mul(6.5))}, true)
	d.line(paint{class: "pointer", stroke: pal.text, width: 1.2}, base, d.p.centre.add(way.mul(d.size.radius)))
	at := d.p.centre.add(way.mul(d.size.radius + 4))
	if d.p.turn != 0 { // beside the ring stand the names
		at = d.p.centre.add(way.mul(d.size.radius - 22))
	}
	corner := func(out, side float64) point { return at.add(way.mul(out)).add(across.mul(side)) }
	d.path(paint{class: "camera", fill: pal.text}, []point{
		corner(0, 5), corner(6, 5), corner(6, 11), corner(19, 11), corner(19, -11), corner(6, -11), corner(6, -5), corner(0, -5),
	}, true)
	if d.p.turn != 0 {
		return // it is named as everything else is
	}
	label := d.p.centre.add(way.mul(d.size.radius + 32))
	d.text(script{class: "dim", fill: pal.dim, size: d.size.label * 0.9, anchor: atMiddle}, label.add(point{0, 4}), "camera", 0)
}

// progress is the fade, an arc that closes counter-clockwise from the camera.
func (d *planner) progress() {
	if !d.v.moves() {
		return
	}
	r := d.size.radius + 1
	done := min(max(finite(d.v.snap.Progress), 0), 1)
	d.circle(paint{class: "faint", stroke: d.pal.faint, width: 5}, d.p.centre, r)
	if done > 0 {
		d.path(paint{class: "progress", stroke: d.pal.text, width: 5}, d.p.arc(0, 360*done, r), false)
	}
}

// scaleRule tells how long things are.
func (d *planner) scaleRule() {
	long, words := 0.0, ""
	for _, r := range []struct {
		metres float64
		words  string
	}{{0.05, "5 cm"}, {0.1, "10 cm"}, {0.2, "20 cm"}, {0.5, "50 cm"}, {1, "1 m"}, {2, "2 m"}, {5, "5 m"}, {10, "10 m"}, {50, "50 m"}} {
		if px := r.metres * d.p.scale; px <= 90 {
			long, words = px, r.words
		}
	}
	if long < 12 {
		return
	}
	a := point{d.box.x, d.p.centre.y + d.size.radius + 34}
	b := a.add(point{long, 0})
	p := paint{class: "rule", stroke: d.pal.dim, width: 1.2}
	d.line(p, a, b)
	d.line(p, a.add(point{0, -3}), a.add(point{0, 3}))
	d.line(p, b.add(point{0, -3}), b.add(point{0, 3}))
	d.text(script{class: "dim", fill: d.pal.dim, size: 11}, b.add(point{8, 4}), words+" to scale, from above", 0)
}
