package files

import (
	"strconv"

	"limn/cue"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

const rampCure = `write ramp = [{ at = 0, level = "20 %" }, { at = 1, level = "60 %" }]`

// ramp reads the points of a ramp. Whether they make one is judged when the cues
// are resolved. It is nil where a point could not be placed; ok is false where any
// part could not be read.
func (l *loader) ramp(t *tomlfile.Table) (r *cue.Ramp, ok bool) {
	v, _ := t.Value("ramp")
	list, isList := v.List()
	switch {
	case !isList:
		l.ps.Error(v.Pos(), rampCure, "ramp is %s, a list of points is wanted", v.Kind())
		return nil, false
	case len(list) > cue.MaxRampPoints:
		l.ps.Error(v.Pos(), "leave some out", "a ramp of %d points, more than %d", len(list), cue.MaxRampPoints)
		return nil, false
	}
	r = &cue.Ramp{Origin: origin(t.KeyPos("ramp")), Points: make([]cue.RampPoint, len(list))}
	tables := t.Tables("ramp")
	ok = len(tables) == len(list)
	placed := ok
	for i, pt := range tables {
		here, read := l.rampPoint(pt, &r.Points[i])
		placed, ok = placed && here, ok && here && read
	}
	if !placed {
		return nil, false
	}
	return r, ok
}

// rampPoint reads one point: whether it could be placed, and the rest be read.
func (l *loader) rampPoint(t *tomlfile.Table, p *cue.RampPoint) (placed, read bool) {
	p.Origin, p.AtAt = origin(t.Pos()), origin(t.ValuePos("at"))
	if placed = t.Require("at", "at = 0.5, a share of the strip's length"); placed {
		p.At, placed = l.share(t)
	}
	read = true
	if t.Has("level") {
		p.Level, read = tomlfile.Read(t, "level", l.words.level)
		p.LevelAt = origin(t.ValuePos("level"))
	}
	if t.Has("colour") {
		c, ok := tomlfile.Read(t, "colour", l.words.colour)
		p.Colour, p.ColourAt = c, origin(t.ValuePos("colour"))
		read = read && ok
	}
	p.Curve, p.Path = l.way(t)
	return placed, read
}

// share reads a share of a strip's length.
func (l *loader) share(t *tomlfile.Table) (float64, bool) {
	v, _ := t.Value("at")
	at, ok := v.Number()
	if !ok {
		cure := "write at = 0.5, half way along the strip"
		if text, isText := v.Text(); isText {
			if q, err := quantity.ParsePercent(text); err == nil {
				cure = "write at = " + strconv.FormatFloat(q.Share, 'f', -1, 64)
			}
		}
		l.ps.Error(v.Pos(), cure, "at is %s, a number from 0 to 1 is wanted", v.Kind())
	}
	return at, ok
}
