package cue

import (
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// Resolve fills s.Resolved and returns what is wrong or doubtful, each with the
// place where the offending entry was written. Cues that cannot be resolved (a
// cycle, an unknown name) are left without light; s.Resolved is complete if no
// fault is an error.
//
// The renderer tells what each source can make and how much. With a nil
// renderer (a rig that has faults of its own) names, cycles and levels are
// checked all the same, and everything is taken to be reachable.
func (s *Shoot) Resolve(r *fixtures.Renderer) []fixtures.Fault {
	v := newResolver(s, r)
	v.checkNames()
	for _, i := range v.order() {
		v.cue(i)
	}
	v.checkSequences()
	return v.findings.faults()
}

// resolver is one run of Resolve.
type resolver struct {
	shoot    *Shoot
	renderer *fixtures.Renderer
	findings findings
	key      int // source index; -1 = none

	cues, looks, angles map[string]int
	nearest             map[[2]string]string // see didYouMean
	children            []int                // how many cues come from each

	states []*state // of cues that others come from, until the last of them is done
	shares []share  // scratch, per source
	reach  []map[colour.XY]mix.Aim
	white  map[colour.Spec]colour.XY
}

func newResolver(s *Shoot, r *fixtures.Renderer) *resolver {
	if s.Rig == nil {
		s.Rig = &fixtures.Rig{}
	}
	n := len(s.Rig.Sources)
	s.Resolved = make([]Resolved, len(s.Cues))
	v := &resolver{
		shoot: s, renderer: r, key: s.Key(),
		cues: map[string]int{}, looks: map[string]int{}, angles: map[string]int{}, nearest: map[[2]string]string{},
		children: make([]int, len(s.Cues)), states: make([]*state, len(s.Cues)),
		shares: make([]share, n), reach: make([]map[colour.XY]mix.Aim, n),
		white: map[colour.Spec]colour.XY{},
	}
	return v
}

// aim is what source i makes of a chromaticity. Cues repeat their colours, so
// each is projected once.
func (v *resolver) aim(i int, xy colour.XY) mix.Aim {
	if a, ok := v.reach[i][xy]; ok {
		return a
	}
	a := mix.Aim{XY: xy, InGamut: true, MaxY: 1}
	if v.renderer != nil {
		a = v.renderer.Reach(i, xy)
	}
	if v.reach[i] == nil {
		v.reach[i] = map[colour.XY]mix.Aim{}
	}
	v.reach[i][xy] = a
	return a
}

// xy is the chromaticity of a colour as written.
func (v *resolver) xy(spec colour.Spec) colour.XY {
	if xy, ok := v.white[spec]; ok {
		return xy
	}
	xy := spec.Resolve(v.shoot.Camera.White)
	v.white[spec] = xy
	return xy
}
