package timeline

// Next calls the cue after the present one, the first before any. At the last
// it stays and says so.
func (p *Player) Next(k int64) []Notice {
	switch next, ok := p.step(1); {
	case len(p.shoot.Resolved) == 0:
		return refused("the shoot has no cues")
	case ok:
		return p.Go(k, next)
	case p.layers.Dark:
		return refused("%s is the last cue and stays; dark off brings it back", p.name())
	}
	return refused("%s is the last cue; it stays", p.name())
}

// Back calls the cue before the present one. At the first it stays and says so.
func (p *Player) Back(k int64) []Notice {
	switch back, ok := p.step(-1); {
	case ok:
		return p.Go(k, back)
	case p.layers.Cue == noCue && p.layers.Gone == nil:
		return refused("no cue has been called yet; next calls the first")
	case p.layers.Dark:
		return refused("%s is the first cue and stays; dark off brings it back", p.name())
	}
	return refused("%s is the first cue; it stays", p.name())
}

// step is the cue before (-1) or after (+1) the present one; ok is false where
// there is none.
func (p *Player) step(by int) (cueIndex int, ok bool) {
	cueIndex = p.layers.Cue + by
	if g := p.layers.Gone; g != nil {
		cueIndex = g.Next
		if by < 0 {
			cueIndex = g.Back
		}
	}
	return cueIndex, cueIndex >= 0 && cueIndex < len(p.shoot.Resolved)
}

// Go calls a cue by its index: it fades in, in its own time, out of dark and
// hold too. Where the shoot wants work light between cues and hands are needed,
// that comes first, and the cue once they have confirmed.
func (p *Player) Go(k int64, cueIndex int) []Notice {
	was := p.layers
	l := was.Called(cueIndex)
	if p.shoot.Work.WithNext && cueIndex >= 0 && cueIndex < len(p.shoot.Resolved) {
		if scene, _, _ := p.compose(&l); len(p.handsFor(scene)) > 0 {
			l.Work = true
			notices := p.set(k, l, Timing{Fade: LookFade}, true)
			p.pending = true
			return append(notices, unkept(&was)...)
		}
	}
	return append(p.set(k, l, Timing{AsWritten: true}, true), unkept(&was)...)
}

// unkept tells of an angle that was left without being kept.
func unkept(was *Layers) []Notice {
	if was.Here == nil {
		return nil
	}
	return told("the light at %g° was not kept; undo brings it back", was.Here.Azimuth)
}

// Hold freezes whatever is changing: light, landing and table.
func (p *Player) Hold(k int64) []Notice {
	f := p.own(k)
	switch {
	case p.held:
		return refused("it is held already; resume lets it go on")
	case f >= p.landed && f >= p.turn.quiet && !p.swells && (p.follow == nil || f >= p.follow.end):
		return refused("nothing is moving; the light stays as it is")
	}
	p.last = max(k, p.last)
	p.held, p.heldAt = true, f
	return nil
}

// Resume lets go on what hold froze.
func (p *Player) Resume(k int64) []Notice {
	if !p.held {
		return refused("nothing is held")
	}
	p.begin(k)
	return nil
}

// Dark fades everything to black. The present cue stays the present cue, and
// the table stands.
func (p *Player) Dark(k int64) []Notice {
	if p.layers.Dark && !p.held {
		return refused("it is dark already; dark off brings the light back")
	}
	l := p.layers
	l.Dark, l.Work = true, false
	return p.Set(k, l, Timing{Fade: LookFade})
}

// DarkOff brings the present cue back.
func (p *Player) DarkOff(k int64) []Notice {
	switch {
	case !p.layers.Dark:
		return refused("it is not dark")
	case p.scene == nil:
		return refused("no cue has been called yet; next calls the first")
	}
	l := p.layers
	l.Dark = false
	return p.Set(k, l, Timing{Fade: LookFade})
}

// Confirm says that hands have done what was prompted. A cue that waited for
// them in work light then fades in.
func (p *Player) Confirm(k int64) []Notice {
	if len(p.hands) == 0 {
		return refused("there is nothing to confirm")
	}
	p.last = max(k, p.last)
	p.parked = false
	p.done(p.own(k))
	if !p.pending {
		return nil
	}
	return p.fadeIn(k)
}

// fadeIn lets the cue that waited in work light come in, in its own time.
func (p *Player) fadeIn(k int64) []Notice {
	l := p.layers
	l.Work = false
	return p.Set(k, l, Timing{AsWritten: true})
}

// begin accepts a command for frame k that ends a hold. It gives the player's
// own frame, whether that was held in the frame before, and what to say of it.
func (p *Player) begin(k int64) (f int64, held bool, notices []Notice) {
	p.last = max(k, p.last)
	if !p.held {
		return p.own(p.last), false, nil
	}
	lag := p.last - p.heldAt
	held = lag > p.lag
	p.held, p.lag = false, lag
	if f := p.heldAt; f < p.turn.there { // it stood, and starts from rest
		still := p.turn.stopped(f)
		p.turn = still.turned(p.turn.to, f, &p.drive)
	}
	return p.heldAt, held, told("the hold is released")
}

// Cue is the present cue, -1 before the first.
func (p *Player) Cue() int { return p.layers.Cue }

// name is the present cue's, quoted.
func (p *Player) name() string { return `"` + p.scene.Name + `"` }
