package operate

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/cue"
	"limn/cue/timeline"
)

// nearEnough is how far an angle may be from that of a cue and still be it,
// degrees.
const nearEnough = 1.0

// step calls the cue before (-1) or after (+1) the present one.
func (m *moment) step(k int64, by int, r *Reply) {
	// The player knows where that leads, from a cue that is gone too.
	probe := m.player.Clone()
	var notices []timeline.Notice
	if by > 0 {
		notices = probe.Next(k)
	} else {
		notices = probe.Back(k)
	}
	if _, refused := texts(notices); refused {
		m.told(notices, r)
		return
	}
	m.call(k, probe.Cue(), r)
}

// call calls a cue: its kept light, with whatever looks lie on it. Trims that it
// still has are offered.
func (m *moment) call(k int64, i int, r *Reply) {
	l := m.layers()
	offered := l.Trims[i]
	fresh := m.ahead[i]
	if l.Cue != i {
		if len(offered) > 0 && !fresh {
			m.put(i, offered)
			// They do not play now, so nothing of the light changes here.
			m.told(m.player.Set(k, l.WithTrimsOf(i, nil), timeline.Timing{Fade: timeline.TrimFade}), r)
		}
		m.ahead = with(m.ahead, i, true, false)
	}
	m.total = 0
	before := m.balance()
	m.told(m.player.Go(k, i), r)
	if here := l.Here; here != nil && !r.Refused {
		m.done("leave the light at "+degreesText(here.Azimuth), before)
	}
	switch {
	case r.Refused:
	case l.Cue == i:
	case fresh && len(offered) > 0:
		r.say("%q has trims that were given from elsewhere: %s; kept shows it without", m.cueName(i), m.trimWords(i, m.layers().Trims[i]))
	case len(m.aside[i]) > 0:
		r.say("%q has trims that were not kept: %s; trimmed takes them again", m.cueName(i), m.trimWords(i, m.aside[i]))
	}
}

// told passes on what the player says.
func (m *moment) told(notices []timeline.Notice, r *Reply) {
	said, refused := texts(notices)
	for _, s := range said {
		r.say("%s", s)
	}
	r.Refused = r.Refused || refused
}

// goTo calls the cue nearest to an azimuth. Where that is more than a degree off
// it asks first.
func (m *moment) goTo(k int64, c Command, r *Reply) {
	azimuth := c.Azimuth.Degrees
	if c.Name != "" {
		found := false
		for i := range m.shoot.Angles {
			if m.shoot.Angles[i].Name == c.Name {
				azimuth, found = m.shoot.Angles[i].Azimuth, true
			}
		}
		if !found {
			r.refuse("there is no angle %q", c.Name)
			return
		}
	}
	nearest, off := m.nearest(azimuth)
	switch {
	case nearest < 0:
		r.refuse("no cue has an angle")
		return
	case off <= nearEnough:
		m.call(k, nearest, r)
		return
	}
	at := m.shoot.Resolved[nearest].Azimuth
	text := fmt.Sprintf("nearest is %s %s, %s away", degreesText(at), m.cueName(nearest), degreesText(off))
	m.ask(&question{
		about: GoTo, azimuth: azimuth, cue: nearest,
		ask: Ask{Text: text, Choices: []cue.Choice{
			{Text: "go to " + m.cueName(nearest), Command: string(Take)},
			{Text: fmt.Sprintf("begin a new angle at %s from its light", degreesText(azimuth)), Command: string(StartHere)},
			{Text: "stay where it is", Command: string(NeverMind)},
		}},
	}, r)
}

// nearest is the cue whose angle is nearest to an azimuth, and how far off that
// is. The present cue wins, then the first: several may share an angle.
func (m *moment) nearest(azimuth float64) (cueIndex int, off float64) {
	cueIndex, off = -1, math.Inf(1)
	consider := func(i int) {
		res := &m.shoot.Resolved[i]
		if d := math.Abs(cue.Turn(res.Azimuth, azimuth)); res.HasAngle && d < off {
			cueIndex, off = i, d
		}
	}
	if at := m.layers().Cue; at >= 0 {
		consider(at)
	}
	for i := range m.shoot.Resolved {
		consider(i)
	}
	return cueIndex, off
}

// startHere begins an angle that no cue has, from the light of one.
func (m *moment) startHere(k int64, from int, azimuth float64, r *Reply) {
	before := m.balance()
	if m.layers().Cue != from {
		m.call(k, from, r)
	}
	l := m.layers()
	l.Here = &timeline.Here{Azimuth: azimuth, Trims: l.Trims[from]}
	m.told(m.player.Set(k, l, timeline.Timing{AsWritten: true}), r)
	if r.Refused {
		return
	}
	m.done("start at "+degreesText(azimuth), before)
	r.say("a new angle at %s from the light of %s; keep as NAME makes a cue of it", degreesText(azimuth), m.cueName(from))
}

// degreesText is an azimuth in tenths of a degree: "75°".
func degreesText(d float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(math.Round(d*10)/10+0, 'f', 1, 64), ".0") + "°"
}

// paceStep is how much quicker and slower change the pace of fades, as a factor: two
// steps are double.
const paceStep = math.Sqrt2

func (m *moment) pace(k int64, by float64, r *Reply) {
	pace := m.player.Tempo() * by
	if near := math.Exp2(math.Round(2*math.Log2(pace)) / 2); math.Abs(pace-near) < 1e-9*near {
		pace = near
	}
	m.told(m.player.Pace(k, pace), r)
	if r.Refused {
		return
	}
	switch pace = m.player.Tempo(); {
	case pace == 1:
		r.say("fades run as written")
	case pace > 1:
		r.say("fades run %.2g times as fast as written", pace)
	default:
		r.say("fades run %.2g times as long as written", 1/pace)
	}
}
