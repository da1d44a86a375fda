package timeline

// The slowest and the fastest that fades may be made to run against what is
// written.
const (
	MinPace = 1.0 / 16
	MaxPace = 16.0
)

// Tempo is how many times as fast as written cues fade.
func (p *Player) Tempo() float64 { return p.pace }

// Pace makes fades run so many times as fast as written (1: as written): what
// is running goes on from where it is, delays included, and cues called later
// fade at the same pace. Landing and table keep theirs.
func (p *Player) Pace(k int64, factor float64) []Notice {
	switch {
	case !(factor >= MinPace && factor <= MaxPace):
		return refused("fades can run %.4g to %.4g times as fast as written", MinPace, MaxPace)
	case factor == p.pace:
		return refused("fades run at that pace already")
	}
	p.last = max(k, p.last)
	f := p.own(k)
	by := factor / p.pace
	p.pace = factor
	if f >= p.there {
		return nil
	}
	p.gone, p.begun = p.progress(f), f
	p.there, p.landed, p.quiet = f, f, f
	before := p.changes
	p.changes = make([]change, len(before))
	for i := range before {
		c := &p.changes[i]
		*c = before[i].paced(f, by, p.settle[i])
		p.count(c)
	}
	return nil
}

// progress is the share of the running fade that is over at frame f.
func (p *Player) progress(f int64) float64 {
	if f >= p.there {
		return 1
	}
	return p.gone + float64((1-p.gone)*float64(f-p.begun))/float64(p.there-p.begun)
}

// paced is c going on from frame f so many times as fast.
func (c *change) paced(f int64, by float64, settle span) change {
	n := *c
	if f >= c.there || c.gain > 0 { // the table sets the pace of what follows it
		return n
	}
	// Whatever is over of delay and fade is so at any pace: the delay is moved, below
	// nothing if need be, so that what is left begins here.
	over := frames(f - c.begun)
	n.delay = over + (c.delay - over).at(by)
	n.fade = c.fade.at(by)
	n.there = max(c.begun+(n.delay+n.fade).ceil(), f+1)
	n.left = c.codes(f)
	n.parted = max(c.begun+n.delay.floor(), f)
	n.parted = min(n.parted, n.there)
	n.leaving = min(walk(n.left, nil), n.there-n.parted)
	n.landed = n.there + (c.landed - c.there)
	n.quiet = n.landed + settle.ceil()
	return n
}
