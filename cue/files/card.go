package files

import (
	"fmt"
	"slices"

	"limn/fixtures/nearest"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// card reads one [[card]].
func (l *loader) card(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Cards), cue.MaxNames, "cards", t) {
		return
	}
	c := cue.Card{Origin: origin(t.Pos())}
	name := l.name(t, `name = "keel black"`)
	c.Name = name
	t.Require("kind", `kind = "white" (bounces) or "black" (takes light away)`)
	c.Kind, _ = t.OneOf("kind", cue.CardWhite, cue.CardBlack)
	c.Width, _ = length(t, "width")
	c.Height, _ = length(t, "height")
	c.Reflectance = l.portion(t, "reflectance", "88 %")
	c.Note, _ = t.String("note")
	if _, taken := l.cards[name]; name != "" && !taken {
		l.cards[name] = len(l.shoot.Cards)
	}
	l.shoot.Cards = append(l.shoot.Cards, c)
}

func (l *loader) cardNames() []string {
	names := make([]string, len(l.shoot.Cards))
	for i := range l.shoot.Cards {
		names[i] = l.shoot.Cards[i].Name
	}
	return names
}

// groups reads [group]: each key a name, each value a list of sources.
func (l *loader) groups(t *tomlfile.Table) {
	for _, name := range t.Keys() {
		if !l.room(len(l.shoot.Groups), cue.MaxNames, "groups", t) {
			return
		}
		l.fit("name", name, t.KeyPos(name), `strokes = ["left stroke", "right stroke"]`)
		v, _ := t.Value(name)
		values, ok := v.List()
		if !ok {
			l.ps.Error(v.Pos(), fmt.Sprintf(`write %s = ["left stroke", "right stroke"]`, tomlfile.Quote(name)), "a group is %s, a list of sources is wanted", v.Kind())
			continue
		}
		if len(values) == 0 {
			l.ps.Warn(v.Pos(), "name its sources, or take it out", "group %s is empty", tomlfile.Quote(name))
		}
		g := cue.Group{Origin: origin(t.KeyPos(name)), Name: name}
		for _, v := range values {
			l.member(v, &g)
		}
		l.enter(name, thing{true, len(l.shoot.Groups)})
		l.shoot.Groups = append(l.shoot.Groups, g)
	}
}

// member reads one source of a group.
func (l *loader) member(v tomlfile.Value, g *cue.Group) {
	name, ok := v.Text()
	if !ok {
		l.ps.Error(v.Pos(), "write the names of sources", "a member of a group is %s, a text is wanted", v.Kind())
		return
	}
	is, known := l.things[name]
	switch {
	case !known && l.damaged:
	case !known:
		l.ps.Error(v.Pos(), nearest.DidYouMean(name, l.names), "no source is called %s", tomlfile.Quote(name))
	case is.group:
		l.ps.Error(v.Pos(), "write its sources one by one", "%s is a group, a group is made of sources", tomlfile.Quote(name))
	case slices.Contains(g.Members, is.index):
		l.ps.Error(v.Pos(), "write it once", "%s is there twice", tomlfile.Quote(name))
	case l.dark(is.index):
		l.ps.Error(v.Pos(), "take it out", "%s gives no light", tomlfile.Quote(name))
	default:
		g.Members = append(g.Members, is.index)
	}
}

// dark says whether a source gives no light at all: a motor table.
func (l *loader) dark(i int) bool {
	s := &l.shoot.Rig.Sources[i]
	return !s.Hand && s.Profile != nil && !s.Profile.HasLight()
}
