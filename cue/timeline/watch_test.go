package timeline

import (
	"math"
	"slices"
	"testing"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

// Every frame of a random program, looked at one after the other.
func TestEveryFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSet(t)
		program := drawProgram(t, s, 8)
		w := newWatch(t, s)
		end := program[len(program)-1].k + 5*Rate
		for k := int64(0); k <= end; k++ {
			for len(program) > 0 && program[0].k == k {
				w.give(program[0])
				program = program[1:]
			}
			w.frame(k)
		}
	})
}

// watch looks at a player from outside, frame by frame.
type watch struct {
	t            *rapid.T
	set          *set
	player       *Player
	now, was     *fixtures.State
	seen, before picture
	status       Status
	frames       [][fixtures.UniverseSize]byte
	heads        []*fixtures.Head
	legs         []leg
	xy, xy0      []colour.XY
	stands       bool // a motor table had to stand in the frame before
	started      bool
}

// A picture is a state cell by cell, whether or not the cells of a strip are
// told apart in it.
type picture struct {
	cells  [][]colour.XYZ
	offset [][]int
}

func (w *watch) picture(s *fixtures.State) picture {
	p := picture{make([][]colour.XYZ, len(s.Light)), make([][]int, len(s.Light))}
	for i := range s.Light {
		layout := w.set.renderer.Layout(i)
		p.offset[i] = slices.Clone(s.Offset[i])
		if len(s.Cells[i]) > 0 {
			p.cells[i] = slices.Clone(s.Cells[i])
			if mean := fixtures.Mean(s.Cells[i]); s.Light[i] != mean || len(s.Offset[i]) != layout.Codes() {
				w.t.Fatalf("source %d gives %v and %d offsets, its cells %v", i, s.Light[i], len(s.Offset[i]), mean)
			}
			continue
		}
		p.cells[i] = slices.Repeat([]colour.XYZ{s.Light[i]}, layout.Cells)
		p.offset[i] = spread(p.offset[i], layout)
	}
	return p
}

// asks is what a light asks of every cell.
func (w *watch) asks(l *cue.Light, i int) []colour.XYZ {
	if l.Cells != nil {
		return l.Cells
	}
	return slices.Repeat([]colour.XYZ{l.Asked}, w.set.renderer.Layout(i).Cells)
}

// leg is what the watch knows of the change a source is in: what it was told
// and the light it started from, cell by cell.
type leg struct {
	cue.Light
	from, to []colour.XYZ
	begun    int64 // frame of the command
	elapsed  int64 // frames since then, those on hold left out
	left     []int // offsets at the command
	changing bool
}

func newWatch(t *rapid.T, s *set) *watch {
	p := s.player()
	w := &watch{
		t: t, set: s, player: p, now: p.NewState(), was: p.NewState(), frames: s.frames(),
		heads: make([]*fixtures.Head, len(s.shoot.Rig.Sources)),
		legs:  make([]leg, len(s.shoot.Rig.Sources)),
		xy:    make([]colour.XY, len(s.shoot.Rig.Sources)),
		xy0:   make([]colour.XY, len(s.shoot.Rig.Sources)),
	}
	for i := range w.heads {
		if src := &s.shoot.Rig.Sources[i]; !src.Hand {
			h, err := fixtures.NewHead(src.Profile, src.Prefer)
			if err != nil {
				t.Fatal(err)
			}
			w.heads[i] = h
		}
	}
	return w
}

// give passes on an order and checks that the light does not jump in it.
func (w *watch) give(o order) {
	p := w.player
	state := p.NewState()
	p.At(o.k, state)
	before := w.picture(state)
	wasDark := p.layers.Dark
	accepted := !slices.ContainsFunc(o.give(p), func(n Notice) bool { return n.Refused })
	p.At(o.k, state)
	after := w.picture(state)
	for i := range w.legs {
		l := w.told(o, accepted, wasDark, i)
		if l == nil {
			if !before.same(&after, i) {
				w.t.Fatalf("%v, which starts no change, moves source %d", o, i)
			}
			continue
		}
		from, to := before.cells[i], w.asks(l, i)
		w.legs[i] = leg{Light: *l, from: from, to: to, begun: o.k, left: before.offset[i], changing: !slices.Equal(from, to)}
		cut := l.Fade == 0 && l.Delay == 0
		switch {
		case cut && !slices.Equal(after.cells[i], to):
			w.t.Fatalf("%v: a cut of source %d gives %v, want %v", o, i, after.cells[i], to)
		case !cut && !before.same(&after, i):
			w.t.Fatalf("%v: source %d jumps from %v to %v", o, i, from, after.cells[i])
		}
	}
}

