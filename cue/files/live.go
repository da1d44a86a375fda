package files

import (
	"limn/cue"
	"limn/fixtures/nearest"
	"limn/profiles/tomlfile"
)

// What is written for the running shoot: light to work by, what one cue changes
// of a look, sources that are moved for a cue.

// work reads [work], once sources and groups are known.
func (l *loader) work(t *tomlfile.Table) {
	if t == nil {
		return
	}
	l.shoot.Work = cue.Work{Origin: origin(t.Pos()), Light: l.light(t.Table("light"))}
	l.shoot.Work.WithNext, _ = t.Bool("with-next")
	for i, e := range l.shoot.Work.Light {
		if e.Change != nil {
			l.ps.Error(tomlfile.Pos(e.LevelAt), `write its level, as in "30 %"`, "work light stands over no other, so there is no level to change for %s",
				tomlfile.Quote(l.shoot.Rig.Sources[i].Name))
		}
	}
}

// exceptions reads [cue.look.NAME]: what one cue changes of a look.
func (l *loader) exceptions(t *tomlfile.Table) []cue.Exception {
	var out []cue.Exception
	for _, name := range t.Keys() {
		sub := t.Table(name)
		if sub == nil {
			continue
		}
		out = append(out, cue.Exception{Origin: origin(t.KeyPos(name)), Look: name, Light: l.light(sub)})
	}
	return out
}

// cuePlaces reads [cue.place.NAME]: where a source stands that is moved for a cue.
func (l *loader) cuePlaces(t *tomlfile.Table) []cue.SourcePlace {
	var out []cue.SourcePlace
	for _, name := range t.Keys() {
		sub := t.Table(name)
		is, known := l.things[name]
		switch {
		case !known && !l.damaged:
			l.ps.Error(t.KeyPos(name), nearest.DidYouMean(name, l.names), "no source is called %s", tomlfile.Quote(name))
		case known && is.group:
			l.ps.Error(t.KeyPos(name), "write a place for each of its sources", "%s is a group, and its sources cannot all stand in one place", tomlfile.Quote(name))
			known = false
		}
		if sub == nil {
			continue
		}
		p := cue.SourcePlace{Origin: origin(t.KeyPos(name)), Source: is.index}
		mark, marked := sub.String("mark")
		if marked {
			p.Mark = mark
			l.fit("mark", mark, sub.ValuePos("mark"), `mark = "tape C"`)
		}
		if !marked || sub.Has("azimuth") || sub.Has("elevation") || sub.Has("distance") || sub.Has("rides") {
			p.Place = l.placeIn(sub)
		}
		if known {
			out = append(out, p)
		}
	}
	return out
}
