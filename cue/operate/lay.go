package operate

import (
	"math"
	"slices"

	"limn/cue"
	"limn/cue/timeline"
	"limn/fixtures/quantity"
)

// lay gives the player other layers.
func (m *moment) lay(k int64, l timeline.Layers, how timeline.Timing, r *Reply) {
	m.told(m.player.Set(k, l, how), r)
}

// change lays and puts it on the undo stack.
func (m *moment) change(k int64, c Command, l timeline.Layers, how timeline.Timing, r *Reply) {
	m.total = 0
	before := m.balance()
	if m.lay(k, l, how, r); !r.Refused {
		m.done(c.String(), before)
	}
}

// called refuses what needs a cue where none has been called.
func (m *moment) called(r *Reply) bool {
	if m.player.Scene() == nil {
		r.refuse("no cue has been called yet; next calls the first")
		return false
	}
	return true
}

func (m *moment) look(k int64, c Command, r *Reply) {
	i := slices.IndexFunc(m.shoot.Looks, func(l cue.Look) bool { return l.Name == c.Name })
	l := m.layers()
	switch on := slices.Contains(l.Looks, i); {
	case i < 0:
		r.refuse("there is no look %q", c.Name)
	case on && c.On:
		r.refuse("the look %q lies on already", c.Name)
	case !on && !c.On && l.Cue >= 0 && slices.Contains(m.shoot.Cues[l.Cue].Looks, c.Name):
		r.refuse("the look %q is part of the cue %q, and not laid on by hand", c.Name, m.cueName(l.Cue))
	case !on && !c.On:
		r.refuse("the look %q is not laid on", c.Name)
	default:
		m.change(k, c, l.WithLook(i, c.On), timeline.Timing{Fade: timeline.LookFade}, r)
	}
}

// one is what looks at a single source: alone, aim, identify.
func (m *moment) one(k int64, c Command, r *Reply) {
	l := m.layers()
	const none = -1
	i := none
	if c.Name != "" {
		if i = m.shoot.Rig.Index(c.Name); i < 0 {
			r.refuse("there is no source %q", c.Name)
			return
		}
	}
	of := &l.Alone
	switch c.Verb {
	case Aim:
		of = &l.Aim
	case Identify:
		of = &l.Identify
	}
	switch {
	case *of == i && i == none:
		r.refuse("%s is off already", c.Verb)
		return
	case *of == i:
		r.refuse("%s is on for %s already", c.Verb, c.Name)
		return
	case i >= 0 && !m.called(r):
		return
	}
	*of = i
	if c.Verb == Aim && i >= 0 {
		r.say("caution: do not look into %s while you aim it", c.Name)
	}
	m.change(k, c, l, timeline.Timing{Fade: timeline.TrimFade}, r)
}

// take takes a source out, or puts it back.
func (m *moment) takeOut(k int64, c Command, r *Reply) {
	l := m.layers()
	in := c.Verb == With
	if c.Name == "" {
		if len(l.Without) == 0 {
			r.refuse("nothing was taken out")
			return
		}
		l.Without = nil
		m.change(k, c, l, timeline.Timing{Fade: timeline.TrimFade}, r)
		return
	}
	i := m.shoot.Rig.Index(c.Name)
	switch out := slices.Contains(l.Without, i); {
	case i < 0:
		r.refuse("there is no source %q", c.Name)
	case in && !out:
		r.refuse("%s was not taken out", c.Name)
	case !in && out:
		r.refuse("%s was taken out already", c.Name)
	default:
		if !in && m.shoot.Rig.Sources[i].Hand {
			r.say("%s is set by hand: switch it off, too", c.Name)
		}
		m.change(k, c, l.WithSource(i, in), timeline.Timing{Fade: timeline.TrimFade}, r)
	}
}

// whole raises or lowers the whole set.
func (m *moment) whole(k int64, c Command, r *Reply) {
	l := m.layers()
	to := c.Stops.Stops
	if c.Verb == WholeBy {
		// On the grid of thousandths a third up and a third down are where it was.
		to = math.Round((l.Whole+to)*wholeGrid) / wholeGrid
	}
	if to > timeline.MaxWhole || to < -timeline.MaxWhole {
		to = max(-timeline.MaxWhole, min(to, timeline.MaxWhole))
		r.say("the whole set moves %g stops at most", timeline.MaxWhole)
	}
	if to == l.Whole {
		r.refuse("the whole set stays at %s", wholeText(to))
		return
	}
	l.Whole = to
	m.change(k, c, l, timeline.Timing{Fade: timeline.TrimFade}, r)
	if !r.Refused {
		r.say("the whole set: %s", wholeText(to))
	}
}

// wholeGrid is how fine the level of the whole set is counted, steps a stop: both
// thirds and tenths of a stop lie on it.
const wholeGrid = 30_000

// wholeText is the level of the whole set in words.
func wholeText(stops float64) string {
	if stops == 0 {
		return "as the cue has it"
	}
	text := quantity.Stops{}.With(stops).String()
	if stops > 0 {
		return "+" + text
	}
	return text
}

func (m *moment) work(k int64, c Command, r *Reply) {
	l := m.layers()
	if l.Work == c.On {
		r.refuse("the work light is%s already", onOff(c.On))
		return
	}
	l.Work = c.On
	m.lay(k, l, timeline.Timing{Fade: timeline.LookFade}, r)
}
