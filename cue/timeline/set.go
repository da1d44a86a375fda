package timeline

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/cue/fade"
)

// How long what is laid over a cue takes to come and go, seconds, unless a
// command says otherwise.
const (
	LookFade = 1.0 // looks, dark, work light, a reload
	TrimFade = 0.2
)

// Timing is how a change to other layers runs.
type Timing struct {
	Fade      float64 // seconds; 0 = a cut
	Curve     fade.Curve
	Path      fade.Path
	AsWritten bool // each source in the time that the cue gives it, and at the player's pace; the rest does not count
}

// Layers is all that is asked of the light. What it holds must not be written to.
func (p *Player) Layers() Layers { return p.layers }

// Scene is the present cue composed with what is laid over it for good: looks,
// trims, the angle. What masks it (alone, whole, dark and their like) is not
// counted. It is nil before the first cue, and must not be written to.
func (p *Player) Scene() *cue.Resolved { return p.scene }

// Set asks for other layers from frame k on: one change from the light of that
// instant. Where of a source nothing else is asked than before, whatever it is fading
// to goes on in its own time, but for a cue that is called, dark and work light,
// which take all of the light along. Hands are called where the set is to be another. Layers that name
// what the shoot does not have are refused.
func (p *Player) Set(k int64, l Layers, how Timing) []Notice {
	was := &p.layers
	return p.set(k, l, how, l.Cue != was.Cue || l.Gone != was.Gone || l.Here != was.Here)
}

// set is Set, where the set may be called even if it is the present one.
func (p *Player) set(k int64, l Layers, how Timing, called bool) []Notice {
	if n := p.unknown(&l); n != nil {
		return n
	}
	if p.follow != nil && !called && !l.Dark && p.own(k) < p.follow.end {
		if n := p.refuseMoving(&l); n != nil {
			return n
		}
	}
	f, held, notices := p.begin(k)
	was, scene := p.layers, p.scene
	p.layers = l
	p.pending = p.pending && !called && l.Work // a look or trim meanwhile comes in with the cue
	notices = append(notices, p.recompose(&was)...)
	follow := p.follow
	if follow != nil && (called || l.Dark) {
		follow = nil
		if f < p.follow.end {
			notices = append(notices, told("the move is over: the table stands")...)
		}
	}
	notices = append(notices, p.relight(f, held, called, follow, p.timingOf(how), &was)...)
	switch {
	case called:
		notices = append(notices, p.call(f)...)
	case p.scene != scene:
		p.recall(f)
	}
	switch {
	case l.Dark && !was.Dark:
		p.turn = p.turn.stopped(f)
		notices = append(notices, p.litByHand()...)
	case was.Dark && !l.Dark:
		p.move(f)
	}
	if p.pending && len(p.hands) == 0 { // what was laid on took the need of hands away
		notices = append(notices, p.fadeIn(k)...)
	}
	return notices
}

// refuseMoving refuses what cannot be while light follows the table.
func (p *Player) refuseMoving(l *Layers) []Notice {
	if l.Identify >= 0 && l.Identify != p.layers.Identify {
		return refused("the light follows the table; stop that first")
	}
	if !p.drive.motor {
		return nil
	}
	if scene, _, _ := p.compose(l); len(p.handsFor(scene)) > 0 {
		return refused("this needs hands on the set, and the table turns; stop it first")
	}
	return nil
}

// unknown refuses layers that name what there is not.
func (p *Player) unknown(l *Layers) []Notice {
	n := len(p.shoot.Rig.Sources)
	switch {
	case l.Cue < noCue || l.Cue >= len(p.shoot.Resolved):
		return refused("there is no cue %d", l.Cue+1)
	case slices.ContainsFunc(l.Looks, func(i int) bool { return i < 0 || i >= len(p.shoot.Looks) }):
		return refused("there is no such look")
	case max(l.Alone, l.Aim, l.Identify) >= n:
		return refused("there is no such source")
	case !(math.Abs(l.Whole) <= MaxWhole):
		return refused("the whole set can be moved by %g stops at most, either way", MaxWhole)
	case l.Here != nil && l.Cue == noCue:
		return refused("no cue has been called yet, from whose light to start; next calls the first")
	}
	for _, i := range []int{l.Aim, l.Identify} {
		if i < 0 {
			continue
		}
		switch s := &p.shoot.Rig.Sources[i]; {
		case s.Hand:
			return refused("%q is set by hand: it cannot be lit from here", s.Name)
		case s.Profile != nil && !s.Profile.HasLight():
			return refused("%q gives no light", s.Name)
		}
	}
	return nil
}

