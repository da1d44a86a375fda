package timeline

// Next calls the cue after the present one, the first before any. At the last
// it stays and says so.
func (p *Player) Next(k int64) []Notice {
	switch n := len(p.shoot.Resolved); {
	case n == 0:
		return refused("the shoot has no cues")
	case p.cue == n-1 && p.dark:
		return refused("%q is the last cue and stays; dark off brings it back", p.name(p.cue))
	case p.cue == n-1:
		return refused("%q is the last cue; it stays", p.name(p.cue))
	}
	return p.Go(k, p.cue+1)
}

// Back calls the cue before the present one. At the first it stays and says so.
func (p *Player) Back(k int64) []Notice {
	switch {
	case p.cue == noCue:
		return refused("no cue has been called yet; next calls the first")
	case p.cue == 0 && p.dark:
		return refused("%q is the first cue and stays; dark off brings it back", p.name(0))
	case p.cue == 0:
		return refused("%q is the first cue; it stays", p.name(0))
	}
	return p.Go(k, p.cue-1)
}

// Go calls a cue by its index: it fades in, in its own time, out of dark and
// hold too.
func (p *Player) Go(k int64, cueIndex int) []Notice {
	f, held, notices := p.begin(k)
	p.cue = cueIndex
	p.dark = false
	p.change(f, held, p.asWritten)
	return append(notices, p.call(f)...)
}

// Hold freezes whatever is changing: light, landing and table.
func (p *Player) Hold(k int64) []Notice {
	f := p.own(k)
	switch {
	case p.held:
		return refused("it is held already; resume lets it go on")
	case f >= p.landed && f >= p.turn.quiet:
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
	if p.dark && !p.held {
		return refused("it is dark already; dark off brings the light back")
	}
	f, held, notices := p.begin(k)
	p.dark = true
	p.change(f, held, inDark)
	p.turn = standingAt(p.turn.azimuth(f), f)
	for i := range p.shoot.Rig.Sources {
		if s := &p.shoot.Rig.Sources[i]; s.Hand && p.lit(i) {
			notices = append(notices, told("%q is set by hand: it stays lit until you switch it off", s.Name)...)
		}
	}
	return notices
}

// DarkOff brings the present cue back.
func (p *Player) DarkOff(k int64) []Notice {
	switch {
	case !p.dark:
		return refused("it is not dark")
	case p.cue == noCue:
		return refused("no cue has been called yet; next calls the first")
	}
	f, held, notices := p.begin(k)
	p.dark = false
	p.change(f, held, inDark)
	p.move(f)
	return notices
}

// Confirm says that hands have done what was prompted.
func (p *Player) Confirm(k int64) []Notice {
	if len(p.hands) == 0 {
		return refused("there is nothing to confirm")
	}
	p.last = max(k, p.last)
	p.done(p.own(k))
	return nil
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
	return p.heldAt, held, told("the hold is released")
}

// Cue is the present cue, -1 before the first.
func (p *Player) Cue() int { return p.cue }

func (p *Player) name(cueIndex int) string { return p.shoot.Resolved[cueIndex].Name }