// same says whether a source has the same light and offsets in two pictures.
func (p *picture) same(q *picture, i int) bool {
	return slices.Equal(p.cells[i], q.cells[i]) && slices.Equal(p.offset[i], q.offset[i])
}

// told is what an order tells a source; nil if nothing.
func (w *watch) told(o order, accepted, wasDark bool, i int) *cue.Light {
	present := w.player.Cue()
	switch {
	case !accepted:
		return nil
	case o.verb == "dark":
		return &cue.Light{Fade: 1}
	case o.verb == "dark off":
		l := &w.set.shoot.Resolved[present].Light[i]
		return &cue.Light{Fade: 1, Asked: l.Asked, Cells: l.Cells}
	case o.verb == "next", o.verb == "back", o.verb == "go":
		return &w.set.shoot.Resolved[present].Light[i]
	}
	return nil
}

// frame checks frame k against the one before.
func (w *watch) frame(k int64) {
	t, p := w.t, w.player
	w.now, w.was = w.was, w.now
	w.before = w.seen
	w.xy, w.xy0 = w.xy0, w.xy
	wasStatus := w.status
	w.status = p.At(k, w.now)
	w.seen = w.picture(w.now)
	p.Chromaticity(k, w.xy)
	w.set.renderer.Render(w.now, w.frames)
	if w.started {
		running := wasStatus.Motion != cue.Held
		for i := range w.legs {
			l := &w.legs[i]
			before := l.elapsed
			if running && l.begun != k {
				l.elapsed++
			}
			w.step(k, i, before)
		}
		w.table(k)
	}
	w.started = true
	w.statusIs(k, wasStatus)
	for i := range w.legs {
		w.rule(k, i)
		w.chromaticity(k, i)
	}
	if w.frames[0][fixedAt-1] != fixedValue {
		t.Fatalf("frame %d: the fixed slot holds %d", k, w.frames[0][fixedAt-1])
	}
}

// parted and arrives are the frames, from the command on, at which the light
// leaves and arrives.
func (l *leg) parted() float64  { return l.Delay * Rate }
func (l *leg) arrives() float64 { return (l.Delay + l.Fade) * Rate }

const rounding = 1e-9 // of light and of frames, summed over a fade

// step checks that light and offsets move no faster than they may.
func (w *watch) step(k int64, i int, before int64) {
	t, l := w.t, &w.legs[i]
	moves := !slices.Equal(w.before.cells[i], w.seen.cells[i])
	passed := float64(l.elapsed) - rounding
	if l.Fade == 0 {
		cutNow := float64(before) < l.parted()-rounding && passed >= l.parted()-2*rounding
		if moves && !cutNow && l.elapsed != 0 {
			t.Fatalf("frame %d: source %d moves outside of its cut", k, i)
		}
		return
	}
	if l.elapsed == 0 {
		return // the command's own frame: give looked at it
	}
	// The part of the fade's time that this frame takes.
	from, to := max(float64(before), l.parted()), min(float64(l.elapsed), l.arrives())
	part := max(to-from, 0) / (l.Fade * Rate)
	if moves && part == 0 {
		t.Fatalf("frame %d: source %d moves outside of its fade", k, i)
	}
	for c := range w.seen.cells[i] {
		w.slope(k, i, c, part)
	}
	w.handOver(k, i, before)
}

