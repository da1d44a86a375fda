package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/space"
)

// Light is the light of one cue at the aim point.
type Light struct {
	Sources []SourceLight // parallel to the rig's, unlit ones too
	Cards   []CardLight   // those that stand in the cue
	Ambient Figure        // lx of the room, facing the camera; missing where not written

	Key    Figure // lx of the key, facing it
	Camera Figure // lx on the plane that faces the camera, all together
	Ratio  []Figure
	// Unknown names lit sources that are not counted, each with what is missing.
	Unknown []string
}

// SourceLight is what one source gives in a cue.
type SourceLight struct {
	Source int
	Name   string
	Role   fixtures.Role
	Lit    bool
	Level  string

	Lux       Figure // at the aim point, facing the source
	ToCamera  Figure // on the plane that faces the camera
	KeyStops  Figure // against the key
	Left      Figure // stops up to the most it gives at its colour
	Luminance Figure // cd/m² of its face: what paint mirrors
	Hidden    float64

	shadows [][]space.Vec // what cards hide of its face
	follows bool          // its level counts from the key
	bounce  int           // the card it is turned to; -1 = none
	emitter emitter
	y       float64
	each    float64 // lx on the plane that faces the camera, by way of cards too
}

// emits says whether its light can be reckoned.
func (l *SourceLight) emits() bool { return l.Lit && l.emitter.missing == "" }

// reckoner holds what the reports of one shoot share.
type reckoner struct {
	shoot    *cue.Shoot
	renderer *fixtures.Renderer
	flux     []float64 // lumens of one unit of each source by its profile; 0 = not known
	heads    []*fixtures.Head
	bounds   *[2]space.Vec // of a mesh
}

// newReckoner compiles what is needed of the lights.
func newReckoner(s *cue.Shoot, mesh *[2]space.Vec) (*reckoner, error) {
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		return nil, err
	}
	k := &reckoner{shoot: s, renderer: r, bounds: mesh, flux: make([]float64, len(s.Rig.Sources)), heads: make([]*fixtures.Head, len(s.Rig.Sources))}
	for i := range s.Rig.Sources {
		src := &s.Rig.Sources[i]
		if src.Hand || src.Profile == nil || !src.Profile.HasLight() {
			continue
		}
		p, err := src.Calibrated()
		if err != nil {
			return nil, fmt.Errorf("source %q: %w", src.Name, err)
		}
		if k.heads[i], err = fixtures.NewHead(p, src.Prefer); err != nil {
			return nil, fmt.Errorf("source %q: %w", src.Name, err)
		}
		k.flux[i] = k.heads[i].Lumens()
	}
	return k, nil
}

var lawLeft = law{"log2(most at that colour/now)", "the solver's own limit", ""}

// light reckons the light of a resolved cue for a camera.
func (k *reckoner) light(r *cue.Resolved, l *lens) Light {
	s := k.shoot
	out := Light{Sources: make([]SourceLight, len(s.Rig.Sources))}
	normal := space.At(0, l.elevation, 1)
	for i := range s.Rig.Sources {
		out.Sources[i] = k.source(r, i)
	}
	out.cardsOf(s, r, normal)
	for i := range out.Sources {
		out.Sources[i].toCamera(normal)
	}
	out.sum(s, r)
	out.ratios(s)
	return out
}

// source reckons one source but for the cards.
func (k *reckoner) source(r *cue.Resolved, i int) SourceLight {
	src, lit := &k.shoot.Rig.Sources[i], &r.Light[i]
	l := SourceLight{
		Source: i, Name: src.Name, Role: src.Role, Lit: lit.Asked.Y > 0, Level: lit.Level, y: lit.Asked.Y,
		bounce: k.shoot.Emission(i).Bounce, each: math.NaN(),
	}
	if !l.Lit {
		return l
	}
	if level, err := cue.ParseLevel(lit.Level); err == nil {
		l.follows = level.Kind() == cue.LevelKey
	}
	l.emitter = emitterOf(k.shoot, r, i, k.flux[i])
	m := &l.emitter
	most := 1.0
	if xy, ok := lit.Asked.XY(); ok && !src.Hand {
		most = k.renderer.Reach(i, xy).MaxY
	}
	l.Left = lawLeft.figure("left", "left of "+src.Name, "stops", math.Max(0, math.Log2(most/l.y))).as(Stops)
	// A reading at the aim point needs no place.
	switch {
	case m.missing == "":
		l.Lux = m.figure("lux", "light of "+src.Name+", facing it", m.facing(l.y), l.y, true)
	case m.measured:
		l.Lux = lawMeasured.figure("lux", "light of "+src.Name+", facing it", "lx", float64(src.Full*l.y), Input{"full", "lx", "meter reading", src.Full}, Input{"Y", "", "share of the most it gives", l.y}).as(Lux)
	default:
		l.Lux = lawFace.absent("lux", "light of "+src.Name+", facing it", "lx", m.missing)
	}
	l.Luminance = luminanceOf(&l, src)
	return l
}

// luminanceOf is what a face shines with: what glossy paint mirrors.
func luminanceOf(l *SourceLight, src *fixtures.Source) Figure {
	m := &l.emitter
	switch {
	case m.missing != "":
		return lawFace.absent("luminance", "luminance of "+l.Name, "cd/m²", m.missing)
	case m.luminance == 0 && (src.Width.IsZero() || src.Height.IsZero()):
		return lawFace.absent("luminance", "luminance of "+l.Name, "cd/m²", needSize(src.Name))
	case m.luminance == 0:
		f := law{"L = I/A", "definition of luminance", "seen straight on"}.figure("luminance", "luminance of "+l.Name, "cd/m²",
			float64(m.intensity*l.y)/(src.Width.Metres*src.Height.Metres), m.inputs...)
		return f.as(unit(2, "cd/m²"))
	}
	f := law{"L of which its face would give that light", "Lambert, Photometria, 1760", "an even, Lambertian face"}.figure(
		"luminance", "luminance of "+l.Name, "cd/m²", float64(m.luminance*l.y), m.inputs...)
	return f.as(unit(2, "cd/m²"))
}

