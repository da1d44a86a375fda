package operate

import (
	"slices"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// Told is a light as reports give it. Without light, the chromaticity is the
// last there was; the camera's white before there was any.
type Told struct {
	XY colour.XY
	Y  float64
}

// Frame is one frame of a trace. Its slices are used again for the next.
type Frame struct {
	K       int64
	Cue     string // "" before the first
	Status  timeline.Status
	Azimuth float64                       // of the table, degrees: as a motor is told, or hands last confirmed
	Asked   []Told                        // per source, before the solver
	Cells   [][]colour.XYZ                // per source, before the solver: cell by cell where they differ, else empty; Asked is their mean
	Reached []Told                        // per source, from the slots; what is set by hand reaches nothing
	Said    []Said                        // the commands that acted in this frame, and the answers
	Scene   *cue.Resolved                 // the cue with what lies over it for good; nil before the first. Read-only
	Kept    *cue.Resolved                 // the same without trims: Scene itself where there are none
	Frames  [][fixtures.UniverseSize]byte // zeros, and nothing sent, until Status.Live
}

// Said is a command and the answer to it.
type Said struct {
	Command Command
	Reply   Reply
}

// Ending is how a trace ended.
type Ending string

// The ways a trace ends.
const (
	EndSettled Ending = "settled"
	EndWaiting Ending = "waiting" // for hands that the program never confirms
	EndHeld    Ending = "held"    // on a hold that the program never releases
	EndOfTime  Ending = "time"    // at the last frame asked for
)

// Tracing is how a program is played on a virtual clock.
type Tracing struct {
	Frames int64         // how many; 0 = until all has settled
	Folder *files.Folder // where what is kept goes; nil: nothing can be kept
	Write  bool          // it is really written there
	OnDone func(Done)    // see Options
}

// Trace plays a program on a virtual clock from frame 0 and gives visit every
// frame. It ends one frame after everything the program began has settled, or
// has come to all it can come to without hands; or, where frames is above 0,
// after exactly so many. What is prompted is taken as done unless the program
// says confirm. An error of visit ends it and is returned.
func Trace(shoot *cue.Shoot, program []Timed, frames int64, visit func(*Frame) error) (Ending, error) {
	return Tracing{Frames: frames}.Play(shoot, program, visit)
}

// Play is Trace with a folder to keep things in.
func (how Tracing) Play(shoot *cue.Shoot, program []Timed, visit func(*Frame) error) (Ending, error) {
	confirms := slices.ContainsFunc(program, func(t Timed) bool { return t.Command.Verb == Confirm })
	e, err := New(shoot, Options{AutoConfirm: !confirms, Folder: how.Folder, Write: how.Write, OnDone: how.OnDone})
	if err != nil {
		return "", err
	}
	rest := make([]queued, len(program))
	for i, c := range program {
		rest[i] = queued{c.K(), c.Command}
	}
	t := newTracer(e)
	for k := int64(0); ; k++ {
		rest = t.step(k, rest)
		if err := visit(&t.frame); err != nil {
			return "", err
		}
		st := &t.frame.Status
		switch {
		case how.Frames > 0:
			if k+1 >= how.Frames {
				return EndOfTime, nil
			}
		case len(rest) == 0 && k > st.QuietAt && e.current().auto() < 0:
			return endingOf(st), nil
		}
	}
}

func endingOf(st *timeline.Status) Ending {
	switch {
	case st.Motion == cue.Held:
		return EndHeld
	case st.SettledAt < 0:
		return EndWaiting
	}
	return EndSettled
}

// tracer steps an engine and reads what each frame says.
type tracer struct {
	engine *Engine
	frame  Frame
	asked  []colour.XY
	light  []colour.XYZ
	set    *set
	moment *moment
}

func newTracer(e *Engine) *tracer {
	t := &tracer{engine: e, frame: Frame{Frames: make([][fixtures.UniverseSize]byte, len(e.Universes()))}}
	t.fit(e.current())
	return t
}

// fit makes room for the sources of a moment's rig.
func (t *tracer) fit(m *moment) {
	if t.set == m.set {
		return
	}
	t.set = m.set
	n := len(m.shoot.Rig.Sources)
	if len(t.light) == n {
		return
	}
	t.asked, t.light = make([]colour.XY, n), make([]colour.XYZ, n)
	t.frame.Asked, t.frame.Reached = make([]Told, n), make([]Told, n)
	white := m.shoot.Camera.White.XY()
	for i := range t.frame.Reached {
		t.frame.Reached[i].XY = white
	}
}

// step gives the commands due in frame k, fills it, and returns the rest of the
// program.
func (t *tracer) step(k int64, program []queued) []queued {
	e, f := t.engine, &t.frame
	f.Said = f.Said[:0]
	for len(program) > 0 && program[0].k <= k {
		f.Said = append(f.Said, Said{program[0].command, e.DoAt(k, program[0].command)})
		program = program[1:]
	}
	live := e.Fill(k, f.Frames)
	m := e.shown
	t.fit(m)
	state := m.frame.state
	f.K, f.Status, f.Azimuth, f.Cue = k, e.status, state.Azimuth, ""
	if t.moment != m {
		t.moment, f.Scene, f.Kept = m, m.player.Scene(), m.kept()
	}
	if f.Scene != nil {
		f.Cue = f.Scene.Name
	}
	f.Cells = state.Cells
	m.player.Chromaticity(k, t.asked)
	for i, l := range state.Light {
		f.Asked[i] = Told{XY: t.asked[i], Y: l.Y}
	}
	if live {
		frames := f.Frames
		if m.frame.own != nil {
			frames = m.frame.own
		}
		m.frame.renderer.Read(frames, t.light)
	}
	for i, l := range t.light {
		f.Reached[i].Y = l.Y
		if xy, ok := l.XY(); ok {
			f.Reached[i].XY = xy
		}
	}
	return program
}
