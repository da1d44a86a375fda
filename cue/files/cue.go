package files

import (
	"limn/cue"
	"limn/fixtures/nearest"
	"limn/profiles/tomlfile"
)

// cue reads one [[cue]].
func (l *loader) cue(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Cues), cue.MaxCues, "cues", t) ||
		!l.room(len(l.shoot.Cues)*len(l.shoot.Rig.Sources), cue.MaxLights, "cues times sources", t) {
		return
	}
	c := cue.Cue{Origin: origin(t.Pos())}
	name := l.name(t, `name = "bow"`)
	c.Name = name
	if t.Has("from") {
		c.From, _ = t.String("from")
		c.FromAt = origin(t.ValuePos("from"))
	}
	l.cueAngle(t, &c)
	l.cueLooks(t, &c)
	c.Timing = l.timing(t)
	c.Light = l.light(t.Table("light"))
	c.Exceptions = l.exceptions(t.Table("look"))
	l.cueCards(t.Table("card"), &c)
	c.Places = l.cuePlaces(t.Table("place"))
	if camera := t.Table("camera"); camera != nil {
		set := l.settings(camera)
		c.Camera = &set
	}
	c.Note, _ = t.String("note")
	if name != "" {
		l.shoot.Cues = append(l.shoot.Cues, c)
	}
}

// cueAngle reads the angle of a cue: a name or degrees.
func (l *loader) cueAngle(t *tomlfile.Table, c *cue.Cue) {
	v, ok := t.Value("angle")
	if !ok {
		return
	}
	c.AngleAt = origin(v.Pos())
	if name, isText := v.Text(); isText {
		if name == "" {
			l.ps.Error(v.Pos(), `write angle = "bow three-quarter", or degrees: angle = 35`, "the angle is empty")
		}
		c.Angle = name
		return
	}
	n, isNumber := v.Number()
	switch {
	case !isNumber:
		l.ps.Error(v.Pos(), `write angle = "bow three-quarter", or degrees: angle = 35`, "the angle is %s, a name or a number is wanted", v.Kind())
	case !(n >= -cue.MaxAzimuth && n <= cue.MaxAzimuth):
		l.ps.Error(v.Pos(), rangeOf(cue.MaxAzimuth), "the angle %g is out of range", n)
	default:
		c.Azimuth = &n
	}
}

// MaxLooks is the most looks one cue may take.
const MaxLooks = 64

func (l *loader) cueLooks(t *tomlfile.Table, c *cue.Cue) {
	v, ok := t.Value("looks")
	if !ok {
		return
	}
	values, isList := v.List()
	if !isList {
		cure := `write looks = ["dusk"]`
		if name, isText := v.Text(); isText {
			cure = "write looks = [" + tomlfile.Quote(name) + "]"
		}
		l.ps.Error(v.Pos(), cure, "looks is %s, a list of names is wanted", v.Kind())
		return
	}
	if len(values) > MaxLooks {
		l.ps.Error(v.Pos(), "make one look of several", "%d looks are more than %d", len(values), MaxLooks)
		return
	}
	for _, v := range values {
		name, isText := v.Text()
		if !isText {
			l.ps.Error(v.Pos(), `write looks = ["dusk"]`, "a look is %s, a name is wanted", v.Kind())
			continue
		}
		c.Looks = append(c.Looks, name)
		c.LooksAt = append(c.LooksAt, origin(v.Pos()))
	}
}

// cueCards reads [cue.card]: each key the name of a card.
func (l *loader) cueCards(t *tomlfile.Table, c *cue.Cue) {
	for _, name := range t.Keys() {
		i, known := l.cards[name]
		sub := t.Table(name)
		if !known {
			if !l.damaged {
				l.ps.Error(t.KeyPos(name), nearest.DidYouMean(name, l.cardNames()), "no card is called %s", tomlfile.Quote(name))
			}
			i = -1
		}
		p := cue.CardPlace{Origin: origin(t.KeyPos(name)), Card: i, Place: l.place(sub)}
		if mark, ok := sub.String("mark"); ok {
			p.Mark = mark
			l.fit("mark", mark, sub.ValuePos("mark"), `mark = "tape C"`)
		}
		p.Out, _ = sub.Bool("out")
		if p.Out && p.Place.Known {
			l.ps.Error(sub.KeyPos("out"), "take out one of the two", "card %s has a place and is taken away", tomlfile.Quote(name))
		}
		if known && sub != nil {
			c.Cards = append(c.Cards, p)
		}
	}
}