// recompose finds the scene again, and what is new to be said of it.
func (p *Player) recompose(was *Layers) []Notice {
	scene, sentAs, said := p.compose(&p.layers)
	known := p.said
	if was.Cue != p.layers.Cue {
		known = nil
	}
	p.scene, p.sentAs, p.said = scene, sentAs, said
	var news []Notice
	for _, text := range said {
		if !slices.Contains(known, text) {
			news = append(news, Notice{Text: text})
		}
	}
	return news
}

// compose is the scene that layers make, how it lands where it is played as it
// was sent, and what it cannot give.
func (p *Player) compose(l *Layers) (scene *cue.Resolved, sentAs []*landed, said []string) {
	if l.Cue == noCue {
		if l.Gone != nil {
			return l.Gone.Scene, nil, nil
		}
		return nil, nil, nil
	}
	written := &p.shoot.Resolved[l.Cue]
	scene = written
	p.landings.work.Lock()
	if over := l.Over(); !over.IsZero() {
		scene, said = p.shoot.Compose(p.landings.renderer, l.Cue, over)
	}
	if s := l.Sent[l.Cue]; s != nil {
		scene, sentAs = p.sent(written, scene, s)
	}
	p.landings.work.Unlock()
	if l.Here != nil {
		at := *scene
		at.Angle, at.Azimuth, at.HasAngle = "", l.Here.Azimuth, true
		scene = &at
	}
	return scene, sentAs, said
}

// relight starts what is asked now at own frame f, each source in its own time.
// What is fading to where it is asked to be goes on, unless all of the light is
// called anew, or hidden.
func (p *Player) relight(f int64, held, called bool, follow *following, in func(i int) timing, was *Layers) []Notice {
	notices := p.cautions(was)
	keep := !called && p.layers.Dark == was.Dark && p.layers.Work == was.Work
	limits := p.relightBy(f, held, keep, follow, in)
	if slices.Equal(limits, p.limits) {
		return notices
	}
	if p.limits = limits; len(limits) == 0 {
		return notices
	}
	names := make([]string, len(limits))
	for n, i := range limits {
		names[n] = fmt.Sprintf("%q", p.shoot.Rig.Sources[i].Name)
	}
	verb := "give"
	if len(names) == 1 {
		verb = "gives"
	}
	return append(notices, told("%s %s all there is: with the whole set %+.4g stops, the balance is no longer the cue's",
		cue.ShortList(names), verb, p.layers.Whole)...)
}

// cautions are what a person must know of new masks: eyes first, then the lights
// that no mask reaches.
func (p *Player) cautions(was *Layers) (notices []Notice) {
	l := &p.layers
	if l.Aim >= 0 && l.Aim != was.Aim {
		notices = told("%q is alone and low, to be aimed: look at the model, not into the light", p.shoot.Rig.Sources[l.Aim].Name)
	}
	masks := l.Whole != was.Whole || l.Alone >= 0 && l.Alone != was.Alone || l.Aim >= 0 && l.Aim != was.Aim || l.Work && !was.Work
	for i := range p.shoot.Rig.Sources {
		s := &p.shoot.Rig.Sources[i]
		out := slices.Contains(l.Without, i) && !slices.Contains(was.Without, i)
		if s.Hand && p.lit(i) && (out || masks && i != l.Alone) {
			notices = append(notices, told("%q is set by hand: it stays as it is until you see to it", s.Name)...)
		}
	}
	return notices
}

// timingOf is how each source changes.
func (p *Player) timingOf(how Timing) func(i int) timing {
	if how.AsWritten && p.scene != nil {
		return p.asWritten
	}
	if how.AsWritten {
		how = Timing{Fade: LookFade}
	}
	return func(int) timing { return timing{fade: seconds(how.Fade), curve: how.Curve, path: how.Path} }
}

// asWritten is the timing that the present cue gives a source, at the player's
// pace.
func (p *Player) asWritten(i int) timing {
	l := &p.scene.Light[i]
	t := timing{delay: seconds(l.Delay), fade: seconds(l.Fade), curve: l.Curve, path: l.Path}
	if p.pace != 1 {
		t.delay, t.fade = t.delay.at(p.pace), t.fade.at(p.pace)
	}
	return t
}
