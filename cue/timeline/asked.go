package timeline

import (
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

const (
	// AimShare is the level of a light that somebody aims, of the most it gives at
	// its colour, and AimLux the most it then gives at the aim point, where its
	// reading is known: light that the eye bears when it meets it by mistake, and
	// still shows where the beam falls. Common practice, no source; it makes no
	// light safe to look into.
	AimShare = 0.1
	AimLux   = 250.0

	// MaxWhole is the most the whole set can be raised or lowered, stops.
	MaxWhole = 12.0
)

// target is what is asked of one source, all layers counted.
type target struct {
	light colour.XYZ
	cells []colour.XYZ // nil: all alike
	swell float64      // stops that it swells by, either way
	gain  float64      // above 0: it follows the table by this factor, and light is where that ends
	sent  *landed      // it lands as it was sent once; nil: as the still rule says
}

// same says whether two targets ask the same of a source. One that follows an
// azimuth told from outside has no end to compare.
func (t *target) same(o *target, told bool) bool {
	if t.gain != o.gain || t.swell != o.swell || (t.sent == nil) != (o.sent == nil) {
		return false
	}
	if t.sent != nil && !slices.Equal(t.sent.landing, o.sent.landing) {
		return false
	}
	return t.gain > 0 && told || t.light == o.light && slices.Equal(t.cells, o.cells)
}

// targets is what layers over a scene ask of each source, and which sources the
// whole set's level takes to what they can give. The scene is nil before any
// cue is called.
func (p *Player) targets(l *Layers, scene *cue.Resolved, sentAs []*landed, lead lead) (all []target, limits []int) {
	all = make([]target, len(p.changes))
	if l.Work {
		for i := range all {
			all[i] = p.of(p.work, i)
		}
		return all, nil
	}
	if l.Dark || scene == nil {
		return all, nil
	}
	p.landings.work.Lock()
	defer p.landings.work.Unlock()
	for i := range all {
		t := &all[i]
		switch {
		case l.Aim >= 0:
			if i == l.Aim {
				*t = target{light: p.aimed(scene, i)}
			}
			continue
		case l.Alone >= 0 && i != l.Alone && i != l.Identify,
			l.Alone < 0 && slices.Contains(l.Without, i) && i != l.Identify:
			continue
		}
		if lead.ends != nil {
			lead.target(t, i, math.Exp2(l.Whole))
			if l.Identify >= 0 && !lead.moving {
				p.identify(t, scene, i, i == l.Identify)
			}
			continue
		}
		*t = p.of(scene, i)
		if sentAs != nil && l.Whole == 0 && l.Identify < 0 {
			t.sent = sentAs[i]
		}
		if l.Whole != 0 && p.scale(t, i, math.Exp2(l.Whole)) {
			limits = append(limits, i)
		}
		if l.Identify >= 0 {
			p.identify(t, scene, i, i == l.Identify)
		}
	}
	return all, limits
}

// of is the light of source i in a scene.
func (p *Player) of(scene *cue.Resolved, i int) target {
	l := &scene.Light[i]
	if n := p.layouts[i].Cells; n == 1 || len(l.Cells) != n { // of another rig
		return target{light: l.Asked}
	}
	return target{light: l.Asked, cells: l.Cells}
}

// aimed is the light of a source that somebody aims: in the colour it has, else
// in the camera's white.
func (p *Player) aimed(scene *cue.Resolved, i int) colour.XYZ {
	xy, lit := scene.Light[i].Asked.XY()
	if !lit {
		xy = p.reported
	}
	y := float64(AimShare * p.landings.renderer.Reach(i, xy).MaxY)
	if full := p.shoot.Rig.Sources[i].Full; full > 0 {
		y = min(y, AimLux/full)
	}
	if !(y > 0) {
		return colour.XYZ{}
	}
	return xy.XYZ(y)
}

// limitSlack is the least by which a light must pass what its source gives to
// be told of, as a factor: a twentieth of a stop, which rounds to a tenth.
var limitSlack = math.Exp2(0.05)

// scale multiplies what is asked of source i, its colour held, as far as the source
// gives it; limit says that this falls short.
func (p *Player) scale(t *target, i int, by float64) (limit bool) {
	if t.cells == nil {
		t.light, limit = p.scaled(t.light, i, by)
		return limit
	}
	cells := make([]colour.XYZ, len(t.cells))
	for j, c := range t.cells {
		var short bool
		cells[j], short = p.scaled(c, i, by)
		limit = limit || short
	}
	t.cells, t.light = cells, fixtures.Mean(cells)
	return limit
}

func (p *Player) scaled(c colour.XYZ, i int, by float64) (out colour.XYZ, limit bool) {
	xy, lit := c.XY()
	if !lit {
		return c, false
	}
	if by > 1 {
		most := p.landings.renderer.Reach(i, xy).MaxY
		if y := float64(c.Y * by); y > most {
			by, limit = most/c.Y, y > float64(most*limitSlack)
		}
		by = max(by, 1) // what already passes it stays as it is
	}
	return times(c, by), limit
}

// times is a light by a factor, its colour held.
func times(c colour.XYZ, by float64) colour.XYZ {
	return colour.XYZ{X: float64(c.X * by), Y: float64(c.Y * by), Z: float64(c.Z * by)}
}
