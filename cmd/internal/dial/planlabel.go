package dial

import (
	"math"
	"slices"
)

// label is the name of something that stands on the plan.
type label struct {
	name, more string
	anchor     point // what it names
	left       bool
	weight     float64 // who gives way last
	y          float64
	bold       bool
}

// labels names what stands on the plan, in two columns that follow the ring.
func (d *planner) labels(lamps, cards []seen) {
	var all []label
	for i := range lamps {
		l := &d.v.lamps[i]
		if !l.stand.place.Known {
			continue
		}
		n := label{name: l.name, more: l.planWords(), anchor: d.anchor(&lamps[i]), weight: 1 + l.glow, bold: true}
		if l.lit || l.picked {
			n.weight++
		}
		if lamps[i].far && l.stand.placed() {
			n.more += ", at " + l.stand.place.Distance.String()
		}
		all = append(all, n)
	}
	for i := range cards {
		c := &d.v.cards[i]
		if c.stand.place.Known {
			all = append(all, label{name: c.name, more: c.planWords(), anchor: d.anchor(&cards[i]), weight: 1.5})
		}
	}
	if d.p.turn != 0 {
		all = append(all, label{name: "camera", anchor: d.p.on(0, d.size.radius-12), weight: 9})
	}
	var left, right []label
	for _, n := range all {
		if n.left = n.anchor.x < d.p.centre.x; n.left {
			left = append(left, n)
		} else {
			right = append(right, n)
		}
	}
	d.column(left)
	d.column(right)
}

// planWords is what the plan says of a source beside its name.
func (l *lamp) planWords() string {
	if l.out {
		return "taken out"
	}
	return l.figure()
}

// planWords is what the plan says of a card beside its name.
func (c *card) planWords() string {
	if c.stand.mark != "" {
		return c.stand.mark
	}
	return clean(c.kind + " card")
}

// anchor is where the line to a label begins.
func (d *planner) anchor(s *seen) point {
	if !s.overhead {
		return s.middle
	}
	return slices.MinFunc(s.face[:], func(a, b point) int { // the upper corner, on the side the source stands on
		ya, yb := a.y-math.Abs(a.x-d.p.centre.x)*0.01, b.y-math.Abs(b.x-d.p.centre.x)*0.01
		switch {
		case ya < yb:
			return -1
		case ya > yb:
			return 1
		}
		return 0
	})
}

// column places one column of labels so that none lies on another, and draws
// them; where there are too many, the weightiest. It says which.
func (d *planner) column(list []label) []label {
	high := d.size.label*2 + 7
	top, bottom := d.p.centre.y-d.size.radius+4, d.p.centre.y+d.size.radius-high+12
	if room := max(int((bottom-top)/high)+1, 1); len(list) > room {
		slices.SortStableFunc(list, func(a, b label) int { return compare(b.weight, a.weight) })
		list = list[:room]
	}
	slices.SortStableFunc(list, func(a, b label) int { return compare(a.anchor.y, b.anchor.y) })
	for i := range list {
		list[i].y = max(list[i].anchor.y-d.size.label*0.2, top)
		if i > 0 {
			list[i].y = max(list[i].y, list[i-1].y+high)
		}
	}
	limit := bottom
	for i := len(list) - 1; i >= 0; i-- {
		list[i].y = min(list[i].y, limit)
		limit = list[i].y - high
	}
	for i := range list {
		d.label(&list[i])
	}
	return list
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func (d *planner) label(n *label) {
	pal, size := d.pal, d.size.label
	out := d.size.radius + 20
	// As far out as the ring is at either line of the label.
	dy := max(math.Abs(n.y-d.p.centre.y), math.Abs(n.y+size-d.p.centre.y)) - size
	edge := math.Sqrt(max(out*out-dy*dy, 0))
	x, anchor := d.p.centre.x+edge, atStart
	room := d.box.right() - x
	if n.left {
		x, anchor = d.p.centre.x-edge, atEnd
		room = x - d.box.x
	}
	gap := -5.0
	if n.left {
		gap = 5
	}
	d.line(paint{class: "leader", stroke: pal.line, width: 0.8}, n.anchor, point{x + gap, n.y - size*0.1})
	name := lines(n.name, size, n.bold, room, 2)
	if len(name) == 2 {
		n.more = ""
	}
	for i, l := range name {
		d.text(script{class: "name", fill: pal.text, size: size, bold: n.bold, anchor: anchor, halo: pal.ground}, point{x, n.y + size*(0.25+1.1*float64(i))}, l, room)
	}
	d.text(script{class: "dim", fill: pal.dim, size: size * 0.9, anchor: anchor, halo: pal.ground}, point{x, n.y + size*1.35}, n.more, room)
}
