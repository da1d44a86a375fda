package timeline

import (
	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Status is what the light is doing at a frame.
type Status struct {
	Cue      int // index; -1 before the first
	Motion   cue.Motion
	Progress float64 // 0..1 of the running fade, 1 when the light has arrived

	// SettledAt is the first frame that is or will be settled (in dark: down)
	// if no further command comes; -1 where it takes hands first, to do what
	// is prompted or to resume.
	SettledAt int64

	// QuietAt is the first frame from which nothing changes by itself, whether
	// or not hands are still needed. A source that is identified swells on all
	// the same, and light that follows an azimuth told from outside follows on; nothing
	// settles while they do.
	QuietAt int64

	Live  bool // something has been commanded
	Stale bool // light follows a table that has not been heard of for too long: it stands
}

// At fills s, made by NewState, for frame k. A frame before the last command
// counts as the last command's. It does not allocate.
func (p *Player) At(k int64, s *fixtures.State) Status {
	f := p.own(k)
	if p.follow != nil {
		p.follow.sweep.At(p.follow.azimuth(f), s)
	} else {
		clear(s.Light)
		for i := range s.Cells {
			s.Cells[i] = s.Cells[i][:0]
		}
	}
	for i := range p.changes {
		c := &p.changes[i]
		if c.differs(f) {
			p.fillStrip(i, f, s)
			continue
		}
		s.Light[i], s.Cells[i], s.Offset[i] = c.light(f, sweptAt(s, i)), s.Cells[i][:0], s.Offset[i][:p.controls[i]]
		c.fill(f, s.Offset[i])
	}
	s.Azimuth, s.Speed = p.tableAt(f)
	return p.status(f)
}

// fillStrip fills the part of s of a strip whose cells differ.
func (p *Player) fillStrip(i int, f int64, s *fixtures.State) {
	c, layout := &p.changes[i], p.layouts[i]
	w := sweptAt(s, i) // its cells are the row that is filled: each is read before it is written
	s.Cells[i], s.Offset[i] = s.Cells[i][:layout.Cells], s.Offset[i][:layout.Codes()]
	c.fillCells(f, w, s.Cells[i])
	s.Light[i] = fixtures.Mean(s.Cells[i])
	c.fill(f, s.Offset[i])
}

// Chromaticity fills dst with the chromaticity of each source's light at frame
// k as At gives it; where there is no light, with the last there was, and where
// there never was any, with the camera's white.
func (p *Player) Chromaticity(k int64, dst []colour.XY) {
	f := p.own(k)
	swept := p.swept(f)
	for i := range p.changes {
		dst[i] = p.changes[i].chromaticity(f, sweptAt(swept, i))
	}
}

// Prompts lists what hands must do before the present cue can settle. The
// slice must not be written to.
func (p *Player) Prompts() []string { return p.hands }

func (p *Player) status(f int64) Status {
	s := Status{Cue: p.layers.Cue, Live: p.live, Progress: p.progress(f)}
	quiet := max(p.quiet, p.turn.quiet)
	follows := false
	if w := p.follow; w != nil {
		quiet = max(quiet, w.end+p.drive.settle().ceil())
		s.Stale, follows = w.stale(f), w.motion == nil
		if follows {
			quiet = max(p.quiet, p.turn.quiet)
		}
	}
	if p.held {
		quiet = p.heldAt
	}
	s.QuietAt = quiet + p.lag
	s.SettledAt = s.QuietAt
	dark := p.layers.Dark && !p.layers.Work
	if p.held || p.swells || follows || len(p.hands) > 0 && !dark {
		s.SettledAt = -1
	}
	switch {
	case !p.live, dark && f >= quiet && !p.held:
		s.Motion = cue.Dark
	case p.held:
		s.Motion = cue.Held
	case len(p.hands) > 0:
		s.Motion = cue.Waiting
	case f < quiet || p.swells || follows:
		s.Motion = cue.Fading
	default:
		s.Motion = cue.Settled
	}
	return s
}
