package dial

import (
	"math"

	"limn/cue"
	"limn/fixtures/space"
)

// plan is the dial in characters.
func (t *page) plan(x, y, width, height int) {
	if width < 12 || height < 6 {
		return
	}
	v := t.v
	d := newDots(x, y, width, height)
	h := hullOf(&v.shoot.Subject)
	radius := math.Min(float64(2*width)/2-3, float64(4*height-5)/2) - 1
	centre := point{float64(width), float64(4*height-4) / 2}
	p := newProjection(v, &h, centre, radius, Camera)
	table := min(max(h.length, h.width)/2*p.scale+5, radius-2)

	for a := 0; a < 360; a += 6 { // the room's ring, sparse
		d.set(p.on(float64(a), radius), quiet)
	}
	if v.moves() {
		for _, q := range p.arc(0, 360*min(max(finite(v.snap.Progress), 0), 1), radius) {
			d.set(q, strong)
			d.set(q.toward(centre, 1/radius), strong)
		}
		for a := 0.0; a < 360*min(max(finite(v.snap.Progress), 0), 1); a++ {
			d.set(p.on(a, radius), strong)
		}
	}
	for a := 0; a < 360; a += 3 {
		d.set(p.on(float64(a), table), quiet)
	}
	for i := range v.angles {
		at := markOf(v.azimuth, v.angles[i].azimuth)
		d.line(p.on(at, table), p.on(at, table-2), plain)
	}
	if v.turning {
		ghost := p.outline(h.outline, v.turnTo)
		for i := range ghost {
			if i%2 == 0 {
				d.line(ghost[i], ghost[(i+1)%len(ghost)], t.accent())
			}
		}
	}
	t.textBeams(d, &p)
	if v.stood {
		d.outline(p.outline(h.outline, v.azimuth), true, style{ink: t.pal.rim})
	}

	t.textMarks(d, &p, &h, table)
	d.onto(t.grid)
}

// textMarks are the words and signs of the plan, which have their cells before
// the dots do.
func (t *page) textMarks(d *dots, p *projection, h *hull, table float64) {
	v := t.v
	if !v.stood {
		cx, cy := d.cellOf(p.centre)
		t.put(cx, cy, "?", 1, strong)
	}
	px, py := d.cellOf(p.on(0, table+3))
	t.put(px, py, "▲", 1, strong)
	cx, cy := d.cellOf(p.on(0, p.radius+2))
	t.put(cx-3, min(cy+1, d.y+d.height-1), "camera", 6, quiet)
	type mark struct {
		x, y  int
		name  string
		style style
	}
	var marks []mark
	for i := range v.lamps {
		l := &v.lamps[i]
		if !l.stand.place.Known {
			continue
		}
		s := p.see(&l.stand, v.azimuth)
		at := s.middle
		if s.overhead { // its upper edge, out of the hull's way
			at = s.face[0].toward(s.face[1], 0.5)
			if q := s.face[2].toward(s.face[3], 0.5); q.y < at.y {
				at = q
			}
		}
		sign, st := "◇", quiet
		switch {
		case l.out:
			sign = "×"
		case l.picked:
			sign, st = "◉", style{bold: true, ink: t.pal.swatch(l.light, v.white)}
		case l.lit:
			sign, st = "◆", style{bold: true, ink: t.pal.swatch(l.light, v.white)}
		}
		mx, my := d.cellOf(at)
		mx, my = min(max(mx, d.x), d.x+d.width-1), min(max(my, d.y), d.y+d.height-1)
		t.put(mx, my, sign, 1, st)
		name := style{}
		if !l.lit {
			name = quiet
		}
		marks = append(marks, mark{mx, my, l.name, name})
	}
	for i := range v.cards {
		c := &v.cards[i]
		if !c.stand.place.Known {
			continue
		}
		s := p.see(&c.stand, v.azimuth)
		mx, my := d.cellOf(s.middle)
		sign := "□"
		if c.kind == cue.CardBlack {
			sign = "■"
		}
		t.put(mx, my, sign, 1, plain)
		marks = append(marks, mark{mx, my, c.name, quiet})
	}
	for i := range v.angles {
		if a := &v.angles[i]; a.now {
			ax, ay := d.cellOf(p.on(markOf(v.azimuth, a.azimuth), table-5))
			if words := degreesWords(a.azimuth); t.blank(ax-2, ay, columns(words)+2) {
				t.put(ax-1, ay, words, 6, strong)
			}
		}
	}
	for _, along := range []float64{0.82, 0.6, 0.95, 0.4} { // as near the bow as there is room
		bx, by := d.cellOf(p.at(space.Vec{Y: -h.length / 2 * along}.Turn(v.azimuth)))
		if v.stood && t.blank(bx-1, by, 3) {
			t.put(bx-1, by, "bow", 3, style{bold: true, ink: t.pal.accent})
			break
		}
	}
	for _, m := range marks {
		t.nameBeside(d, m.x, m.y, m.name, m.style)
	}
}

// nameBeside writes a name beside a mark, away from the middle if it can, within
// the plan and over no other text; shortened where it must be.
func (t *page) nameBeside(d *dots, x, y int, name string, st style) {
	n := columns(name)
	outer := x >= d.x+d.width/2
	for _, want := range []int{n, min(n, 8), min(n, 4)} {
		for _, dy := range []int{0, 1, -1} {
			for _, right := range []bool{outer, !outer} {
				if dy == 0 && right != outer && want == n {
					continue // above or below is better than toward the middle
				}
				at := x + 2
				if !right {
					at = x - 1 - want
				}
				if dy != 0 {
					at = min(max(x-want/2, d.x), d.x+d.width-want)
				}
				if at < d.x || at+want > d.x+d.width || y+dy < d.y || y+dy >= d.y+d.height {
					continue
				}
				if t.blank(at-1, y+dy, want+2) || at == d.x && t.blank(at, y+dy, want+1) {
					t.put(at, y+dy, name, want, st)
					return
				}
			}
		}
	}
}

// textBeams are the ways of the light: denser for more of it.
func (t *page) textBeams(d *dots, p *projection) {
	v := t.v
	for i := range v.lamps {
		l := &v.lamps[i]
		if !l.lit || !l.stand.place.Known || l.lights == backdrop {
			continue
		}
		s := p.see(&l.stand, v.azimuth)
		if s.overhead {
			continue
		}
		st := style{dim: l.glow < 0.5, ink: t.pal.swatch(l.light, v.white)}
		apart := 1.5 + 5*(1-l.glow)
		from := s.middle
		way := p.centre.sub(from)
		reach := way.len() - max(p.scale*0.06, 6)
		for r := 4.0; r < reach; r += apart {
			d.set(from.add(way.unit().mul(r)), st)
		}
		a, b := s.extent(point{-s.way.y, s.way.x})
		d.line(a, b, st)
	}
}
