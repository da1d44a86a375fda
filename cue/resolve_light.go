package cue

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

const (
	// minShort is the least shortage that is told, in stops: what rounds to a
	// tenth, the step of a light meter.
	minShort = 0.05
	// minOutside is the least Δu'v' out of gamut that is told: one step, which
	// side by side few people see (CIE TN 001:2014).
	minOutside = colour.Step
)

// light turns one source's share of cue i into light. key is the key's lux.
func (v *resolver) light(i int, h *share, key keyLight, l *Light) {
	l.Level = "off"
	l.Lux, l.KeyStops = math.NaN(), math.NaN()
	if h.colour != nil {
		l.Colour = h.colour.String()
	}
	if h.unclear {
		return // reported; the shoot cannot be played
	}
	if h.off() {
		if h.named || v.givesLight(h.source) {
			l.Lux, l.KeyStops = 0, math.Inf(-1)
		}
		if h.level != nil {
			l.Level = h.level.String()
		}
		return
	}
	lit := v.plain
	if h.ramp != nil {
		lit = v.along
	}
	if !lit(i, h, key, l) {
		return // reported; the shoot cannot be played
	}
	y := l.Asked.Y
	if src := &v.shoot.Rig.Sources[h.source]; src.Full > 0 {
		l.Lux = float64(src.Full * y)
	}
	l.KeyStops = key.stops(l.Lux)
	if h.source == v.key {
		l.KeyStops = 0
	}
	if y <= 0 {
		l.KeyStops = math.Inf(-1)
	}
}

// plain turns a share whose cells are alike into light; false where its level
// cannot be told.
func (v *resolver) plain(i int, h *share, key keyLight, l *Light) bool {
	c := v.tone(h.source, h.colour)
	l.Colour = c.spec.String()
	l.Aim, l.DeltaUV = c.aim.XY, c.aim.DeltaUV
	y, ok := v.asks(i, &h.want, key)
	if !ok {
		return false
	}
	l.Level = h.level.String()
	v.checkGamut(&h.want, c)
	given := y
	if y > c.aim.MaxY {
		given = c.aim.MaxY
		v.checkReach(i, &h.want, c, y)
	}
	if h.change != 0 || h.held {
		l.Level = h.reformat(c.aim.MaxY, given).String()
	}
	if given > 0 {
		l.Asked = c.xy.XYZ(given)
	}
	return true
}

// givesLight says whether a source is a light at all; a motor table is not.
func (v *resolver) givesLight(i int) bool {
	src := &v.shoot.Rig.Sources[i]
	return src.Hand || src.Profile == nil || src.Profile.HasLight()
}

// asks is the luminance a level comes to, before it is clipped; ok is false
// where it cannot be told.
func (v *resolver) asks(i int, h *want, key keyLight) (y float64, ok bool) {
	src := &v.shoot.Rig.Sources[h.source]
	switch l := *h.level; l.Kind() {
	case LevelPercent:
		y = float64(l.Value() * v.anchorMax(h))
	case LevelStops:
		y = float64(math.Exp2(l.Value()) * v.anchorMax(h))
	case LevelLux:
		if !(src.Full > 0) {
			v.noReading(i, h, h.source)
			return 0, false
		}
		y = l.Value() / src.Full
	case LevelKey:
		if !v.checkKey(i, h, key) {
			return 0, false
		}
		y = float64(math.Exp2(l.Value())*key.lux) / src.Full
	}
	if h.change != 0 {
		y = float64(y * math.Exp2(h.change))
	}
	return y, true
}

// anchorMax is the most light at the colour the level counts at.
func (v *resolver) anchorMax(h *want) float64 {
	return v.tone(h.source, h.anchor).aim.MaxY
}

// reformat gives the level that was changed or held, now Y of at most most, in
// the unit it was written in.
func (h *want) reformat(most, y float64) Level {
	l := *h.level
	switch l.Kind() {
	case LevelPercent:
		return l.With(y / most)
	case LevelStops:
		return l.With(math.Log2(y / most))
	case LevelLux, LevelKey:
		if h.change == 0 {
			return l
		}
		if l.Kind() == LevelKey {
			return l.With(l.Value() + h.change)
		}
		return l.With(float64(l.Value() * math.Exp2(h.change)))
	}
	return l
}

