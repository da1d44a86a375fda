package cue

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"limn/fixtures"
	"limn/fixtures/quantity"
)

// Over is what is laid over one cue live.
type Over struct {
	// Looks are indices in Shoot.Looks, in the order they were laid on. With each
	// go the exceptions that hold for it on that cue.
	Looks []int

	// Trims are changes by source, over the looks: a Level or a Colour in the
	// user's own unit, or both, the level then counting at that colour. A colour
	// alone holds the light. A Change is for what no one level says: a ramp.
	Trims map[int]Entry
}

// IsZero says that nothing is laid over.
func (o *Over) IsZero() bool { return o == nil || len(o.Looks) == 0 && len(o.Trims) == 0 }

// Compose is cue i with over laid on it, and in words what of it a source cannot
// give: "sky" at 6500 K is 0.4 stop short. It does not touch s.Resolved, with
// which it shares what is read-only. The same over gives the same light, and
// none gives that of s.Resolved[i]. What cannot be told (lux of a source without a
// reading, a level against a key that a trim switched off) leaves that source the light of
// the cue, and is said: nothing goes dark by mistake.
//
// A trim plays what [Shoot.Entries] would write, so that keeping it changes nothing.
//
// The renderer must not be in use by another goroutine.
func (s *Shoot) Compose(r *fixtures.Renderer, i int, over *Over) (*Resolved, []string) {
	out := s.Resolved[i]
	if over.IsZero() {
		out.Light = slices.Clone(out.Light)
		return &out, nil
	}
	c := newComposer(s, r, i)
	said := c.baseline()
	c.lookOver(over)
	c.trimOver(over)
	out = Resolved{}
	c.settle(i, c.state, &out)
	c.keepLit(&out, &s.Resolved[i])
	for j := range out.Light {
		if was := s.Resolved[i].Light[j].Cells; slices.Equal(out.Light[j].Cells, was) {
			out.Light[j].Cells = was
		}
	}
	return &out, c.news(said)
}

// Entries are the trims of over as the entries that play the same when they are
// written into the cue itself, over its other looks: a colour with the level that holds
// the light, in the unit of the level below.
func (s *Shoot) Entries(r *fixtures.Renderer, i int, over *Over) map[int]Entry {
	if over == nil || len(over.Trims) == 0 {
		return nil
	}
	c := newComposer(s, r, i)
	c.lookOver(over)
	return c.trimOver(over)
}

// composer is a resolver at work on one cue.
type composer struct {
	*resolver
	at    int
	state *state
	told  []string
}

func newComposer(s *Shoot, r *fixtures.Renderer, i int) *composer {
	v := newResolver(s, r)
	v.indexNames()
	c := &composer{resolver: v, at: i, state: &state{}}
	chain := []int{i}
	for at := i; s.Cues[at].From != ""; {
		from, ok := v.cues[s.Cues[at].From]
		if !ok || len(chain) > len(s.Cues) {
			c.state.broken = true // Resolve has reported it
			break
		}
		chain, at = append(chain, from), from
	}
	for _, at := range slices.Backward(chain) {
		own := &s.Cues[at]
		v.checkRampsOf(own.Light)
		for k := range own.Exceptions {
			v.checkRampsOf(own.Exceptions[k].Light)
		}
		for _, name := range own.Looks {
			if l, ok := v.looks[name]; ok {
				v.checkRampsOf(s.Looks[l].Light)
			}
		}
		v.over(own, c.state)
	}
	return c
}

// keepLit gives sources whose light over does not tell that of the cue as it is.
func (c *composer) keepLit(out, as *Resolved) {
	for j := range out.Light {
		h, l := &c.shares[j], &out.Light[j]
		if untold := l.Level == "off" && (h.unclear || !h.off()); untold && as.Light[j].Asked.Y > 0 {
			*l = as.Light[j]
			l.KeyStops = c.keyLux(c.at).stops(l.Lux)
		}
	}
}

// baseline is what is to be said of the cue as it is, which is no news.
func (c *composer) baseline() []string {
	c.findings = findings{}
	var out Resolved
	c.settle(c.at, c.state, &out)
	said := make([]string, len(c.findings.list))
	for k := range said {
		said[k] = c.findings.list[k].What
	}
	c.findings = findings{}
	return said
}

