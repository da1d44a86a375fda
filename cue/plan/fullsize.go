package plan

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures/photometry"
	"limn/fixtures/space"
)

// FullOptions is what is known of the shoot at full size. Zero = as on the model,
// or the default named.
type FullOptions struct {
	Aperture float64 // f-number on the lens
	Shutter  float64 // seconds
	ISO      float64
	Efficacy float64 // lm/W of the lights; DefaultEfficacy
	Head     float64 // lumens of one light; DefaultHead
	Cable    float64 // metres from the distribution; DefaultCable
	Wire     float64 // mm²; DefaultWire
	Cues     []string
}

// Defaults of what nobody wrote: what lights of the trade do now (common practice, no source).
const (
	DefaultEfficacy = 100.0    // lm/W
	DefaultHead     = 20_000.0 // lumens
	DefaultCable    = 30.0     // m
	DefaultWire     = 2.5      // mm²
)

// Overhead is the elevation from which on a source hangs over the set, degrees.
const Overhead = 45.0

// FullSize is the same picture at 1:1.
type FullSize struct {
	Name     string
	Scale    float64
	Set      []FullItem // subject and camera
	Sources  []FullItem // each at its brightest
	Cards    []FullItem
	Light    []Figure // how the light compares
	Cues     []FullCue
	Motion   []Figure
	Turns    []string // what turns with the subject, and what goes round it
	Notes    []string
	Cautions []string
}

// FullItem is one thing at full size.
type FullItem struct {
	Kind, Name string
	Class      string // of a source: what kind of light gives that
	Hangs      bool   // over the set
	Figures    []Figure
}

// FullCue is one cue at full size: where everything stands when the subject stays
// and camera and lights go round it, and what it takes.
type FullCue struct {
	Cue     int
	Name    string
	Azimuth float64
	Items   []FullItem
	Watts   Figure
	Amperes Figure
	Count   Figure // circuits
}

// enlarger reckons at full size.
type enlarger struct {
	*reckoner
	opt   FullOptions
	scale float64
	out   *FullSize

	most     []known // lux of each source at full size, over the cues
	flux     []known // lumens of its lamps
	lum      []known
	standing []cue.CardPlace
}

var (
	lawLength  = law{"×s", "similar figures", ""}
	lawSameLux = law{"E·(N_f/N_m)²·(t_m/t_f)·(S_m/S_f)", "the incident equation, twice", "unchanged surfaces and layout, air without haze"}
	lawFlux    = law{"Φ = π·L·A/τ: what its lamps give behind the diffusion", "Lambert, Photometria, 1760", "an even, Lambertian face"}
	lawBeam    = law{"I = E·d²", "inverse square law", "5 times the size of the source away or more"}
	lawWatt    = law{"Φ/efficacy", "definition", "expect a fifth"}
)

// NewFullSize reckons the report. The error is that of NewExpose.
func NewFullSize(s *cue.Shoot, opt FullOptions) (*FullSize, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	k, err := newReckoner(s, nil)
	if err != nil {
		return nil, err
	}
	for _, d := range []struct {
		to *float64
		is float64
	}{{&opt.Efficacy, DefaultEfficacy}, {&opt.Head, DefaultHead}, {&opt.Cable, DefaultCable}, {&opt.Wire, DefaultWire}} {
		if *d.to == 0 {
			*d.to = d.is
		}
	}
	n := len(s.Rig.Sources)
	e := &enlarger{
		reckoner: k, opt: opt, scale: s.Subject.Scale, out: &FullSize{Name: s.Subject.Name, Scale: s.Subject.Scale},
		most: make([]known, n), flux: make([]known, n), lum: make([]known, n),
	}
	rig := lensOf(s, &cue.CameraChange{})
	e.set(&rig)
	for _, i := range cues {
		e.cue(i, &s.Resolved[i])
	}
	e.sources()
	e.cards()
	e.motion(&rig)
	e.words()
	return e.out, nil
}

// times enlarges a length of the model.
func (e *enlarger) times(key, title string, metres float64, need string) Figure {
	if !(metres > 0) && need != "" {
		return lawLength.absent(key, title, "m", need)
	}
	return lawLength.figure(key, title, "m", e.scale*metres, Input{"model", "m", "", metres}, Input{"s", "", "scale", e.scale}).as(Far)
}