// checkReach tells what a source cannot give.
func (v *resolver) checkReach(i int, h *want, c *tone, y float64) {
	short := math.Log2(y / c.aim.MaxY)
	if !(short >= minShort) {
		return
	}
	src := &v.shoot.Rig.Sources[h.source]
	name := v.shoot.Cues[i].Name
	if h.held && h.change == 0 {
		// What the level itself could not give at the colour it was written for is
		// not the look's doing.
		short = math.Log2(math.Min(y, v.anchorMax(h)) / c.aim.MaxY)
		if !(short >= minShort) {
			return
		}
		v.findings.in(i, name, shortOfHeld, h.source, short, fixtures.Fault{
			Origin: h.colourAt, Warning: true,
			What: fmt.Sprintf("%q at %s is %s short of the light it has at %s", src.Name, c.spec, tenths(short), v.tone(h.source, h.anchor).spec),
			Cure: "lower its level there, or take a colour it gives more of",
		})
		return
	}
	asked := fmt.Sprintf("%q", h.level)
	if h.change != 0 {
		asked += fmt.Sprintf(" changed by %+.2g stops", h.change)
	}
	most := "100 %"
	if src.Full > 0 {
		most = fmt.Sprintf("%.0f lx", src.Full*c.aim.MaxY)
	}
	switch {
	case src.Full > 0 && (h.level.Kind() != LevelLux || h.change != 0):
		asked += fmt.Sprintf(" (%.0f lx)", src.Full*y)
	case src.Full <= 0:
		asked += fmt.Sprintf(" (%.0f %%)", 100*y/c.aim.MaxY)
	}
	v.findings.in(i, name, beyondReach, h.source, short, fixtures.Fault{
		Origin: h.levelAt, Warning: true,
		What: fmt.Sprintf("%q gives at most %s at %s: %s is clipped, %s short", src.Name, most, c.spec, asked, tenths(short)),
		Cure: "lower it, or bring the source nearer",
	})
}

// tenths is a number of stops as a light meter counts them: "0.4 stop", "1.7 stops".
func tenths(stops float64) string {
	text := fmt.Sprintf("%.1f stop", stops)
	if stops >= 1.05 {
		text += "s"
	}
	return text
}

// checkGamut tells what colour a source cannot make, each once. Every white of a source is
// off the same way (the emitters of a two-colour panel lie on a straight line,
// the whites on a curve), so that is said once, at its worst.
func (v *resolver) checkGamut(h *want, c *tone) {
	if c.told || !(c.aim.DeltaUV >= minOutside) {
		return
	}
	c.told = true
	src := &v.shoot.Rig.Sources[h.source]
	where := h.colourAt
	if h.colour == nil {
		where = h.levelAt
	}
	white, isWhite := colour.IsWhite(c.xy)
	nearest := inWords(c.aim.XY)
	steps := c.aim.DeltaUV / colour.Step
	f := fixtures.Fault{
		Origin: where, Warning: true,
		What: fmt.Sprintf("%q cannot make %s: the nearest is %s, Δu'v' %.4f or %.1f steps away", src.Name, asked(c.spec, white, isWhite), nearest, c.aim.DeltaUV, steps),
		Cure: fmt.Sprintf("write colour = %q to ask for what it gives", nearest),
	}
	if isWhite {
		v.findings.once("", offWhite, h.source, c.aim.DeltaUV, f)
		return
	}
	v.findings.colour(h.source, c.xy, f)
}

// asked words a colour for a message.
func asked(s colour.Spec, w colour.White, isWhite bool) string {
	if isWhite && s.FollowsCamera() {
		return fmt.Sprintf("%s (%s)", s, w)
	}
	return s.String()
}

// inWords is a chromaticity as ParseSpec reads it: kelvin and tint for a white,
// xy for anything else.
func inWords(xy colour.XY) string {
	if w, ok := colour.IsWhite(xy); ok {
		return w.String()
	}
	return fmt.Sprintf("xy %.4f %.4f", xy.X, xy.Y)
}
