package operate

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"limn/cue"
	"limn/cue/motion"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// screen is what snapshots are made with: nothing of it is the frame thread's.
type screen struct {
	mu       sync.Mutex
	set      *set // that it was made for
	renderer *fixtures.Renderer
	state    *fixtures.State
	frames   [][fixtures.UniverseSize]byte
	reached  []colour.XYZ
	key      int // source, -1 = none

	kept    *cue.Resolved // the present light without its trims, of a moment
	keptFor *moment
}

func newScreen(m *moment) *screen {
	s := &screen{}
	s.fit(m)
	return s
}

// fit makes the screen one of a moment's shoot.
func (s *screen) fit(m *moment) {
	if s.set == m.set {
		return
	}
	m.calc.Lock()
	s.renderer = m.renderer.Clone()
	m.calc.Unlock()
	s.set = m.set
	s.state = m.player.NewState()
	s.frames = make([][fixtures.UniverseSize]byte, len(s.renderer.Universes()))
	s.reached = make([]colour.XYZ, len(m.shoot.Rig.Sources))
	s.key = m.shoot.Key()
	s.kept, s.keptFor = nil, nil
}

// Snapshot fills dst with the state of the latest filled frame; a hold is told at
// once, before a frame shows it. dst keeps its
// slices from call to call and shares none of them with anybody.
func (e *Engine) Snapshot(dst *cue.Snapshot) {
	e.mu.Lock()
	m, k, now := e.shown, e.filled, e.now
	dst.Notices = append(dst.Notices[:0], e.messages...)
	dst.Warnings = append(dst.Warnings[:0], e.warnings...)
	e.mu.Unlock()

	s := e.screen
	s.mu.Lock()
	defer s.mu.Unlock()
	s.fit(m)
	held := now != m && now.set == m.set && now.player.At(k+1, s.state).Motion == cue.Held // no frame shows it yet
	st := m.player.At(k, s.state)
	if st.Stale {
		dst.Warnings = append(dst.Warnings, staleText)
	}
	s.renderer.Render(s.state, s.frames)
	s.renderer.Read(s.frames, s.reached)

	l := m.layers()
	dst.K, dst.Cue, dst.Motion, dst.Progress = k, st.Cue, st.Motion, st.Progress
	if held {
		dst.Motion = cue.Held
	}
	dst.CueName, dst.Next = m.cueName(st.Cue), -1
	if scene := m.player.Scene(); scene != nil {
		dst.CueName = scene.Name
	}
	if next := st.Cue + 1; next < len(m.shoot.Resolved) {
		dst.Next = next
	}
	dst.Azimuth, dst.Speed = s.state.Azimuth, s.state.Speed
	dst.Prompts = append(dst.Prompts[:0], m.player.Prompts()...)
	dst.Sequence, dst.Entry, dst.Entries = "", 0, 0
	if m.run != nil {
		dst.Sequence, dst.Entry, dst.Entries = m.run.name, m.run.stepper.Entry()+1, len(m.run.shots)
		if ask, waits := m.waits(); waits {
			dst.Prompts = append(dst.Prompts, ask)
			if dst.Motion == cue.Settled {
				dst.Motion = cue.Waiting
			}
		}
	}
	dst.Looks = dst.Looks[:0]
	for _, i := range l.Looks {
		dst.Looks = append(dst.Looks, m.shoot.Looks[i].Name)
	}
	dst.Without = append(dst.Without[:0], l.Without...)
	dst.Alone, dst.Aim, dst.Identify = l.Alone, l.Aim, l.Identify
	dst.Whole, dst.Dark, dst.Work, dst.Exposure = l.Whole, l.Dark, l.Work, m.exposure
	if dst.Here = l.Here != nil; dst.Here {
		dst.HereAt = l.Here.Azimuth
	}
	dst.Trimmed, dst.Offered = len(m.playing()) > 0, len(m.aside[l.Cue]) > 0
	dst.Pace = m.player.Tempo()
	dst.Question, dst.Choices = "", dst.Choices[:0]
	if q := m.question; q != nil {
		dst.Question = q.ask.Question()
		dst.Choices = append(dst.Choices, q.ask.Choices...)
	}
	dst.Sources = slices.Grow(dst.Sources[:0], len(s.reached))[:len(s.reached)]
	kept := s.keptOf(m)
	for i := range dst.Sources {
		dst.Sources[i] = m.source(i, s, kept)
	}
}

// staleText is said as long as light follows a table that is silent.
var staleText = fmt.Sprintf("the table has not told where it is for %g s; the light stands where it was", motion.StaleAfter)

// keptOf is the present light without its trims, worked out once a moment.
func (s *screen) keptOf(m *moment) *cue.Resolved {
	if s.keptFor != m {
		s.kept, s.keptFor = m.kept(), m
	}
	return s.kept
}

// source is one source of a snapshot.
func (m *moment) source(i int, s *screen, kept *cue.Resolved) cue.SourceSnapshot {
	lux := m.lux(i, s.state.Light[i])
	key := math.NaN()
	if s.key >= 0 {
		key = m.lux(s.key, s.state.Light[s.key])
	}
	out := cue.SourceSnapshot{
		Asked:    s.state.Light[i],
		Reached:  s.reached[i],
		Lux:      lux,
		KeyStops: againstKey(lux, key),
		Headroom: s.headroom(i),
	}
	if scene := m.player.Scene(); scene != nil {
		now, was := &scene.Light[i], &kept.Light[i]
		out.Level, out.Colour = now.Level, orWhite(now.Colour)
		out.KeptLevel, out.KeptColour = was.Level, orWhite(was.Colour)
		_, out.Trimmed = m.playing()[i]
	}
	return out
}

// headroom is how far a source could still go up at the colour asked of it, in
// stops; NaN when it is off.
func (s *screen) headroom(i int) float64 {
	light := s.state.Light[i]
	xy, ok := light.XY()
	if !ok {
		return math.NaN()
	}
	return max(math.Log2(s.renderer.Reach(i, xy).MaxY/light.Y), 0)
}

// lux is what a source's light comes to at the aim point; NaN without a meter
// reading of it.
func (s *set) lux(i int, light colour.XYZ) float64 {
	full := s.shoot.Rig.Sources[i].Full
	if !(full > 0) {
		return math.NaN()
	}
	return full * light.Y
}

// againstKey is a source's stops against the key: -Inf when it is off, NaN when
// either is unknown or the key is off.
func againstKey(lux, key float64) float64 {
	if !(key > 0) {
		return math.NaN()
	}
	return math.Log2(lux / key)
}
