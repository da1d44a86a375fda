package timeline

import (
	"math"

	"limn/cue"
	"limn/cue/motion"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Sweep is the light of every source as a function of the table's azimuth in degrees.
// At fills Light, and Cells where those of a strip differ, in a state made by
// [Player.NewState]. It does not allocate, and several goroutines may call it at
// once.
type Sweep interface {
	At(azimuth float64, s *fixtures.State)
}

// Motion is how the table moves, from the frame of the command that starts it on,
// which is 0: its azimuth in degrees, its speed in degrees a second, and the
// first frame at which it stands for good. Nothing of it allocates.
type Motion interface {
	Azimuth(f int64) float64
	Speed(f int64) float64
	End() int64
}

// ByMove is a movement of the table as a Motion. Its speed is that of the middle of
// each frame.
func ByMove(m *motion.Move) Motion { return byMove{m, seconds(m.Lasts()).ceil()} }

type byMove struct {
	move *motion.Move
	end  int64
}

func (m byMove) End() int64 { return m.end }

func (m byMove) Azimuth(f int64) float64 {
	if f >= m.end {
		return m.move.End()
	}
	at, _ := m.move.At(float64(f) / Rate)
	return at
}

func (m byMove) Speed(f int64) float64 {
	_, speed := m.move.At((float64(f) + 0.5) / Rate)
	return speed
}

// following is light that follows the table.
type following struct {
	sweep  Sweep
	motion Motion        // nil: azimuths are told as they come
	begun  int64         // own frame of the command
	end    int64         // own frame at which the table stands for good
	told   motion.Follow // an azimuth from outside
}

// azimuth is where the table is at own frame f.
func (w *following) azimuth(f int64) float64 {
	if w.motion != nil {
		return around360(w.motion.Azimuth(min(max(f-w.begun, 0), w.end-w.begun)))
	}
	at, _ := w.told.At(f)
	return around360(at)
}

// speed is how fast the table is told to turn at own frame f.
func (w *following) speed(f int64) float64 {
	if w.motion == nil || f >= w.end {
		return 0
	}
	return w.motion.Speed(f - w.begun)
}

// stale says whether nothing was heard for too long by own frame f.
func (w *following) stale(f int64) bool {
	_, stale := w.told.At(f)
	return w.motion == nil && stale
}

// Drive lets the light follow the table from frame k on: it fades from the light
// of that instant into what the sweep gives at the azimuth of each frame, and
// once the motion has ended lands on that of its last azimuth. The table turns
// as the motion says. A nil motion follows the azimuths told to [Player.Azimuth].
//
// What is laid over the cue as masks (alone, without, the whole set's level, work
// light) holds; looks and trims are the sweep's own affair. Calling a cue, dark
// and a reload end it, and the table then stands where it is. The fade is linear; its
// curve and path do not count.
func (p *Player) Drive(k int64, s Sweep, m Motion, how Timing) []Notice {
	if n := p.refuseDrive(k, m); n != nil {
		return n
	}
	f, held, notices := p.begin(k)
	at, _ := p.tableAt(f)
	w := &following{sweep: s, motion: m, begun: f, end: f + maxFrames, told: motion.NewFollow(Rate)}
	w.told.Hear(f, at) // until something is heard, it is where it is
	if m != nil {
		w.end = f + max(m.End(), 0)
	}
	p.relightBy(f, held, false, w, func(int) timing { return timing{fade: seconds(how.Fade)} })
	p.turn, p.parked = standingAt(at, f), true
	if p.drive.motor {
		notices = append(notices, told("the table turns: keep fingers and cables clear")...)
	}
	return notices
}

func (p *Player) refuseDrive(k int64, m Motion) []Notice {
	switch {
	case p.scene == nil:
		return refused("no cue has been called yet; next calls the first")
	case p.layers.Dark:
		return refused("it is dark; dark off brings the light back")
	case p.layers.Aim >= 0 || p.layers.Identify >= 0:
		return refused("one source is being looked for; end that first")
	case len(p.hands) > 0:
		return refused("hands are needed first; confirm when they are done")
	case p.drive.motor && m == nil:
		return refused("the table is turned from here; its azimuth cannot come from outside")
	case p.drive.motor && !p.turned:
		return refused("nobody has confirmed yet where the table stands; call a cue with an angle and confirm")
	}
	if !p.drive.motor || m == nil {
		return nil
	}
	stands, _ := p.tableAt(p.own(k))
	if begins := around360(m.Azimuth(0)); math.Abs(cue.Turn(stands, begins)) > cue.DeadBand {
		return refused("the table stands at %.4g°, the move begins at %.4g°; bring it there first", stands, begins)
	}
	return nil
}

// Azimuth tells where the table is at frame k, in degrees, to light that follows it: one
// value a frame or fewer, in rising frames. Between values it goes on evenly; within
// [motion.DeadBand] of the last the light stays as it is, and after
// [motion.StaleAfter] without one it stands, which [Status] says.
func (p *Player) Azimuth(k int64, degrees float64) []Notice {
	w := p.follow
	switch {
	case w == nil || w.motion != nil:
		return refused("no light follows the table's azimuth")
	case math.IsNaN(degrees) || math.IsInf(degrees, 0):
		return refused("%g is no azimuth", degrees)
	}
	p.last = max(k, p.last)
	f := p.own(p.last)
	heard := *w
	heard.told.Hear(f, degrees)
	p.follow = &heard
	return nil
}

// tableAt is the azimuth and the speed that the table is told at own frame f.
func (p *Player) tableAt(f int64) (azimuth, speed float64) {
	switch {
	case p.follow != nil:
		azimuth, speed = p.follow.azimuth(f), p.follow.speed(f)
	case p.drive.motor:
		azimuth, speed = p.turn.azimuth(f), p.turn.speedAt(f)
	default:
		azimuth = p.azimuth()
	}
	if p.held || !p.drive.motor {
		speed = 0
	}
	return azimuth, speed
}

// swept is what a sweep gives one source at a frame; nothing where none is followed.
type swept struct {
	light colour.XYZ
	cells []colour.XYZ // empty: all alike
}

// cell is the light of cell j.
func (w swept) cell(j int) colour.XYZ {
	if len(w.cells) > 0 {
		return w.cells[j]
	}
	return w.light
}

// sweptAt is what a sweep that filled s gives source i; nothing from nil.
func sweptAt(s *fixtures.State, i int) swept {
	if s == nil {
		return swept{}
	}
	return swept{s.Light[i], s.Cells[i]}
}

// swept is what the sweep gives at own frame f; nil where none is followed.
func (p *Player) swept(f int64) *fixtures.State {
	if p.follow == nil {
		return nil
	}
	s := p.NewState()
	p.follow.sweep.At(p.follow.azimuth(f), s)
	return s
}

// relightBy is relight for light that follows the table as w says; nil ends it.
// The table then stands where it is.
func (p *Player) relightBy(f int64, held, keep bool, w *following, in func(i int) timing) (limits []int) {
	swept := p.swept(f)
	if w == nil {
		p.park(f)
	}
	p.follow = w
	all, limits := p.targets(&p.layers, p.scene, p.sentAs, p.leads(f))
	p.change(f, held, swept, all, keep, in)
	return limits
}

// park makes the table stand where it has come to in a move.
func (p *Player) park(f int64) {
	if p.follow == nil {
		return
	}
	at, _ := p.tableAt(f)
	p.turn, p.parked = standingAt(at, f), true
	if p.stand != nil {
		set := *p.stand
		set.Angle, set.Azimuth, set.HasAngle = "", at, true
		p.stand = &set
	}
	p.follow = nil
}

// lead is where the table leads the light.
type lead struct {
	ends   *fixtures.State // where it comes to stand; nil: the table leads nothing
	moving bool
}

// led is the light of a sweep by a factor, no brighter than any source can be:
// whatever it cannot give of that at its colour, the renderer clips.
func led(swept colour.XYZ, gain float64) colour.XYZ {
	if float64(swept.Y*gain) > 1 {
		gain = 1 / swept.Y
	}
	return times(swept, gain)
}

// target is what the table leads source i to, by a factor.
func (d lead) target(t *target, i int, gain float64) {
	end := sweptAt(d.ends, i)
	t.light = led(end.light, gain)
	if len(end.cells) > 0 {
		t.cells = make([]colour.XYZ, len(end.cells))
		for j, c := range end.cells {
			t.cells[j] = led(c, gain)
		}
		t.light = fixtures.Mean(t.cells)
	}
	if d.moving {
		t.gain = gain
	}
}

// leads is where the table leads the light at own frame f.
func (p *Player) leads(f int64) lead {
	w := p.follow
	if w == nil {
		return lead{}
	}
	d := lead{ends: p.NewState(), moving: f < w.end}
	at := w.end
	if w.motion == nil {
		at = f
	}
	w.sweep.At(w.azimuth(at), d.ends)
	return d
}

// toward is the light of a change that follows the table, at frame f: evenly from
// where it began into what the sweep gives.
func (c *change) toward(from, swept colour.XYZ, f int64) colour.XYZ {
	to, u := led(swept, c.gain), c.part(f)
	return colour.XYZ{
		X: float64(from.X*(1-u)) + float64(to.X*u),
		Y: float64(from.Y*(1-u)) + float64(to.Y*u),
		Z: float64(from.Z*(1-u)) + float64(to.Z*u),
	}
}