// slope bounds a step of one cell's light by its fade's slope: luminance by the curve's
// steepest, chromaticity by its path.
func (w *watch) slope(k int64, i, c int, part float64) {
	t, l := w.t, &w.legs[i]
	a, b := w.before.cells[i][c], w.seen.cells[i][c]
	var start, end colour.XYZ // a source that was never told anything is dark
	if l.from != nil {
		start, end = l.from[c], l.to[c]
	}
	steepest := 1.0
	switch l.Curve {
	case fade.Ease:
		steepest = 1.5 // 6u(1-u) at u = 1/2
	case fade.Stops:
		ln := math.Abs(lnRatio(start.Y, end.Y))
		if ln > 0 {
			steepest = ln / -math.Expm1(-ln) // the derivative of (r^u-1)/(r-1) at its bright end
		}
	}
	within := func(what string, step, most float64) {
		if !(step <= most+rounding) {
			t.Fatalf("frame %d: cell %d of source %d (%v, %v) steps %g in %s, its fade allows %g", k, c, i, l.Curve, l.Path, step, what, most)
		}
	}
	share := steepest * part
	within("luminance", math.Abs(b.Y-a.Y), share*math.Abs(end.Y-start.Y))

	from, lit := start.XY()
	to, litToo := end.XY()
	before, okBefore := a.XY()
	after, okAfter := b.XY()
	if !okBefore || !okAfter || !lit && !litToo {
		return
	}
	step := before.UV().Distance(after.UV())
	wa, isWhite := colour.IsWhite(from)
	wb, isWhiteToo := colour.IsWhite(to)
	switch {
	case l.Path == fade.Glow: // tied to luminance; bounded in path_test.go
	case !lit || !litToo:
		within("chromaticity", step, 0)
	case l.Path == fade.Around:
		centre := studioWhite.XY().UV()
		r := max(from.UV().Distance(centre), to.UV().Distance(centre))
		within("chromaticity", step, part*((math.Pi+1)*r+4*colour.Step))
	case (l.Path == fade.Auto || l.Path == fade.White) && isWhite && isWhiteToo:
		x, _ := before.White()
		y, _ := after.White()
		within("mired", math.Abs(y.Mired()-x.Mired()), part*math.Abs(wb.Mired()-wa.Mired())+1e-5)
		within("Duv", math.Abs(y.Duv-x.Duv), part*math.Abs(wb.Duv-wa.Duv))
	default:
		within("X", math.Abs(b.X-a.X), share*math.Abs(end.X-start.X))
		within("Z", math.Abs(b.Z-a.Z), share*math.Abs(end.Z-start.Z))
	}
}

// handOver checks that offsets go one code a frame, none at all while a delay
// runs, and only away from the old landing until the light has arrived; where a
// fade is too short for that, evenly within it.
func (w *watch) handOver(k int64, i int, before int64) {
	t, l := w.t, &w.legs[i]
	most := 0
	for _, c := range l.left {
		most = max(most, magnitude(c))
	}
	frames := math.Ceil(l.arrives()-rounding) - math.Floor(l.parted()+rounding)
	pace := max(1, float64(most)/frames) // codes a frame
	into := float64(l.elapsed) - math.Floor(l.parted()+rounding)
	for j, now := range w.seen.offset[i] {
		was := w.before.offset[i][j]
		step := float64(magnitude(now - was))
		switch moving := l.changing && float64(l.elapsed) < l.arrives()-rounding; {
		case l.changing && into <= 0 && now != was:
			t.Fatalf("frame %d: source %d is handed over before its fade begins", k, i)
		case !(l.changing && into <= frames) && step > 1, step > math.Ceil(pace):
			t.Fatalf("frame %d: control %d of source %d is handed over by %g codes", k, j, i, step)
		case moving && into > 0 && float64(magnitude(now)) > max(0, float64(magnitude(l.left[j]))*(1-into*pace/float64(max(most, 1))))+0.5:
			t.Fatalf("frame %d: source %d is %d codes off the moving rule, %d frames into its fade", k, i, now, l.elapsed)
		}
	}
}

func magnitude(n int) int { return max(n, -n) }

// rule checks the codes: the moving rule but for the hand-over, always within
// the slots, and near what was asked where 16 bits allow.
func (w *watch) rule(k int64, i int) {
	t, h := w.t, w.heads[i]
	if h == nil || !w.status.Live {
		return
	}
	codes := w.moving(i, h)
	got := codesOf(w.set, i, h, w.frames)
	for j, code := range codes {
		if want := min(max(code+w.seen.offset[i][j], 0), w.highest(i, h, j)); got[j] != want {
			t.Fatalf("frame %d: control %d of source %d is %d, want %d", k, j, i, got[j], want)
		}
	}
	// Half a code of an emitter is 0.0005 at a level of about 0.0015, and less above.
	if asked, ok := w.now.Light[i].XY(); ok && i == fine && w.now.Light[i].Y > 0.002 {
		reached, _ := h.Light(got).XY()
		if d := reached.UV().Distance(h.Reach(asked).XY.UV()); d > 0.0005 {
			t.Fatalf("frame %d: at Y %g the 16-bit light is Δu'v' %g off", k, w.now.Light[i].Y, d)
		}
	}
}

