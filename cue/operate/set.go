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

// set is a shoot with all that is compiled of it. A reload makes another.
type set struct {
	shoot *cue.Shoot
	names *names
	frame *frameSet // the frame thread's own

	sending []int // universes being sent, whatever the rig has

	calc     sync.Mutex // held while the renderer is in use, by whoever works out a command
	renderer *fixtures.Renderer
	scratch  *fixtures.State // to look at a frame with; nil until it is needed
}

// frameSet is what the frame thread makes slots with.
type frameSet struct {
	renderer *fixtures.Renderer
	state    *fixtures.State

	// Where the rig has come to have other universes than those that are being
	// sent: frames are rendered here and copied, those of no universe of ours left
	// dark. Else nil.
	own  [][fixtures.UniverseSize]byte
	from []int // by universe being sent: index in own, -1 for none
}

// newSet compiles a shoot; p is a player of it, universes are those being sent.
func newSet(shoot *cue.Shoot, r *fixtures.Renderer, p *timeline.Player, universes []int) *set {
	f := &frameSet{renderer: r, state: p.NewState()}
	if !slices.Equal(universes, r.Universes()) {
		f.own = make([][fixtures.UniverseSize]byte, len(r.Universes()))
		for _, u := range universes {
			f.from = append(f.from, slices.Index(r.Universes(), u))
		}
	}
	return &set{shoot: shoot, names: namesOf(shoot), frame: f, sending: universes, renderer: r.Clone()}
}

// render writes a frame's slots.
func (f *frameSet) render(frames [][fixtures.UniverseSize]byte) {
	if f.own == nil {
		f.renderer.Render(f.state, frames)
		return
	}
	f.renderer.Render(f.state, f.own)
	for i, from := range f.from {
		if i >= len(frames) {
			break
		}
		if from < 0 {
			frames[i] = [fixtures.UniverseSize]byte{}
			continue
		}
		frames[i] = f.own[from]
	}
}

// compose is a cue with what is laid over it.
func (s *set) compose(cueIndex int, over *cue.Over) (*cue.Resolved, []string) {
	s.calc.Lock()
	defer s.calc.Unlock()
	return s.shoot.Compose(s.renderer, cueIndex, over)
}

// entries are trims as a cue's own entries.
func (s *set) entries(cueIndex int, over *cue.Over) map[int]cue.Entry {
	s.calc.Lock()
	defer s.calc.Unlock()
	return s.shoot.Entries(s.renderer, cueIndex, over)
}

// most is the most a source gives at a chromaticity.
func (s *set) most(source int, xy colour.XY) float64 {
	s.calc.Lock()
	defer s.calc.Unlock()
	return s.renderer.Reach(source, xy).MaxY
}

func (s *set) name(source int) string { return s.shoot.Rig.Sources[source].Name }

// lit is a source of a scene as a trim sees it.
func (s *set) lit(scene *cue.Resolved, i int) lit {
	l := &scene.Light[i]
	level, err := cue.ParseLevel(l.Level)
	if err != nil {
		level = cue.Level{} // of a ramp: see Light.Cells
	}
	xy, ok := l.Asked.XY()
	if !ok {
		xy = s.colourOf(l).Resolve(s.shoot.Camera.White)
	}
	out := lit{
		name: s.name(i), level: level, y: l.Asked.Y, maxY: s.most(i, xy),
		full: s.shoot.Rig.Sources[i].Full, key: math.NaN(),
	}
	if key := s.shoot.Key(); key >= 0 {
		out.isKey = key == i
		if lux := scene.Light[key].Lux; lux > 0 {
			out.key = lux
		}
	}
	return out
}

// colourOf is a light's colour as it is written; the camera's white where none is.
func (s *set) colourOf(l *cue.Light) colour.Spec {
	spec, err := colour.ParseSpec(orWhite(l.Colour))
	if err != nil { // of a ramp: see Light.Cells
		return colour.Spec{}
	}
	return spec
}