// set is the subject and the camera.
func (e *enlarger) set(l *lens) {
	s, c := &e.shoot.Subject, &e.shoot.Camera
	e.out.Set = append(e.out.Set, FullItem{Kind: "subject", Name: s.Name, Figures: []Figure{
		e.times("length", "length", s.Length.Metres, needLength), e.times("width", "width", s.Width.Metres, needWidth), e.times("height", "height", s.Height.Metres, needHeight),
	}})
	field := lacks(missingOf([]term{with("", l.width), with("", l.magnification)}))
	if field.missing == "" {
		field = is(l.width.value / l.magnification.value / 1000)
	}
	focal, m := e.fullLens(l)
	lens := law{"f = u·m/(1+m), m a scale smaller", "thin lens, the same sensor and field", ""}
	f := lens.absent("focal", "focal length for the same field, same sensor", "mm", focal.missing)
	if focal.ok() {
		f = lens.figure("focal", f.Title, "mm", focal.value, Input{"m", "", "magnification", m.value}).as(unit(2, "mm"))
	}
	item := FullItem{Kind: "camera", Name: "camera", Figures: []Figure{
		e.times("distance", "from the axis", c.Distance.Metres, needDistance),
		e.times("field", "width of the field", field.value, field.missing),
		f,
	}}
	if h := c.Height.Metres; h > 0 {
		item.Figures = append(item.Figures, e.times("height", "height of the lens", h, ""))
	}
	e.out.Set = append(e.out.Set, item)
}

// fullLens is the lens at full size that sees the same field on the same sensor.
func (e *enlarger) fullLens(l *lens) (focal, m known) {
	if !l.focus.ok() {
		return lacks(l.focus.missing), lacks(l.focus.missing)
	}
	mag := l.magnification.value / e.scale
	return is(e.scale * l.focus.value * mag / (1 + mag)), is(mag)
}

// factor is how the light at full size compares with a cue's.
func (e *enlarger) factor(l *lens) (lux, lumens, stops Figure) {
	nf := l.exposing()
	if e.opt.Aperture > 0 {
		nf = is(e.opt.Aperture)
		if _, m := e.fullLens(l); m.ok() {
			n, _ := camera.Effective(e.opt.Aperture, m.value, l.pupil)
			nf = is(n)
		}
	}
	t, s := l.seconds, l.iso
	if e.opt.Shutter > 0 {
		t = is(e.opt.Shutter)
	}
	if e.opt.ISO > 0 {
		s = is(e.opt.ISO)
	}
	// The same setting on both sides needs not be known.
	nm, tm, sm := l.exposing(), l.seconds, l.iso
	if e.opt.Aperture == 0 {
		nm, nf = is(1), is(1)
	}
	if e.opt.Shutter == 0 {
		tm, t = is(1), is(1)
	}
	if e.opt.ISO == 0 {
		sm, s = is(1), is(1)
	}
	in := []term{with("s", is(e.scale)), with("N_m", nm), with("N_f", nf), with("t_m", tm), with("t_f", t), with("S_m", sm), with("S_f", s)}
	lux = ask("lux-factor", "illuminance against the model's", "scl-flux", "lux_factor", in...).as(unit(2, "times"))
	lumens = ask("lumen-factor", "flux against the model's", "scl-flux", "lumen_factor", in...).as(unit(2, "times"))
	stops = ask("lux-stops", "the same in stops", "scl-flux", "stops_lux", in...).as(SignedStops)
	return lux, lumens, stops
}

// cue reckons one cue.
func (e *enlarger) cue(i int, r *cue.Resolved) {
	l := lensOf(e.shoot, &r.Camera)
	light := e.light(r, &l)
	lux, lumens, stops := e.factor(&l)
	if len(e.out.Light) == 0 {
		e.out.Light = []Figure{lux, lumens, stops}
	}
	c := FullCue{Cue: i, Name: r.Name, Azimuth: r.Azimuth}
	if d := e.shoot.Camera.Distance.Metres; d > 0 {
		c.Items = append(c.Items, FullItem{Kind: "camera", Name: "camera", Figures: e.standing3(space.At(0, l.elevation, d), r.Azimuth)})
	}
	sum, unknown := 0.0, []term{}
	for j := range light.Sources {
		src := &light.Sources[j]
		if !src.Lit {
			continue
		}
		item := FullItem{Kind: "source", Name: src.Name}
		p, _ := placeOf(e.shoot, r, j)
		if p.Known {
			item.Hangs = p.Elevation.Degrees >= Overhead
			item.Figures = e.standing3(at(&p, r.Azimuth), r.Azimuth)
		}
		full := e.scaled(src.Lux, &lux, "lux", "at the aim point, facing it", "lx").as(Lux)
		lum := e.scaled(src.Luminance, &lux, "luminance", "luminance of its face", "cd/m²").as(unit(2, "cd/m²"))
		flux := e.lamps(src, &full, &lum)
		item.Figures = append(item.Figures, full, lum, flux)
		c.Items = append(c.Items, item)
		e.keep(j, full, lum, flux)
		if flux.Known() {
			sum += flux.Value / e.opt.Efficacy
		} else {
			unknown = append(unknown, with("", flux.known()))
		}
	}
	for _, p := range r.Cards {
		if !p.Out && p.Place.Known {
			c.Items = append(c.Items, FullItem{Kind: "card", Name: e.shoot.Cards[p.Card].Name, Figures: e.standing3(at(&p.Place, r.Azimuth), r.Azimuth)})
			if z := at(&p.Place, 0).Z + e.shoot.Subject.Height.Metres/2; z < 0 && e.shoot.Subject.Height.Metres > 0 {
				e.below(e.shoot.Cards[p.Card].Name, z)
			}
			e.standing = append(e.standing, p)
		}
	}
	e.feed(&c, sum, missingOf(unknown))
	e.out.Cues = append(e.out.Cues, c)
}

