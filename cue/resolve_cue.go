package cue

import (
	"fmt"
	"math"
	"slices"

	"limn/fixtures"
)

// cue resolves cue i; the cue it comes from is done.
func (v *resolver) cue(i int) {
	c := &v.shoot.Cues[i]
	clear(v.shares)
	s := v.inherit(c)
	v.over(c, s)
	if v.children[i] > 0 {
		s.shares = v.named()
		v.states[i] = s
	}
	v.checkOwn(c, s)
	v.checkPlaces(i, s)
	v.settle(i, s, &v.shoot.Resolved[i])
}

// over lays what a cue says itself over what it comes from: s, and the shares.
func (v *resolver) over(c *Cue, s *state) {
	v.except(c, s)
	for j, name := range c.Looks {
		l, ok := v.looks[name]
		if !ok {
			v.missing(at(c.LooksAt, j, c.Origin), v.didYouMean("look", name, lookNames), "no look is called %q", name)
			s.broken = true
			continue
		}
		v.look(l, s)
	}
	v.lay(c.Light, false)
	v.turn(c, s)
	s.cards = v.cards(c, s.cards)
	s.places = v.places(c, s.places)
	if c.Camera != nil {
		s.camera = c.Camera.over(s.camera)
		v.checkShutter(c, s.camera)
	}
	s.timing = c.Timing.over(s.timing)
}

// look lays a look with the exceptions that hold for it.
func (v *resolver) look(l int, s *state) {
	look := &v.shoot.Looks[l]
	v.lay(look.Light, true)
	for _, e := range s.exceptions {
		if e.Look == look.Name {
			v.lay(e.Light, true)
		}
	}
	s.looks = append(slices.Clip(s.looks), look.Name)
}

// except adds a cue's own exceptions to those it comes from. One of a look that
// already lies there goes over it at once.
func (v *resolver) except(c *Cue, s *state) {
	for k := range c.Exceptions {
		e := &c.Exceptions[k]
		if _, ok := v.looks[e.Look]; !ok {
			v.missing(e.Origin, v.didYouMean("look", e.Look, lookNames), "no look is called %q", e.Look)
			s.broken = true
			continue
		}
		s.exceptions = append(slices.Clip(s.exceptions), e)
		if slices.Contains(s.looks, e.Look) && !slices.Contains(c.Looks, e.Look) {
			v.lay(e.Light, true)
		}
	}
}

// inherit begins with what the cue comes from.
func (v *resolver) inherit(c *Cue) *state {
	s := &state{}
	if c.From == "" {
		return s
	}
	from, ok := v.cues[c.From]
	if !ok || v.states[from] == nil {
		s.broken = true // an unknown name or a cycle, which order has reported
		return s
	}
	parent := v.states[from]
	*s = *parent
	for _, h := range parent.shares {
		v.shares[h.source] = h
	}
	if v.children[from]--; v.children[from] == 0 {
		v.states[from] = nil
	}
	return s
}

// lay puts the entries of a look or of the cue itself over what is there.
func (v *resolver) lay(light map[int]Entry, look bool) {
	for i, e := range light {
		if i >= 0 && i < len(v.shares) {
			v.shares[i].source = i
			v.shares[i].lay(v.sound(i, &e), look)
		}
	}
}

// named copies the shares that somebody named.
func (v *resolver) named() []share {
	n := 0
	for i := range v.shares {
		if v.shares[i].named {
			n++
		}
	}
	out := make([]share, 0, n)
	for i := range v.shares {
		if v.shares[i].named {
			out = append(out, v.shares[i])
		}
	}
	return out
}

// turn finds the azimuth of the cue's angle.
func (v *resolver) turn(c *Cue, s *state) {
	switch {
	case c.Azimuth != nil:
		s.angle, s.azimuth, s.turned = "", *c.Azimuth, true
	case c.Angle != "":
		a, ok := v.angles[c.Angle]
		if !ok {
			v.missing(c.AngleAt, v.didYouMean("angle", c.Angle, angleNames)+" or write degrees: angle = 35",
				"no angle is called %q", c.Angle)
			s.broken = true
			return
		}
		s.angle, s.azimuth, s.turned = c.Angle, v.shoot.Angles[a].Azimuth, true
	}
}

// cards puts what the cue says of cards over what is there, key by key.
func (v *resolver) cards(c *Cue, inherited []CardPlace) []CardPlace {
	if len(c.Cards) == 0 {
		return inherited
	}
	cards := slices.Clone(inherited)
	for _, own := range c.Cards {
		i := slices.IndexFunc(cards, func(p CardPlace) bool { return p.Card == own.Card })
		if i < 0 {
			if !own.Place.Known && !own.Out {
				v.missing(own.Origin, `write where it stands, as in place = { azimuth = 90, distance = "0.22 m" }`,
					"cue %q names card %q without a place", c.Name, v.shoot.Cards[own.Card].Name)
				continue
			}
			cards = append(cards, own)
			continue
		}
		p := &cards[i]
		p.Origin, p.Out = own.Origin, own.Out
		if own.Place.Known {
			p.Place, p.Mark = own.Place, "" // a mark belongs to its place
		}
		if own.Mark != "" {
			p.Mark = own.Mark
		}
	}
	slices.SortFunc(cards, func(a, b CardPlace) int { return a.Card - b.Card })
	return cards
}