// news is what is to be said beyond that.
func (c *composer) news(said []string) []string {
	news := c.told
	for k := range c.findings.list {
		if what := c.findings.list[k].What; !slices.Contains(said, what) && !slices.Contains(news, what) {
			news = append(news, what)
		}
	}
	return news
}

func (c *composer) lookOver(over *Over) {
	for _, l := range over.Looks {
		if l >= 0 && l < len(c.shoot.Looks) {
			c.checkRampsOf(c.shoot.Looks[l].Light)
			c.look(l, c.state)
		}
	}
}

// trimOver lays the trims, the key's first: others may count from it.
func (c *composer) trimOver(over *Over) map[int]Entry {
	c.checkRampsOf(over.Trims)
	laid := make(map[int]Entry, len(over.Trims))
	lay := func(j int, key keyLight) {
		if t, ok := over.Trims[j]; ok && j >= 0 && j < len(c.shares) {
			h := &c.shares[j]
			h.source = j
			e := c.entry(h, *c.sound(j, &t), key)
			h.lay(&e, false)
			laid[j] = e
		}
	}
	if c.key >= 0 {
		lay(c.key, keyLight{lux: math.NaN()})
	}
	key := c.keyLux(c.at)
	for j := range c.shares {
		if j != c.key {
			lay(j, key)
		}
	}
	return laid
}

// entry is a trim as an entry of the cue's own, where a colour does not hold
// the light by itself.
func (c *composer) entry(h *share, t Entry, key keyLight) Entry {
	if t.Level != nil || t.Ramp != nil || t.Colour == nil && t.Change == nil || h.off() {
		return t
	}
	if h.ramp != nil {
		return c.overRamp(h, t, key)
	}
	y, known := c.asks(c.at, &h.want, key)
	if !known {
		return t
	}
	w := h.want
	was := c.tone(h.source, h.colour)
	if y = math.Min(y, was.aim.MaxY); t.Change != nil {
		y = float64(y * math.Exp2(t.Change.Stops))
		w.change += t.Change.Stops
	}
	is := was
	if t.Colour != nil {
		is = c.tone(h.source, t.Colour)
	}
	if short := math.Log2(y / is.aim.MaxY); short >= minShort {
		c.told = append(c.told, fmt.Sprintf("%q at %s is %s short", c.name(h.source), is.spec, tenths(short)))
	}
	level := w.reformat(is.aim.MaxY, math.Min(y, is.aim.MaxY))
	t.Level, t.Change = &level, nil
	return t
}

// overRamp is a trim over a ramp: its points go on counting as they are written,
// so where they take another colour, a change of level holds the mean.
func (c *composer) overRamp(h *share, t Entry, key keyLight) Entry {
	t = c.holdMean(h, t, key)
	own := c.shoot.Cues[c.at].Light[h.source].Change
	if t.Change == nil || own == nil {
		return t
	}
	// Both will be written as one change, and as that is printed.
	change := *t.Change
	change.Stops = own.With(own.Stops+change.Stops).Stops - own.Stops
	t.Change = &change
	return t
}

// holdMean is a trim with the change of level that holds the mean of a ramp where
// it says another colour.
func (c *composer) holdMean(h *share, t Entry, key keyLight) Entry {
	if t.Colour == nil {
		return t
	}
	was, ok := c.mean(h, key)
	other := *h
	other.lay(&t, false)
	is, okToo := c.mean(&other, key)
	if !ok || !okToo || !(was > 0) || !(is > 0) {
		return t
	}
	stops := math.Log2(was / is)
	if t.Change != nil {
		stops += 2 * t.Change.Stops // is has it once
	}
	change := quantity.Stops{}.With(stops)
	t.Change = &change
	if change.Stops == 0 {
		t.Change = nil
	}
	return t
}

// mean is the luminance of a ramp.
func (c *composer) mean(h *share, key keyLight) (y float64, ok bool) {
	lit, ok := c.points(c.at, h, key, false)
	if !ok {
		return 0, false
	}
	return fixtures.Mean(c.cells(h, lit)).Y, true
}

func (c *composer) name(source int) string { return c.shoot.Rig.Sources[source].Name }

// ShortList joins names as a sentence does: "sky", "sky and torch", "sky, torch and lantern".
func ShortList(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
