package operate

import (
	"math"
	"slices"
	"sync"

	"limn/cue"
	"limn/cue/timeline"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// screen is what snapshots are made with: nothing of it is the frame thread's.
type screen struct {
	mu       sync.Mutex
	renderer *fixtures.Renderer
	state    *fixtures.State
	frames   [][fixtures.UniverseSize]byte
	reached  []colour.XYZ
	key      int // source, -1 = none
}

func newScreen(shoot *cue.Shoot, r *fixtures.Renderer, p *timeline.Player) screen {
	return screen{
		renderer: r,
		state:    p.NewState(),
		frames:   make([][fixtures.UniverseSize]byte, len(r.Universes())),
		reached:  make([]colour.XYZ, len(shoot.Rig.Sources)),
		key:      shoot.Key(),
	}
}

// Snapshot fills dst with the state of the latest filled frame. dst keeps its
// slices from call to call and shares none of them with anybody.
func (e *Engine) Snapshot(dst *cue.Snapshot) {
	e.mu.Lock()
	p, k := e.shown, e.filled
	dst.Notices = append(dst.Notices[:0], e.messages...)
	e.mu.Unlock()

	s := &e.screen
	s.mu.Lock()
	defer s.mu.Unlock()
	st := p.At(k, s.state)
	s.renderer.Render(s.state, s.frames)
	s.renderer.Read(s.frames, s.reached)

	dst.K, dst.Cue, dst.Motion, dst.Progress = k, st.Cue, st.Motion, st.Progress
	dst.CueName, dst.Next = "", -1
	if st.Cue >= 0 {
		dst.CueName = e.shoot.Resolved[st.Cue].Name
	}
	if next := st.Cue + 1; next < len(e.shoot.Resolved) {
		dst.Next = next
	}
	dst.Azimuth = s.state.Azimuth
	dst.Prompts = append(dst.Prompts[:0], p.Prompts()...)
	dst.Sources = slices.Grow(dst.Sources[:0], len(s.reached))[:len(s.reached)]
	for i := range dst.Sources {
		dst.Sources[i] = e.source(i, s)
	}
}

// source is one source of a snapshot.
func (e *Engine) source(i int, s *screen) cue.SourceSnapshot {
	lux := e.lux(i, s.state.Light[i])
	key := math.NaN()
	if s.key >= 0 {
		key = e.lux(s.key, s.state.Light[s.key])
	}
	return cue.SourceSnapshot{
		Asked:    s.state.Light[i],
		Reached:  s.reached[i],
		Lux:      lux,
		KeyStops: againstKey(lux, key),
	}
}

// lux is what a source's light comes to at the aim point; NaN without a meter
// reading of it.
func (e *Engine) lux(i int, light colour.XYZ) float64 {
	full := e.shoot.Rig.Sources[i].Full
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
