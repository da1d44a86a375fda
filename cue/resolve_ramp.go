package cue

import (
	"encoding/binary"
	"math"
	"slices"

	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// wantAt is what is wanted at one point of a ramp.
type wantAt struct {
	want
	at    float64
	curve fade.Curve // of the stretch that leads here
	path  fade.Path
	place fixtures.Origin
}

// along is what is wanted along a ramp that lies over w: a point says of level
// and colour what an entry would say there.
func (w *want) along(r *Ramp, look bool) []wantAt {
	points := make([]wantAt, len(r.Points))
	for i := range r.Points {
		p, to := &r.Points[i], &points[i]
		to.want, to.at, to.place = *w, p.At, p.Origin
		to.lay(&Entry{Level: p.Level, Colour: p.Colour, LevelAt: p.LevelAt, ColourAt: p.ColourAt}, look)
		if p.Curve != nil {
			to.curve = *p.Curve
		}
		if p.Path != nil {
			to.path = *p.Path
		}
	}
	return points
}

// along turns a share whose cells differ into light; false where a level cannot
// be told.
func (v *resolver) along(i int, h *share, key keyLight, l *Light) bool {
	l.Colour = rampColour(h.ramp)
	lit, ok := v.points(i, h, key, true)
	if !ok {
		return false
	}
	cells := v.cells(h, lit)
	l.Asked = fixtures.Mean(cells)
	if slices.ContainsFunc(cells, func(c colour.XYZ) bool { return c != cells[0] }) {
		l.Cells = cells
	}
	most := 1.0
	if xy, ok := l.Asked.XY(); ok {
		l.Aim = xy
		if v.renderer != nil {
			aim := v.renderer.Reach(h.source, xy)
			l.Aim, l.DeltaUV, most = aim.XY, aim.DeltaUV, aim.MaxY
		}
	}
	l.Level = v.rampLevel(h, key, l.Asked.Y, most)
	return true
}

// points is the light at each point of a ramp, clipped to what the source
// gives; tell says whether what is found wrong with them is told.
func (v *resolver) points(i int, h *share, key keyLight, tell bool) (lit []colour.XYZ, ok bool) {
	lit, ok = make([]colour.XYZ, len(h.ramp)), true
	for k := range h.ramp {
		p := &h.ramp[k]
		if p.off() {
			if p.level == nil && tell {
				v.darkPoint(i, p)
			}
			continue
		}
		printed := p.printed()
		y, known := v.asks(i, &printed, key)
		if !known {
			ok = false
			continue
		}
		c := v.tone(h.source, p.colour)
		if tell {
			v.checkGamut(&p.want, c)
			if asked, _ := v.asks(i, &p.want, key); asked > c.aim.MaxY {
				v.checkReach(i, &p.want, c, asked)
			}
		}
		y = min(y, c.aim.MaxY)
		if y > 0 {
			lit[k] = c.xy.XYZ(y)
		}
	}
	return lit, ok
}

// printed is what is wanted with a change of level as the level it prints as: a ramp
// whose change is written into its points plays what it played before.
func (w *want) printed() want {
	out := *w
	if w.change != 0 {
		level := w.level.Shift(w.change)
		out.level, out.change = &level, 0
	}
	return out
}

// cells is the light of every cell of a ramp with these points, none brighter
// than the source can be at its colour. Ramps alike share their cells.
func (v *resolver) cells(h *share, lit []colour.XYZ) []colour.XYZ {
	key := rampKey(h, lit)
	if cells, ok := v.strips[key]; ok {
		return cells
	}
	cells := make([]colour.XYZ, v.cellCount(h.source))
	if v.stripSize += len(cells); v.stripSize > MaxRampCells {
		if v.stripSize-len(cells) <= MaxRampCells {
			v.findings.err(h.ramp[0].place, "use fewer different ramps", "the ramps of the shoot come to more than %d cells", MaxRampCells)
		}
		return cells
	}
	next := 0 // the first point beyond the cell
	var between fade.Fade
	centre := v.shoot.Camera.White.XY().UV()
	for c := range cells {
		at := float64(c) / float64(len(cells)-1)
		for next < len(h.ramp) && h.ramp[next].at <= at {
			next++
			if next < len(h.ramp) {
				p := &h.ramp[next]
				between = fade.New(p.curve, p.path, lit[next-1], lit[next], centre)
			}
		}
		switch {
		case next == 0:
			cells[c] = lit[0]
		case next == len(h.ramp):
			cells[c] = lit[next-1]
		default:
			from, to := h.ramp[next-1].at, h.ramp[next].at
			cells[c] = v.clipped(h.source, between.At((at-from)/(to-from)))
		}
	}
	v.strips[key] = cells
	return cells
}

// clipped is a light that is no brighter than the source can be at its colour.
func (v *resolver) clipped(source int, light colour.XYZ) colour.XYZ {
	xy, ok := light.XY()
	if !ok || v.renderer == nil {
		return light
	}
	if most := v.renderer.Reach(source, xy).MaxY; light.Y > most {
		return xy.XYZ(most)
	}
	return light
}

// rampKey tells different ramps apart.
func rampKey(h *share, lit []colour.XYZ) string {
	key := binary.LittleEndian.AppendUint32(nil, uint32(h.source))
	for i := range lit {
		p, c := &h.ramp[i], &lit[i]
		for _, x := range []float64{p.at, c.X, c.Y, c.Z} {
			key = binary.LittleEndian.AppendUint64(key, math.Float64bits(x))
		}
		key = append(key, byte(p.curve), byte(p.path))
	}
	return string(key)
}

// rampLevel is the mean of a ramp in the unit of its first level.
func (v *resolver) rampLevel(h *share, key keyLight, y, most float64) string {
	if !(y > 0) {
		return Level{}.String()
	}
	i := slices.IndexFunc(h.ramp, func(p wantAt) bool { return !p.off() })
	l := h.ramp[i].level
	lux := float64(v.shoot.Rig.Sources[h.source].Full * y)
	switch l.Kind() {
	case LevelPercent:
		return l.With(y / most).String()
	case LevelStops:
		return l.With(math.Log2(y / most)).String()
	case LevelLux:
		return l.With(lux).String()
	}
	return l.With(key.stops(lux)).String()
}

// rampColour names the colours of a ramp's ends.
func rampColour(ramp []wantAt) string {
	name := func(p *wantAt) string {
		if p.colour == nil {
			return (&colour.Spec{}).String()
		}
		return p.colour.String()
	}
	first, last := name(&ramp[0]), name(&ramp[len(ramp)-1])
	if first == last {
		return first
	}
	return first + " to " + last
}