// places puts what the cue says of where sources stand over what is there, key by key.
func (v *resolver) places(c *Cue, inherited []SourcePlace) []SourcePlace {
	if len(c.Places) == 0 {
		return inherited
	}
	places := slices.Clone(inherited)
	for _, own := range c.Places {
		i := slices.IndexFunc(places, func(p SourcePlace) bool { return p.Source == own.Source })
		if i < 0 {
			if !own.Place.Known {
				v.missing(own.Origin, `write where it stands, as in place = { azimuth = 90, distance = "0.5 m" }`,
					"cue %q marks source %q without a place", c.Name, v.shoot.Rig.Sources[own.Source].Name)
				continue
			}
			places = append(places, own)
			continue
		}
		p := &places[i]
		p.Origin = own.Origin
		if own.Place.Known {
			p.Place, p.Mark = own.Place, "" // a mark belongs to its place
		}
		if own.Mark != "" {
			p.Mark = own.Mark
		}
	}
	slices.SortFunc(places, func(a, b SourcePlace) int { return a.Source - b.Source })
	return places
}

// checkPlaces warns of sources that a cue moves nearer or away: their meter
// reading is no longer what they give. How much area sources gain is not a matter of
// their distance alone, so nothing is made up.
func (v *resolver) checkPlaces(i int, s *state) {
	for _, p := range s.places {
		src := &v.shoot.Rig.Sources[p.Source]
		here, there := src.Place.Distance.Metres, p.Place.Distance.Metres
		if !(src.Full > 0 && here > 0 && there > 0) || here == there {
			continue
		}
		v.findings.in(i, v.shoot.Cues[i].Name, otherPlace, p.Source, math.Abs(math.Log2(there/here)), fixtures.Fault{
			Origin: p.Origin, Warning: true,
			What: fmt.Sprintf("%q stands at %s; its lux are those of its reading, at %s", src.Name, p.Place.Distance, src.Place.Distance),
			Cure: "write its level there in percent or stops, or as a source of its own with a reading taken there",
		})
	}
}

// settle turns the shares into light.
func (v *resolver) settle(i int, s *state, out *Resolved) {
	c := &v.shoot.Cues[i]
	out.Name, out.Angle, out.Azimuth, out.HasAngle = c.Name, s.angle, s.azimuth, s.turned
	out.Cards, out.Camera, out.Places = s.cards, s.camera, s.places
	out.Fade, out.Delay, out.Curve, out.Path = s.timing.settled()
	out.Light = make([]Light, len(v.shares))
	if s.broken {
		return
	}
	key := v.keyLux(i)
	for j := range v.shares {
		h := &v.shares[j]
		l := &out.Light[j]
		l.Fade, l.Delay, l.Curve, l.Path = h.timing.over(s.timing).settled()
		v.light(i, h, key, l)
	}
}

// checkOwn warns of entries of the cue itself that come to nothing.
func (v *resolver) checkOwn(c *Cue, s *state) {
	if s.broken || len(c.Light) == 0 || v.shoot.Partial {
		return
	}
	for i := range v.shares {
		e, own := c.Light[i]
		if !own || v.shares[i].levelled() || v.shares[i].unclear {
			continue
		}
		name := v.shoot.Rig.Sources[i].Name
		switch {
		case e.Change != nil:
			v.findings.warn(e.LevelAt, fmt.Sprintf("write its level, as in %q = \"60 %%\"", name),
				"cue %q changes the level of %q, which is off", c.Name, name)
		case e.Colour != nil:
			v.findings.warn(e.ColourAt, `write a level beside it, as in level = "60 %"`,
				"cue %q gives %q a colour but no level: it is off", c.Name, name)
		case e.Ramp != nil:
			v.findings.warn(e.Ramp.Origin, `write a level beside it, as in level = "60 %"`,
				"cue %q gives %q a ramp but no level: it is off", c.Name, name)
		}
	}
}

// checkShutter finds a shutter angle without a frame rate.
func (v *resolver) checkShutter(c *Cue, set CameraChange) {
	shutter, fps := v.shoot.Camera.Shutter, v.shoot.Camera.FPS
	if set.Shutter != nil {
		shutter = *set.Shutter
	}
	if set.FPS != nil {
		fps = *set.FPS
	}
	if shutter.IsAngle() && fps == 0 && v.renderer != nil { // else the rig's frame rate may be what is wrong
		v.missing(c.Camera.Origin, `write fps = 24 beside it, or a time as "1/50 s"`,
			"in cue %q, the shutter angle %s is no time without a frame rate", c.Name, shutter)
	}
}
