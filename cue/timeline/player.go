package timeline

import (
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// noCue is the present cue before the first is called.
const noCue = -1

// Player plays a shoot's cues. Commands come in the order of their frames; At
// answers for any frame from the last command on.
//
// Commands change the player and must not overlap with any other call. At,
// Chromaticity and Prompts only read: any number may run at once. Prepare may
// run at any time. To give a command while others read, give it to a Clone.
type Player struct {
	shoot    *cue.Shoot
	landings *landings
	controls []int // codes of each source whose cells are alike
	layouts  []fixtures.Layout
	settle   []span    // each source's own smoothing
	centre   colour.UV // the camera's white
	reported colour.XY // the same: of a source that never had light
	drive    drive

	work *cue.Resolved // the light to work by

	layers  Layers
	scene   *cue.Resolved // the present cue with what is laid over it for good; nil before the first
	sentAs  []*landed     // per source, how a scene played as it was sent lands; nil: as the still rule says
	said    []string      // of what the scene cannot give
	limits  []int         // sources that the level of the whole set takes to what they can give
	swells  bool          // a source swells, and will until told otherwise
	pending bool          // the present cue waits in work light for hands
	pace    float64       // how much faster than written cues fade
	live    bool

	asked   []target // per source: what the changes lead to; never written to once made
	changes []change // per source; the same
	begun   int64    // own frame of the command that made them, or gave them another pace
	gone    float64  // the share of the way that was over there
	there   int64    // own frame at which the last light arrives
	landed  int64    // own frame at which the last code stands
	quiet   int64    // own frame at which the last light has settled

	follow *following // the table, by the light; nil: the light stands by itself
	parked bool       // a move has ended here: the table turns again when a cue is called
	turn   turn
	turned bool          // the operator has confirmed where a motor table stands
	stand  *cue.Resolved // the set as hands last left it; nil before
	hands  []string      // what they must do before the present cue can settle

	last   int64 // frame of the last command
	lag    int64 // frames spent on hold so far
	held   bool
	heldAt int64 // own frame
}

// New makes a player before its first command. The renderer is used for what
// landings take to work out; it must not be shared with another goroutine.
func New(shoot *cue.Shoot, r *fixtures.Renderer) *Player {
	n := len(shoot.Rig.Sources)
	p := &Player{
		shoot:    shoot,
		landings: newLandings(r),
		controls: make([]int, n),
		layouts:  make([]fixtures.Layout, n),
		settle:   make([]span, n),
		reported: shoot.Camera.White.XY(),
		drive:    newDrive(shoot),
		work:     shoot.WorkLight(r),
		layers:   Bare(),
		pace:     1,
		asked:    make([]target, n),
		changes:  make([]change, n),
	}
	p.centre = p.reported.UV()
	for i := range shoot.Rig.Sources {
		s := &shoot.Rig.Sources[i]
		p.controls[i], p.layouts[i] = r.Controls(i), r.Layout(i)
		if !s.Hand {
			p.settle[i] = seconds(s.SettleSeconds())
		}
		p.changes[i] = standing(p.reported)
	}
	return p
}

// Clone is a player in the same state. The two share what is prepared.
func (p *Player) Clone() *Player {
	c := *p
	return &c
}

// NewState is a state for At to fill, with room for all controls and cells.
func (p *Player) NewState() *fixtures.State {
	s := &fixtures.State{
		Light:  make([]colour.XYZ, len(p.changes)),
		Cells:  make([][]colour.XYZ, len(p.changes)),
		Offset: make([][]int, len(p.changes)),
	}
	for i, l := range p.layouts {
		if l.Cells > 1 {
			s.Cells[i] = make([]colour.XYZ, 0, l.Cells)
		}
		s.Offset[i] = make([]int, p.controls[i], l.Codes())
	}
	return s
}

// Prepare does the slow part of a coming command ahead: it works out where the
// light of a cue, and dark, land. It can be called again at no cost.
func (p *Player) Prepare(cueIndex int) {
	p.PrepareLayers(p.layers.Called(cueIndex))
	for i := range p.changes {
		p.landings.of(i, colour.XYZ{}, nil)
	}
}

// PrepareLayers does the slow part of a coming Set ahead. Layers that name what
// the shoot does not have are passed over.
func (p *Player) PrepareLayers(l Layers) {
	if p.unknown(&l) != nil {
		return
	}
	scene, sentAs, _ := p.compose(&l)
	all, _ := p.targets(&l, scene, sentAs, lead{})
	for i, t := range all {
		if t.sent == nil && t.swell == 0 {
			p.landings.of(i, t.light, t.cells)
		}
	}
}

// own is the player's own frame at frame k: it stands still on hold.
func (p *Player) own(k int64) int64 {
	if p.held {
		return p.heldAt
	}
	return max(k, p.last) - p.lag
}

// change starts what is asked at own frame f, each source in its own time; with
// keep, only where it is not what was asked already: there the change that runs
// goes on in its time.
// swept is what a sweep gives at f; nil for none.
func (p *Player) change(f int64, held bool, swept *fixtures.State, all []target, keep bool, in func(i int) timing) {
	runs := p.progress(f)
	p.gone, p.begun, p.there, p.landed, p.quiet = 0, f, f, f, f
	before, asked := p.changes, p.asked
	p.asked, p.swells = all, slices.ContainsFunc(all, func(t target) bool { return t.swell != 0 })
	p.changes = make([]change, len(before))
	for i := range all {
		t, c := &all[i], &p.changes[i]
		if keep && t.same(&asked[i], p.follow != nil && p.follow.motion == nil) {
			*c = before[i]
			if p.count(c); c.there > f {
				p.gone = runs
			}
			continue
		}
		todo := task{
			to:     t.light,
			cells:  t.cells,
			swell:  t.swell,
			gain:   t.gain,
			timing: in(i),
			settle: p.settle[i],
		}
		if t.gain > 0 {
			todo.end = p.follow.end
		}
		switch {
		case t.gain > 0 && p.follow.motion == nil: // it goes on moving
		case t.sent != nil:
			todo.landing, todo.handOver = t.sent.landing, sentHandOver
		case t.swell == 0:
			todo.landing = p.landings.of(i, t.light, t.cells)
		}
		*c = before[i].next(f, held, sweptAt(swept, i), &todo, p.layouts[i], p.centre)
		p.count(c)
	}
	p.live = true
}

// count makes the player's own frames cover a change. Light that follows a table
// counts as there once it has come to follow; led from outside, it never lands.
func (p *Player) count(c *change) {
	there, landed, quiet := c.there, c.landed, c.quiet
	if c.gain > 0 {
		there = c.begun + (c.delay + c.fade).ceil()
		if p.follow.motion == nil {
			landed, quiet = there, there
		}
	}
	p.there, p.landed, p.quiet = max(p.there, there), max(p.landed, landed), max(p.quiet, quiet)
}
