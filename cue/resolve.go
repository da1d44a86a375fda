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
// renderer, for a rig that has faults of its own, names and cycles are checked
// all the same; everything is taken to be reachable, and what may only be missing
// because of those faults (a key, a meter reading) is not complained of.
func (s *Shoot) Resolve(r *fixtures.Renderer) []fixtures.Fault {
	v := newResolver(s, r)
	s.Resolved = make([]Resolved, len(s.Cues))
	v.checkNames()
	v.checkPairs()
	v.checkRamps()
	for _, i := range v.order() {
		v.cue(i)
	}
	v.checkSequences()
	faults := v.findings.faults()
	return append(faults, v.checkWork(faults)...)
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
	tones  map[toneKey]*tone

	ramps     map[*Ramp]bool          // those looked at: whether they are sound
	strips    map[string][]colour.XYZ // the cells of each different ramp
	stripSize int                     // of all together
}

// tone is a colour as written, on one source.
type tone struct {
	spec colour.Spec
	xy   colour.XY
	aim  mix.Aim
	told bool // that it is out of gamut
}

// toneKey finds a tone by where its text was read: files give equal texts the
// same pointer. nil is the camera's white.
type toneKey struct {
	source int
	spec   *colour.Spec
}

func newResolver(s *Shoot, r *fixtures.Renderer) *resolver {
	if s.Rig == nil {
		s.Rig = &fixtures.Rig{}
	}
	n := len(s.Rig.Sources)
	v := &resolver{
		shoot: s, renderer: r, key: s.Key(),
		cues: map[string]int{}, looks: map[string]int{}, angles: map[string]int{}, nearest: map[[2]string]string{},
		children: make([]int, len(s.Cues)), states: make([]*state, len(s.Cues)),
		shares: make([]share, n), tones: map[toneKey]*tone{},
		ramps: map[*Ramp]bool{}, strips: map[string][]colour.XYZ{},
	}
	return v
}

// tone is what source i makes of a colour. Cues repeat their colours, so each is
// projected once.
func (v *resolver) tone(i int, spec *colour.Spec) *tone {
	key := toneKey{i, spec}
	if c, ok := v.tones[key]; ok {
		return c
	}
	c := &tone{}
	if spec != nil {
		c.spec = *spec
	}
	c.xy = c.spec.Resolve(v.shoot.Camera.White)
	c.aim = mix.Aim{XY: c.xy, InGamut: true, MaxY: 1}
	if v.renderer != nil {
		c.aim = v.renderer.Reach(i, c.xy)
	}
	v.tones[key] = c
	return c
}
