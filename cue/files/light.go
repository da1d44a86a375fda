package files

import (
	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures/nearest"
	"limn/profiles/tomlfile"
)

// light reads a table of light: each key a source or a group, each value a
// level or a table of level, colour and timing. Groups are spread over their
// members; what is written for a source itself goes over that, key by key.
func (l *loader) light(t *tomlfile.Table) map[int]cue.Entry {
	keys := t.Keys()
	if len(keys) == 0 {
		return nil
	}
	out := make(map[int]cue.Entry, len(keys))
	var own map[int]cue.Entry  // entries for sources, once a group has been met
	var through map[int]string // which group gave a source its entry
	for _, name := range keys {
		is, known := l.things[name]
		v, _ := t.Value(name)
		e := l.entry(name, t.KeyPos(name), v)
		switch {
		case !known && l.damaged:
		case !known:
			l.ps.Error(t.KeyPos(name), nearest.DidYouMean(name, l.names), "no source or group is called %s", tomlfile.Quote(name))
		case is.group:
			if through == nil {
				through, own = map[int]string{}, out
				out = make(map[int]cue.Entry, len(keys))
			}
			for _, m := range l.shoot.Groups[is.index].Members {
				if first, twice := through[m]; twice {
					l.ps.Error(t.KeyPos(name), "write one of the two groups source by source",
						"%s is in the groups %s and %s, which both stand here", tomlfile.Quote(l.shoot.Rig.Sources[m].Name), tomlfile.Quote(first), tomlfile.Quote(name))
					break
				}
				through[m] = name
				out[m] = e
			}
		case l.dark(is.index):
			l.ps.Error(t.KeyPos(name), "take it out", "%s gives no light", tomlfile.Quote(name))
		case through == nil:
			out[is.index] = e
		default:
			own[is.index] = e
		}
	}
	for i, e := range own {
		out[i] = over(e, out[i])
	}
	return out
}

// over lays the keys of e over those of below, an entry through a group.
func over(e, below cue.Entry) cue.Entry {
	e.Unclear = e.Unclear || below.Unclear
	if e.Ramp == nil && below.Ramp != nil {
		e.Ramp = below.Ramp.Under(&e)
	}
	if e.Level == nil && e.Change == nil {
		e.Level, e.Change, e.LevelAt = below.Level, below.Change, below.LevelAt
	}
	if e.Colour == nil {
		e.Colour, e.ColourAt = below.Colour, below.ColourAt
	}
	if e.Fade == nil {
		e.Fade = below.Fade
	}
	if e.Delay == nil {
		e.Delay = below.Delay
	}
	if e.Curve == nil {
		e.Curve = below.Curve
	}
	if e.Path == nil {
		e.Path = below.Path
	}
	return e
}

// entry reads what is said of one source: a level alone, or a table.
func (l *loader) entry(name string, at tomlfile.Pos, v tomlfile.Value) cue.Entry {
	e := cue.Entry{Origin: origin(at)}
	t, isTable := v.Table()
	if !isTable {
		level, ok := tomlfile.ReadValue(v, l.words.level)
		e.Level, e.LevelAt, e.Unclear = level, origin(v.Pos()), !ok
		return e
	}
	if t.Has("level") {
		level, ok := tomlfile.Read(t, "level", l.words.level)
		e.Level, e.LevelAt = level, origin(t.ValuePos("level"))
		e.Unclear = e.Unclear || !ok
	}
	if t.Has("change") {
		change, ok := tomlfile.Read(t, "change", l.words.change)
		e.Change = change
		e.Unclear = e.Unclear || !ok
		if t.Has("level") {
			l.ps.Error(t.KeyPos("change"), "write the level it comes to", "%s has a level and a change of level", tomlfile.Quote(name))
			e.Change = nil
		} else {
			e.LevelAt = origin(t.ValuePos("change"))
		}
	}
	if t.Has("colour") {
		c, ok := tomlfile.Read(t, "colour", l.words.colour)
		e.Colour, e.ColourAt = c, origin(t.ValuePos("colour"))
		e.Unclear = e.Unclear || !ok
	}
	if t.Has("ramp") {
		ramp, ok := l.ramp(t)
		e.Ramp = ramp
		e.Unclear = e.Unclear || !ok
	}
	e.Timing = l.timing(t)
	if e.Level == nil && e.Change == nil && e.Colour == nil && e.Ramp == nil && e.Timing == (cue.Timing{}) && !e.Unclear && !t.Damaged() {
		l.ps.Warn(at, `write { level = "60 %", colour = "5600 K" }, or take it out`, "nothing is said of %s", tomlfile.Quote(name))
	}
	return e
}

// timing reads the keys of timing.
func (l *loader) timing(t *tomlfile.Table) cue.Timing {
	var out cue.Timing
	out.Fade, _ = tomlfile.Read(t, "fade", l.words.time)
	out.Delay, _ = tomlfile.Read(t, "delay", l.words.time)
	out.Curve, out.Path = l.way(t)
	return out
}

// way reads the keys of how light lies between two lights.
func (l *loader) way(t *tomlfile.Table) (curve *fade.Curve, path *fade.Path) {
	if s, ok := t.OneOf("curve", fade.CurveNames()...); ok {
		c, _ := fade.ParseCurve(s)
		curve = &c
	}
	if s, ok := t.OneOf("path", fade.PathNames()...); ok {
		p, _ := fade.ParsePath(s)
		path = &p
	}
	return curve, path
}