// moving is the moving rule's codes of a source, of every cell by itself where no
// master joins them.
func (w *watch) moving(i int, h *fixtures.Head) []int {
	layout := w.set.renderer.Layout(i)
	codes := make([]int, layout.Codes())
	switch {
	case len(w.now.Cells[i]) == 0:
		alike := make([]int, len(h.Controls()))
		h.Moving(w.now.Light[i], alike)
		layout.Spread(alike, codes)
	case layout.Unit == 0:
		for c, light := range w.now.Cells[i] {
			h.Moving(light, codes[c*layout.Each:(c+1)*layout.Each])
		}
	default:
		bare, frames := *w.now, w.set.frames()
		bare.Offset = nil
		w.set.renderer.Render(&bare, frames)
		codes = codesOf(w.set, i, h, frames)
	}
	return codes
}

// highest is the highest code of entry j of a row.
func (w *watch) highest(i int, h *fixtures.Head, j int) int {
	controls, layout := h.Controls(), w.set.renderer.Layout(i)
	if all := layout.Cells * layout.Each; j >= all {
		return controls[layout.Each+j-all].Max
	}
	return controls[j%layout.Each].Max
}

// chromaticity checks what is reported: the light's own, and without light the
// last.
func (w *watch) chromaticity(k int64, i int) {
	want, lit := w.now.Light[i].XY()
	if !lit {
		want = w.xy0[i]
		if k == 0 {
			want = studioWhite.XY()
		}
	}
	if d := want.UV().Distance(w.xy[i].UV()); d > 0 {
		w.t.Fatalf("frame %d: source %d at Y %g is reported as %v, want %v", k, i, w.now.Light[i].Y, w.xy[i], want)
	}
}

// table checks that the motor turns no faster than it may, and only when it may.
func (w *watch) table(k int64) {
	t, p := w.t, w.player
	turned := math.Abs(cue.Turn(w.was.Azimuth, w.now.Azimuth))
	if !p.drive.motor {
		if w.now.Speed != 0 {
			t.Fatalf("frame %d: a table turned by hand is told a speed", k)
		}
		return
	}
	if turned > cue.DefaultTableSpeed/Rate+rounding {
		t.Fatalf("frame %d: the table turns %g° in one frame", k, turned)
	}
	must := !p.turned || w.status.Motion == cue.Held || p.layers.Dark || len(p.hands) > 0
	if must && w.now.Speed != 0 || w.stands && turned > 0 {
		t.Fatalf("frame %d: the table turns when it must stand", k)
	}
	if turned > 0 && w.was.Speed == 0 {
		t.Fatalf("frame %d: the table turns while it is told to stop", k)
	}
	w.stands = must
}

// statusIs checks the status against the light and against itself.
func (w *watch) statusIs(k int64, was Status) {
	t, st := w.t, w.status
	if st.Progress < 0 || st.Progress > 1 {
		t.Fatalf("frame %d: progress %g", k, st.Progress)
	}
	done := st.Motion == cue.Settled || st.Motion == cue.Dark
	if st.SettledAt >= 0 != (st.Motion == cue.Fading || done) && !w.player.layers.Dark {
		t.Fatalf("frame %d: %+v", k, st)
	}
	if st.SettledAt >= 0 && done != (k >= st.SettledAt) {
		t.Fatalf("frame %d: %+v", k, st)
	}
	if k > 0 && k > st.QuietAt && was.Live && w.player.last < k {
		if w.now.Azimuth != w.was.Azimuth || w.now.Speed != w.was.Speed {
			t.Fatalf("frame %d moves, though all was quiet: %+v", k, st)
		}
		for i := range w.legs {
			if !w.seen.same(&w.before, i) {
				t.Fatalf("frame %d moves source %d, though all was quiet: %+v", k, i, st)
			}
		}
	}
}

// lnRatio is ln(b/a), within the 8 stops that the stops curve is held to.
func lnRatio(a, b float64) float64 {
	const most = 8 * math.Ln2
	switch {
	case a == b:
		return 0
	case a == 0 || b == 0:
		return most
	}
	return min(max(math.Log(b/a), -most), most)
}