// toCamera finds what a source gives on the plane that faces the camera.
func (l *SourceLight) toCamera(normal space.Vec) {
	if !l.Lit {
		return
	}
	if !l.emits() {
		l.ToCamera = lawFace.absent("lux-camera", "light of "+l.Name+" facing the camera", "lx", l.emitter.missing)
		return
	}
	direct := l.emitter.onto(l.y, space.Vec{}, normal)
	left := l.shadowed(direct, normal)
	l.ToCamera = l.emitter.figure("lux-camera", "light of "+l.Name+" facing the camera", left, l.y, false)
	if l.Hidden > 0 {
		l.ToCamera.Why.Inputs = append(l.ToCamera.Why.Inputs, Input{"hidden", "", "share that cards hide from the aim point", l.Hidden})
	}
	l.each = left
}

var lawSum = law{"Σ over sources and cards", "light adds", "the model casts no shadow on the aim point"}

// sum adds up.
func (l *Light) sum(s *cue.Shoot, r *cue.Resolved) {
	total := 0.0
	for i := range l.Sources {
		src := &l.Sources[i]
		if !src.Lit {
			continue
		}
		if !src.emits() {
			l.Unknown = append(l.Unknown, fmt.Sprintf("%s is not counted: needs %s", src.Name, src.emitter.missing))
			continue
		}
		for _, c := range l.Cards {
			src.each += c.byEach[i]
		}
		total += src.each
	}
	l.Ambient = lawSum.absent("ambient", "light of the room", "lx", `[room] ambient, as ambient = "40 lx"`)
	if room := s.Room.Ambient.Lux; room > 0 {
		l.Ambient = lawSum.figure("ambient", "light of the room", "lx", room).as(Lux)
		total += room
		for i := range l.Cards {
			if c := &l.Cards[i]; c.Takes.Known() {
				total += roomPart(c) - c.Takes.Value
			}
		}
	}
	l.Camera = lawSum.figure("lux-camera", "light facing the camera", "lx", math.Max(0, total), l.parts()...).as(Lux)
	if total <= 0 {
		l.Camera = lawSum.absent("lux-camera", "light facing the camera", "lx", l.lackOfLight())
	}
	l.Key = lawMeasured.absent("lux-key", "light of the key, facing it", "lx", `a source with role = "key"`)
	if key := s.Key(); key >= 0 {
		switch k := &l.Sources[key]; {
		case !k.Lit:
			l.Key.Missing = "a lit key, it is off in this cue"
		default:
			l.Key = k.Lux
			l.Key.Key, l.Key.Title = "lux-key", "light of the key, facing it"
		}
	}
	for i := range l.Sources {
		if src := &l.Sources[i]; src.Lit {
			src.KeyStops = ask("key-stops", src.Name+" against the key", "exp-stops", "stops", with("ratio", over(src.Lux.known(), l.Key.known()))).as(SignedStops)
		}
	}
}

// lackOfLight says why nothing is known to light the camera's side.
func (l *Light) lackOfLight() string {
	for i := range l.Sources {
		if src := &l.Sources[i]; src.Lit && !src.emits() {
			return src.emitter.missing
		}
	}
	return "a lit source that gives light on the camera's side"
}

// parts are what adds up to the light facing the camera.
func (l *Light) parts() []Input {
	var in []Input
	for i := range l.Sources {
		if src := &l.Sources[i]; src.emits() {
			in = append(in, Input{src.Name, "lx", "by way of cards too", src.each})
		}
	}
	if l.Ambient.Known() {
		in = append(in, Input{"room", "lx", "", l.Ambient.Value})
	}
	return in
}

// roomPart is the room's share in what a card gives.
func roomPart(c *CardLight) float64 {
	rest := c.Gives.Value
	for _, v := range c.byEach {
		rest -= v
	}
	return rest
}

// over is one light over another.
func over(a, b known) known {
	if missing := missingOf([]term{with("", a), with("", b)}); missing != "" {
		return lacks(missing)
	}
	return is(a.value / b.value)
}

// ratios are key and fill in both conventions, each facing its source.
func (l *Light) ratios(s *cue.Shoot) {
	fill, any := 0.0, false
	for i := range l.Sources {
		if src := &l.Sources[i]; src.Role == fixtures.Fill && src.Lit && src.Lux.Known() {
			fill, any = fill+src.Lux.Value, true
		}
	}
	e := lacks(`a lit source with role = "fill"`)
	if any {
		e = is(fill)
	}
	in := []term{with("E_key", l.Key.known()), with("E_fill", e)}
	ratio := func(v float64) string { return significant(v, 2) + ":1" }
	l.Ratio = []Figure{
		ask("key-and-fill-to-fill", "key and fill : fill", "exp-keyfill", "keyplusfill_to_fill", in...).as(ratio),
		ask("key-to-fill", "key : fill", "exp-keyfill", "key_to_fill", in...).as(ratio),
		ask("key-to-fill-stops", "key above fill", "exp-keyfill", "stops_k", in...).as(Stops),
	}
}