// below tells of what would stand under the ground, once.
func (e *enlarger) below(name string, z float64) {
	note := fmt.Sprintf("the middle of %s hangs %s below the table's top: at full size that is %s under the ground; raise it, or put the subject on a stage", name, Near(-z), Far(-z*e.scale))
	if !slices.Contains(e.out.Notes, note) {
		e.out.Notes = append(e.out.Notes, note)
	}
}

// standing3 is where something stands about the subject that stays, at full size:
// to the right of the axis and away from where the camera stood, and above what
// the subject stands on. What rides on the table was turned with it, and goes back
// with the rest.
func (e *enlarger) standing3(p space.Vec, azimuth float64) []Figure {
	p = p.Mul(e.scale)
	in := []term{with("x", is(p.X)), with("y", is(p.Y)), with("delta_deg", is(azimuth))}
	return []Figure{
		ask("x", "right of the axis", "scl-orbit", "x", in...).as(Far),
		ask("y", "away", "scl-orbit", "y", in...).as(Far),
		lawLength.figure("above", "above the ground", "m", p.Z+float64(e.scale*e.shoot.Subject.Height.Metres/2)).as(Far),
	}
}

// scaled is a light of the model at full size.
func (e *enlarger) scaled(f Figure, factor *Figure, key, title, unitName string) Figure {
	if missing := missingOf([]term{with("", f.known()), with("", factor.known())}); missing != "" {
		return lawSameLux.absent(key, title, unitName, missing)
	}
	return lawSameLux.figure(key, title, unitName, f.Value*factor.Value, Input{"model", unitName, "on the model", f.Value}, Input{"factor", "", "of the settings", factor.Value})
}

// lamps is the flux that the lamps of a source must give at full size: of a face
// by its luminance, of a small source by its intensity into its beam.
func (e *enlarger) lamps(src *SourceLight, lux, lum *Figure) Figure {
	fixture := &e.shoot.Rig.Sources[src.Source]
	tau := photometry.Transmission(lossOf(fixture).Stops)
	area := fixture.Width.Metres * fixture.Height.Metres * e.scale * e.scale
	emission := e.shoot.Emission(src.Source)
	switch {
	case lum.Known() && area > 0 && src.emitter.luminance > 0 && src.bounce < 0:
		return lawFlux.figure("flux", "flux of its lamps", "lm", math.Pi*lum.Value*area/tau,
			Input{"L", "cd/m²", "luminance", lum.Value}, Input{"A", "m²", "area at full size", area}, Input{"tau", "", "share its diffusion lets through", tau}).as(Lumens)
	case lux.Known() && src.emitter.missing == "" && emission.Beam.Degrees > 0:
		d := e.scale * src.emitter.place.Len()
		_, each := photometry.SmoothBeam(1, emission.Beam.Degrees)
		f := ask("flux", "flux of its lamps", "pho-cospow", "lm", with("I", is(lux.Value*d*d)), with("beam_deg", is(emission.Beam.Degrees)))
		f.Value = lux.Value * d * d * each / tau
		return f.as(Lumens)
	case lux.Known():
		return lawBeam.absent("flux", "flux of its lamps", "lm", fmt.Sprintf(`the size of %s, or its beam = "40 deg"`, src.Name))
	}
	return lawFlux.absent("flux", "flux of its lamps", "lm", lux.Missing)
}

// Lumens writes a flux with two digits.
func Lumens(v float64) string {
	if v >= 10_000 {
		return significant(v/1000, 2) + " klm"
	}
	return significant(v, 2) + " lm"
}

// keep remembers each source where it is brightest.
func (e *enlarger) keep(j int, lux, lum, flux Figure) {
	if !e.most[j].ok() || e.most[j].value == 0 || lux.Known() && lux.Value > e.most[j].value {
		e.most[j], e.lum[j], e.flux[j] = lux.known(), lum.known(), flux.known()
	}
}
