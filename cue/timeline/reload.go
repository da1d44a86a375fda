package timeline

import (
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Reload takes up a shoot that was read anew: whatever is the same by name goes
// on, in [LookFade] seconds from the light of that instant, with its trims and
// what is laid over it. Where the present cue is gone its light stays. A light
// that is another make now, or calibrated otherwise, starts from what its slots
// mean by the new idea of it. What is held stays held. Light
// that follows the table stands, and so does the table: during a take, wait.
//
// The renderer is the player's own from now on. States made before do not fit.
func (p *Player) Reload(k int64, shoot *cue.Shoot, r *fixtures.Renderer) []Notice {
	p.last = max(k, p.last)
	f := p.own(k)
	old := *p
	p.park(f)
	ways := newPassage(old.shoot, shoot)

	n := New(shoot, r)
	n.live, n.pace, n.last, n.lag, n.held, n.heldAt = old.live, old.pace, old.last, old.lag, old.held, old.heldAt
	n.gone, n.begun, n.there, n.landed, n.quiet = old.gone, old.begun, old.there, old.landed, old.quiet
	n.pending = old.pending
	n.turn, n.parked, n.turned = p.turn, p.parked, old.turned && n.drive.motor == old.drive.motor
	n.stand = ways.scene(p.stand)
	n.changes = ways.changes(&old, n, f)
	n.landings.keep(old.landings, ways)
	layers, notices := ways.layers(old.layers)
	if layers.Cue == noCue && old.layers.Cue != noCue {
		layers.Gone = ways.gone(&old)
		notices = append(notices, told("%s is no longer in the files: its light stays until another is called", old.name())...)
	}
	n.layers = layers
	*p = *n
	p.scene, p.sentAs, p.said = p.compose(&p.layers)
	if !p.live {
		return notices
	}
	p.relightBy(f, p.held, true, nil, p.timingOf(Timing{Fade: LookFade}))
	p.recall(f)
	return notices
}

// Mapped is l with its indices as they are in a shoot that was read anew, and what
// of it is no longer there. A cue that is gone leaves Cue at -1.
func (l Layers) Mapped(from, to *cue.Shoot) (Layers, []Notice) {
	return newPassage(from, to).layers(l)
}

// passage leads from one shoot's indices to those of another, by name; -1 where
// there is none of the name.
type passage struct {
	from, to              *cue.Shoot
	cues, looks, cards    []int
	sources, formerSource []int
	same                  []bool // by new source: it is the make it was
}

func newPassage(from, to *cue.Shoot) *passage {
	w := &passage{from: from, to: to}
	w.cues = byName(len(from.Cues), func(i int) string { return from.Cues[i].Name }, len(to.Cues), func(i int) string { return to.Cues[i].Name })
	w.looks = byName(len(from.Looks), func(i int) string { return from.Looks[i].Name }, len(to.Looks), func(i int) string { return to.Looks[i].Name })
	w.cards = byName(len(from.Cards), func(i int) string { return from.Cards[i].Name }, len(to.Cards), func(i int) string { return to.Cards[i].Name })
	a, b := from.Rig.Sources, to.Rig.Sources
	w.sources = byName(len(a), func(i int) string { return a[i].Name }, len(b), func(i int) string { return b[i].Name })
	w.formerSource = make([]int, len(b))
	for i := range w.formerSource {
		w.formerSource[i] = -1
	}
	w.same = make([]bool, len(b))
	makes := map[[2]*fixtures.Profile]bool{}
	for was, is := range w.sources {
		if is < 0 {
			continue
		}
		w.formerSource[is] = was
		x, y := &a[was], &b[is]
		pair := [2]*fixtures.Profile{x.Profile, y.Profile}
		same, known := makes[pair]
		if !known {
			same = alike(x.Profile, y.Profile)
			makes[pair] = same
		}
		w.same[is] = same && x.Hand == y.Hand && x.Prefer == y.Prefer && alike(x.Calibration, y.Calibration)
	}
	return w
}

func byName(n int, name func(int) string, m int, other func(int) string) []int {
	index := make(map[string]int, m)
	for i := range m {
		index[other(i)] = i
	}
	out := make([]int, n)
	for i := range out {
		is, ok := index[name(i)]
		if !ok {
			is = -1
		}
		out[i] = is
	}
	return out
}

// at is where index i leads; -1 for one that is none.
func at(way []int, i int) int {
	if i < 0 || i >= len(way) {
		return -1
	}
	return way[i]
}

// layers are those of the old shoot by the new one's indices.
func (w *passage) layers(l Layers) (Layers, []Notice) {
	var notices []Notice
	was := l
	l.Cue = at(w.cues, l.Cue)
	if l.Cue == noCue {
		l.Here = nil
	}
	l.Looks = nil
	for _, look := range was.Looks {
		switch is := at(w.looks, look); {
		case is >= 0:
			l.Looks = append(l.Looks, is)
		default:
			notices = append(notices, told("look %q is no longer in the files", w.from.Looks[look].Name)...)
		}
	}
	l.Trims = nil
	for _, c := range slices.Sorted(maps.Keys(was.Trims)) {
		is := at(w.cues, c)
		if is < 0 {
			notices = append(notices, told("%q is no longer in the files: its trims are off", w.from.Cues[c].Name)...)
			continue
		}
		if l.Trims == nil {
			l.Trims = map[int]map[int]cue.Entry{}
		}
		l.Trims[is] = w.entries(was.Trims[c])
	}
	if l.Here != nil {
		l.Here = &Here{Azimuth: l.Here.Azimuth, Trims: w.entries(l.Here.Trims)}
	}
	l.Sent = nil
	for c, s := range was.Sent {
		if is := at(w.cues, c); is >= 0 {
			if l.Sent == nil {
				l.Sent = map[int]*Sent{}
			}
			l.Sent[is] = s
		}
	}
	l.Without = nil
	for _, i := range was.Without {
		if is := at(w.sources, i); is >= 0 {
			l.Without = append(l.Without, is)
		}
	}
	slices.Sort(l.Without)
	l.Alone, l.Aim, l.Identify = at(w.sources, l.Alone), at(w.sources, l.Aim), at(w.sources, l.Identify)
	if g := was.Gone; g != nil {
		l.Gone = &Gone{Scene: w.scene(g.Scene), Back: at(w.cues, g.Back), Next: at(w.cues, g.Next)}
	}
	return l, notices
}

func (w *passage) entries(trims map[int]cue.Entry) map[int]cue.Entry {
	if trims == nil {
		return nil
	}
	out := make(map[int]cue.Entry, len(trims))
	for i, e := range trims {
		if is := at(w.sources, i); is >= 0 {
			out[is] = e
		}
	}
	return out
}

// scene is a resolved cue of the old shoot by the new one's indices; sources that
// were not there are off.
func (w *passage) scene(s *cue.Resolved) *cue.Resolved {
	if s == nil {
		return nil
	}
	out := *s
	out.Light = make([]cue.Light, len(w.to.Rig.Sources))
	for i := range out.Light {
		if was := w.formerSource[i]; was >= 0 && was < len(s.Light) {
			out.Light[i] = s.Light[was]
		} else {
			out.Light[i] = cue.Light{Level: "off"}
		}
	}
	out.Cards, out.Places = nil, nil
	for _, c := range s.Cards {
		if is := at(w.cards, c.Card); is >= 0 {
			c.Card = is
			out.Cards = append(out.Cards, c)
		}
	}
	for _, c := range s.Places {
		if is := at(w.sources, c.Source); is >= 0 {
			c.Source = is
			out.Places = append(out.Places, c)
		}
	}
	slices.SortFunc(out.Places, func(a, b cue.SourcePlace) int { return a.Source - b.Source })
	return &out
}

// gone is the present cue, which the new shoot does not have.
func (w *passage) gone(old *Player) *Gone {
	g := &Gone{Scene: w.scene(old.scene), Back: noCue, Next: noCue}
	for i := old.layers.Cue - 1; i >= 0 && g.Back < 0; i-- {
		g.Back = w.cues[i]
	}
	for i := old.layers.Cue + 1; i < len(w.cues) && g.Next < 0; i++ {
		g.Next = w.cues[i]
	}
	// Where one name took the place of another, it is the next and the one before of both.
	if g.Next < 0 && g.Back+1 < len(w.to.Cues) {
		g.Next = g.Back + 1
	}
	return g
}

// changes are those of the old player, in the new one's order, at own frame f.
func (w *passage) changes(old, n *Player, f int64) []change {
	out := make([]change, len(n.changes))
	var slots map[int][fixtures.UniverseSize]byte
	swept := old.swept(f)
	for i := range out {
		was := w.formerSource[i]
		if was < 0 {
			out[i] = n.changes[i]
			continue // dark is what was asked of it
		}
		c := &old.changes[was]
		if w.same[i] && !(c.gain > 0) {
			out[i], n.asked[i] = *c, old.asked[was]
			continue
		}
		now := &landed{light: c.light(f, sweptAt(swept, was))}
		switch {
		case w.same[i]: // it followed the table, which stands now
			now.landing = c.codes(f)
			if c.differs(f) {
				for j := range c.cells.way {
					now.cells = append(now.cells, c.cell(j, f, sweptAt(swept, was)))
				}
			}
		case w.patched(was, i):
			if slots == nil {
				slots = old.slots()
			}
			frames, _ := framesOf(n.landings.renderer, slots)
			now = exactly(n.landings.renderer, i, frames)
		}
		n.asked[i] = target{light: now.light, cells: now.cells, sent: now} // lands as it was, not as it would be now
		out[i] = standingIn(now, c, f, old.held, sweptAt(swept, was), n.centre)
	}
	return out
}

// patched says whether a source has the slots that it had.
func (w *passage) patched(was, is int) bool {
	a, b := &w.from.Rig.Sources[was], &w.to.Rig.Sources[is]
	return !a.Hand && !b.Hand && a.Universe == b.Universe && slices.Equal(a.Addresses, b.Addresses)
}

// slots is what is sent in the frame of the last command.
func (p *Player) slots() map[int][fixtures.UniverseSize]byte {
	s := p.NewState()
	p.At(p.last, s)
	r := p.landings.renderer
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	p.landings.work.Lock()
	r.Render(s, frames)
	p.landings.work.Unlock()
	slots := make(map[int][fixtures.UniverseSize]byte, len(frames))
	for n, u := range r.Universes() {
		slots[u] = frames[n]
	}
	return slots
}

// standingIn is the change of a source that stands in a light from frame f on,
// where change c was.
func standingIn(l *landed, c *change, f int64, held bool, w swept, centre colour.UV) change {
	stay := func(light colour.XYZ) fade.Fade { return fade.New(fade.Linear, fade.Straight, light, light, centre) }
	s := change{
		begun: f, parted: f, there: f, landed: f, quiet: f,
		shown: c.shownBefore(f, held, w), way: stay(l.light), reached: l.landing, landing: l.landing,
	}
	if l.cells != nil {
		s.cells = &cells{}
		for _, cell := range l.cells {
			s.cells.way = append(s.cells.way, stay(cell))
		}
	}
	return s
}

// keep takes over the rows of the sources that are as they were.
func (l *landings) keep(old *landings, w *passage) {
	old.mu.Lock()
	defer old.mu.Unlock()
	for key, row := range old.rows {
		if is := at(w.sources, key.source); is >= 0 && w.same[is] {
			key.source = is
			l.rows[key] = row
		}
	}
}
