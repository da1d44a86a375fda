package plan

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures/photometry"
	"limn/fixtures/space"
	"limn/fixtures/supply"
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
		c.Items = append(c.Items, FullItem{Kind: "camera", Name: "camera", Figures: e.standing3(space.At(0, l.elevation, d), r.Azimuth, false)})
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
			item.Figures = e.standing3(at(&p, r.Azimuth), r.Azimuth, p.Rides)
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
			c.Items = append(c.Items, FullItem{Kind: "card", Name: e.shoot.Cards[p.Card].Name, Figures: e.standing3(at(&p.Place, r.Azimuth), r.Azimuth, p.Place.Rides)})
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
// the subject stands on.
func (e *enlarger) standing3(p space.Vec, azimuth float64, rides bool) []Figure {
	p = p.Mul(e.scale)
	in := []term{with("x", is(p.X)), with("y", is(p.Y)), with("delta_deg", is(azimuth))}
	_ = rides // what rides on the table was turned with it, and goes back with the rest
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

// feed is what a cue takes at full size.
func (e *enlarger) feed(c *FullCue, watts float64, missing string) {
	c.Watts = lawWatt.figure("watts", "power", "W", watts, Input{"efficacy", "lm/W", "of the lights", e.opt.Efficacy}).as(Watts)
	if missing != "" {
		c.Watts.Why.Outside = "not counted: needs " + missing
	}
	s := &e.shoot.Supply
	volts, breaker, factor := written(s.Volts, needVolts), written(s.Breaker, needBreaker), written(s.PowerFactor, needFactor)
	c.Amperes = ask("amperes", "current", "saf-amps", "A", with("P", is(watts)), with("V", volts), with("pf", factor)).as(unit(2, "A"))
	carries := ask("", "", "saf-circuit", "A_continuous", with("breaker_A", breaker), with("V", volts), with("pf", factor))
	count := law{"⌈amperes/(0.8·breaker)⌉", "the 80 % of NEC 210.20(A); elsewhere common practice", supply.CautionCircuit}
	c.Count = count.absent("circuits", "circuits", "", missingOf([]term{with("", c.Amperes.known()), with("", carries.known())}))
	if c.Count.Missing == "" {
		c.Count = count.figure("circuits", "circuits", "", math.Ceil(c.Amperes.Value/carries.Value), Input{"A", "A", "current", c.Amperes.Value}, Input{"carries", "A", "each, for hours", carries.Value}).as(unit(4, ""))
	}
}

// slender is how many times longer than wide a source is that is called a strip.
const slender = 4.0

// classOf names what kind of light gives that, by its sides in m and flux in lumens.
func classOf(w, h, flux, head float64, hangs bool) string {
	area := w * h
	what := "a small hard light"
	switch {
	case area > 0 && max(w, h) >= slender*min(w, h):
		what = "a strip"
	case area >= 12:
		what = "a large cloth or box on a truss"
	case area >= 2:
		what = "a cloth or box on a frame"
	case area >= 0.25:
		what = "a large panel"
	case area >= 0.02:
		what = "a panel"
	}
	if hangs && area >= 2 {
		what += ", overhead"
	}
	switch n := math.Ceil(flux / head); {
	case math.IsNaN(flux):
	case n <= 1:
		what += ", one head"
	default:
		what += fmt.Sprintf(", %.0f heads of %s", n, Lumens(head))
	}
	return what
}

// sources lists each source at its brightest.
func (e *enlarger) sources() {
	for j := range e.shoot.Rig.Sources {
		src := &e.shoot.Rig.Sources[j]
		if !src.Hand && src.Profile != nil && !src.Profile.HasLight() || e.most[j] == (known{}) {
			continue
		}
		w, h, d := src.Width.Metres, src.Height.Metres, src.Place.Distance.Metres
		needs := needSize(src.Name)
		item := FullItem{Kind: "source", Name: src.Name, Hangs: src.Place.Elevation.Degrees >= Overhead}
		item.Class = classOf(w*e.scale, h*e.scale, e.flux[j].value, e.opt.Head, item.Hangs)
		subtense := law{"2·atan(width/2/distance)", "similar figures: as on the model", ""}
		sub := subtense.absent("subtense", "width as the subject sees it", "°", needs)
		if w > 0 && d > 0 {
			sub = subtense.figure("subtense", sub.Title, "°", camera.FullSizeSource(e.scale, w, h, d, 0, 0, 1, 1).Subtense).as(unit(2, "°"))
		}
		item.Figures = []Figure{
			e.times("width", "width", w, needs), e.times("height", "height", h, needs), e.times("distance", "from the aim point", d, needPlace(src.Name)), sub,
			given(lawSameLux, "lux", "at the aim point, at its brightest", "lx", e.most[j]).as(Lux),
			given(lawSameLux, "luminance", "luminance of its face", "cd/m²", e.lum[j]).as(unit(2, "cd/m²")),
			given(lawFlux, "flux", "flux of its lamps", "lm", e.flux[j]).as(Lumens),
			given(lawWatt, "watts", "power", "W", known{e.flux[j].value / e.opt.Efficacy, e.flux[j].missing}).as(Watts),
		}
		if src.Place.Known {
			top := e.scale * (at(&src.Place, 0).Z + e.shoot.Subject.Height.Metres/2)
			item.Figures = append(item.Figures, lawLength.figure("above", "its middle above the ground", "m", top).as(Far))
		}
		e.out.Sources = append(e.out.Sources, item)
	}
}

// given is a figure of a value that was reckoned before.
func given(l law, key, title, unitName string, k known) Figure {
	if k.missing != "" {
		return l.absent(key, title, unitName, k.missing)
	}
	return l.figure(key, title, unitName, k.value)
}

// cards lists each card.
func (e *enlarger) cards() {
	for i := range e.shoot.Cards {
		c := &e.shoot.Cards[i]
		item := FullItem{Kind: "card", Name: c.Name, Class: c.Kind, Figures: []Figure{
			e.times("width", "width", c.Width.Metres, needSize(c.Name)), e.times("height", "height", c.Height.Metres, needSize(c.Name)),
		}}
		for _, p := range e.standing {
			if p.Card == i {
				item.Figures = append(item.Figures, e.times("distance", "from the aim point", p.Place.Distance.Metres, ""))
				break
			}
		}
		e.out.Cards = append(e.out.Cards, item)
	}
}

// playedRate is the rate at which films are played where nobody wrote one.
const playedRate = 24.0

// motion is how speeds scale.
func (e *enlarger) motion(l *lens) {
	fps := l.fps.or(playedRate)
	rate := ask("fall-rate", "frame rate for what falls or splashes on the model", "scl-fps", "fps", with("s", is(e.scale)), with("fps", fps)).as(unit(3, "fps"))
	cost := ask("fall-stops", "more light for it", "scl-fps", "light_stops", with("s", is(e.scale)), with("fps", fps)).as(Stops)
	speed := ask("model-speed", "1 m/s at full size is on the model, at that rate", "scl-speed", "v_model", with("v_full", is(1)), with("s", is(e.scale)), with("fps_shoot", rate.known()), with("fps_play", fps))
	speed.Unit = "m/s"
	e.out.Motion = []Figure{rate, cost, speed.as(unit(2, "m/s"))}
	limits, _, _, _ := e.shoot.TableLimits()
	if d := e.shoot.Camera.Distance.Metres; d > 0 && !e.shoot.Turntable.Hand {
		orbit := law{"ω·d·s", "geometry", "the camera goes round, the subject stays"}
		e.out.Motion = append(e.out.Motion, orbit.figure("orbit-speed", "speed of the camera on its way round, at the table's speed", "m/s", limits*math.Pi/180*d*e.scale).as(unit(2, "m/s")))
	}
}

// words says what turns, and what to be careful of.
func (e *enlarger) words() {
	var round, stay, hang []string
	for j := range e.shoot.Rig.Sources {
		src := &e.shoot.Rig.Sources[j]
		switch {
		case e.most[j] == (known{}):
		case src.Place.Rides:
			stay = append(stay, src.Name)
		default:
			round = append(round, src.Name)
		}
		if src.Place.Elevation.Degrees >= Overhead && e.most[j] != (known{}) {
			hang = append(hang, src.Name)
		}
	}
	e.out.Turns = append(e.out.Turns,
		fmt.Sprintf("if the %s turns on the spot, everything stands as on the table", "subject"),
		fmt.Sprintf("if it stays, camera, backdrop, cards and %s go round it, the other way: by -45° where the table turns by 45°", cue.ShortList(round)))
	if len(stay) > 0 {
		e.out.Turns = append(e.out.Turns, cue.ShortList(stay)+" rides on the table: it stays with the subject")
	}
	if len(hang) > 0 {
		e.out.Turns = append(e.out.Turns, cue.ShortList(hang)+" overhead goes round too, unless it looks the same from all sides: ask which way the stage works")
		e.out.Cautions = append(e.out.Cautions, supply.CautionHang)
	}
	e.out.Cautions = append(e.out.Cautions, "These are light quantities, not a rigging design. A large source over people needs a rigger and the venue's structural approval.", supply.CautionCircuit)
	if drop := e.cable(); drop.Known() {
		e.out.Notes = append(e.out.Notes, fmt.Sprintf("a circuit at what it carries for hours loses %s on %s of %s mm²", drop.Text, Near(e.opt.Cable), significant(e.opt.Wire, 3)))
	}
	e.out.Notes = append(e.out.Notes, fmt.Sprintf("lights of %s lm/W, heads of %s; --efficacy and --head take others", significant(e.opt.Efficacy, 3), Lumens(e.opt.Head)))
}

// cable is what a full circuit loses on its way.
func (e *enlarger) cable() Figure {
	s := &e.shoot.Supply
	carries := ask("", "", "saf-circuit", "A_continuous", with("breaker_A", written(s.Breaker, needBreaker)), with("V", written(s.Volts, needVolts)), with("pf", written(s.PowerFactor, needFactor)))
	return ask("drop", "lost on the cable", "saf-drop", "drop_pct", with("V", written(s.Volts, needVolts)), with("I", carries.known()), with("length", is(e.opt.Cable)), with("area_mm2", is(e.opt.Wire))).as(unit(2, "%"))
}
