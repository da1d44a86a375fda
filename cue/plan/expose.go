package plan

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures"
	"limn/fixtures/space"
)

// Alike is how far two exposures may lie apart and still count as the same, stops.
const Alike = 0.1

// Options of the reports.
type Options struct {
	Cues []string // only these; none = all
	Like string   // the cue whose exposure the others are held against; "" = the first

	// FullLook is the f-number of a full-size camera whose look is wanted, 0 = none;
	// FullSensor its sensor's width in mm, 0 = as wide as the model's.
	FullLook, FullSensor float64

	// Mesh holds the corners of a mesh that was read, nil = none.
	Mesh *[2]space.Vec
}

// Expose is what each cue gives the camera.
type Expose struct {
	Name    string
	Scale   float64
	Cues    []CueExposure
	Balance []Balanced // of the same cues, none of a single one
	Like    string
	All     string // what suits all cues at once; "" = nothing does
	Notes   []string
}

// CueExposure is one cue before the camera.
type CueExposure struct {
	Cue        int
	Name       string
	Angle      string // "" = none has a name
	Azimuth    float64
	Settings   string // of the camera, as written
	Light      Light
	Exposure   []Figure
	Highlights []Highlight
	Focus      Focus
	Look       Look
	Say        []string // what to change, and what is well

	over known // stops over the camera's settings
	lens lens
}

// UnknownCueError is the name of a cue that a shoot does not have.
type UnknownCueError struct {
	Name  string
	Names []string
}

func (e *UnknownCueError) Error() string { return fmt.Sprintf("no cue is called %q", e.Name) }

// choose lists the cues asked for.
func choose(s *cue.Shoot, names []string) ([]int, error) {
	if len(names) == 0 {
		all := make([]int, len(s.Cues))
		for i := range all {
			all[i] = i
		}
		return all, nil
	}
	var some []int
	for _, name := range names {
		i := s.CueIndex(name)
		if i < 0 {
			return nil, &UnknownCueError{name, s.CueNames()}
		}
		some = append(some, i)
	}
	return some, nil
}

// NewExpose reckons the report. The shoot is resolved. The error is an
// *UnknownCueError, or that of a rig that cannot be compiled.
func NewExpose(s *cue.Shoot, opt Options) (*Expose, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	k, err := newReckoner(s, opt.Mesh)
	if err != nil {
		return nil, err
	}
	out := &Expose{Name: s.Subject.Name, Scale: s.Subject.Scale}
	for _, i := range cues {
		out.Cues = append(out.Cues, k.expose(i, &s.Resolved[i], &opt))
	}
	if opt.Like != "" && s.CueIndex(opt.Like) < 0 {
		return nil, &UnknownCueError{opt.Like, s.CueNames()}
	}
	out.balance(k, opt.Like)
	out.together()
	if l := lensOf(s, &cue.CameraChange{}); l.level {
		out.Notes = append(out.Notes, `the camera is taken to look level at the aim point; write [camera] height = "0.3 m" (of the lens above the table) or elevation = 10`)
	}
	return out, nil
}

// expose reckons one cue.
func (k *reckoner) expose(i int, r *cue.Resolved, opt *Options) CueExposure {
	l := lensOf(k.shoot, &r.Camera)
	c := CueExposure{Cue: i, Name: r.Name, Angle: r.Angle, Azimuth: r.Azimuth, Settings: l.settings(), lens: l}
	c.Light = k.light(r, &l)
	c.Exposure = k.exposure(&c)
	c.Highlights = k.highlights(&c.Light, &l)
	c.Focus = k.focus(r, &l)
	c.Look = k.look(&l, &c.Focus, opt)
	c.say()
	return c
}

// together says what would suit all cues at once, where they lie off the same way.
func (e *Expose) together() {
	if len(e.Cues) < 2 {
		return
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range e.Cues {
		c := &e.Cues[i]
		if !c.over.ok() {
			return
		}
		low, high = math.Min(low, c.over.value), math.Max(high, c.over.value)
	}
	switch first := &e.Cues[0]; {
	case high < -halfStep:
		e.All = fmt.Sprintf("all lie under the settings, by %s to %s; once for all, as %s needs: %s", Stops(-high), Stops(-low), first.Name, first.lens.once(first.over.value))
	case low > halfStep:
		e.All = fmt.Sprintf("all lie over the settings, by %s to %s; once for all, as %s needs: %s", Stops(low), Stops(high), first.Name, first.lens.once(first.over.value))
	}
}

// settings is the camera in words.
func (l *lens) settings() string {
	var words []string
	if l.apertureIs != "" {
		words = append(words, l.apertureIs)
	}
	if l.shutter != "" {
		words = append(words, l.shutter)
	}
	if l.iso.ok() {
		words = append(words, fmt.Sprintf("ISO %.0f", l.iso.value))
	}
	if l.fps.ok() {
		words = append(words, fmt.Sprintf("%g fps", l.fps.value))
	}
	return strings.Join(words, ", ")
}

var (
	lawEV          = law{"EV = log2(100·E/C)", "ISO 2720:1974", "at ISO 100"}
	lawReflectedEV = law{"EV = log2(100·L/K), L = ρ·E/π", "ISO 2720:1974", "at ISO 100; a matt surface that faces the camera"}
	lawWanted      = law{"E = C·N_eff²/(t·S), over what filters and glass let through", "ISO 2720:1974, the incident equation", "steady light"}
)

// greyCard is the reflectance of the trade's grey card.
const greyCard = 0.18

// exposure holds the light against the camera's settings.
func (k *reckoner) exposure(c *CueExposure) []Figure {
	l, lux := &c.lens, c.Light.Camera
	wanted := ask("lux-wanted", "light that the settings ask for, facing the camera", "exp-lux", "lux",
		with("N", l.exposing()), with("t", l.seconds), with("S", l.iso), with("C", is(l.meterC)))
	if wanted.Known() && l.loss != 1 {
		wanted.Value /= l.loss
		wanted.Why.Law = lawWanted.text
		wanted.Why.Inputs = append(wanted.Why.Inputs, Input{"through", "", "share that filters and glass let through", l.loss})
	}
	wanted = wanted.as(Lux)
	if l.marked.ok() && l.effective.missing != "" {
		wanted.Why.Outside = "the loss of close focus is not in it: needs " + l.effective.missing
	}
	over := ask("over", "over (+) or under (-) the camera's settings", "exp-stops", "stops", with("ratio", over(lux.known(), wanted.known()))).as(SignedStops)
	c.over = over.known()
	overKey := ask("over-key", "the same by the key alone, facing it", "exp-stops", "stops", with("ratio", overOf(c.Light.Key, wanted))).as(SignedStops)
	ev := lawEV.absent("ev-incident", "incident, facing the camera", "EV100", lux.Missing)
	grey := lawReflectedEV.absent("ev-grey", "reflected, off an 18 % grey card", "EV100", lux.Missing)
	body := lawReflectedEV.absent("ev-body", "reflected, off the body of the subject", "EV100", lux.Missing)
	if lux.Known() {
		e := Input{"E", "lx", "facing the camera", lux.Value}
		ev = lawEV.figure("ev-incident", ev.Title, "EV100", camera.EV100OfLux(lux.Value, l.meterC), e, Input{"C", "", "constant of the meter", l.meterC}).as(unit(3, "EV100"))
		grey = reflected(grey, greyCard, lux.Value, l)
		if s := &k.shoot.Subject.Surface; s.HasBody {
			body = reflected(body, s.Reflectance.Share, lux.Value, l)
		} else {
			body.Missing = `[subject] reflectance, as reflectance = "12 %" or "#5a2c16"`
		}
	}
	n := ask("n-effective", "effective aperture", "exp-bellows", "N_eff", with("N", l.marked), with("m", l.magnification), with("p", is(l.pupil))).as(Effective)
	loss := ask("close-loss", "lost to close focus", "exp-bellows", "loss_stops", with("N", l.marked), with("m", l.magnification), with("p", is(l.pupil))).as(Stops)
	return []Figure{lux, c.Light.Key, wanted, over, overKey, ev, grey, body, n, loss}
}

func overOf(a, b Figure) known { return over(a.known(), b.known()) }

func reflected(f Figure, rho, lux float64, l *lens) Figure {
	f.Missing = ""
	seen := rho * lux / math.Pi
	f.Value = camera.EV100OfLuminance(seen, l.meterK)
	f.Why.Inputs = []Input{{"E", "lx", "facing the camera", lux}, {"rho", "", "reflectance", rho}, {"L", "cd/m²", "luminance", seen}, {"K", "", "constant of the meter", l.meterK}}
	return f.as(unit(3, "EV100"))
}

// Figure finds a figure of the exposure by its key; nil if there is none.
func (c *CueExposure) Figure(key string) *Figure {
	for i := range c.Exposure {
		if c.Exposure[i].Key == key {
			return &c.Exposure[i]
		}
	}
	return nil
}

// say words what to change.
func (c *CueExposure) say() {
	tell := func(format string, args ...any) { c.Say = append(c.Say, fmt.Sprintf(format, args...)) }
	switch over := c.Figure("over"); {
	case !over.Known():
		tell("exposure is not known: needs %s", over.Missing)
	case math.Abs(over.Value) <= halfStep:
		tell("exposes as the camera is set (%s)", over.Text)
	default:
		tell("%s %s the settings: %s%s", Stops(math.Abs(over.Value)), underOver(over.Value), c.lens.instead(over.Value), c.Light.left(-over.Value))
	}
	for _, h := range c.Highlights {
		if h.Left.Known() && h.Left.Value < 0 && h.Incidence <= Steep {
			tell("%s clips by %s where the coat mirrors it at %.0f°: dim it, or spread it over a larger face", h.Name, Stops(-h.Left.Value), h.Incidence)
		}
	}
	for i := range c.Light.Cards {
		for _, h := range c.Light.Cards[i].Hides {
			if loss := -math.Log2(1 - h.Share); loss > Alike {
				tell("the card %s takes %s of %s off the aim point", c.Light.Cards[i].Name, shadowText(h.Share), c.Light.Sources[h.Source].Name)
			}
		}
	}
	for _, u := range c.Light.Unknown {
		tell("%s", u)
	}
	c.Say = append(c.Say, c.Focus.Say...)
	c.Say = append(c.Say, c.Look.Say...)
}

// halfStep is half of the third of a stop in which cameras are set: nearer they
// cannot come.
const halfStep = 1.0 / 6

// left says what the key has left, where more light is wanted.
func (l *Light) left(wanted float64) string {
	for i := range l.Sources {
		if s := &l.Sources[i]; wanted > 0 && s.Role == fixtures.Key && s.Lit && s.Left.Known() {
			return fmt.Sprintf(" (%s has %s left)", s.Name, s.Left.Text)
		}
	}
	return ""
}

// Steep is the angle of incidence beyond which every surface mirrors like a
// window at dusk, and nobody expects a highlight to hold.
const Steep = 70.0

func shadowText(share float64) string {
	if share > 0.995 {
		return "all"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func underOver(stops float64) string {
	if stops < 0 {
		return "under"
	}
	return "over"
}

// instead lists what would bring an exposure that is so many stops over to where
// it belongs, each in the camera's own steps.
func (l *lens) instead(stops float64) string {
	if l.seconds.ok() && !l.fps.ok() {
		return "shutter " + Time(l.seconds.value*math.Exp2(-stops)) + ", or " + l.once(stops)
	}
	return l.once(stops)
}

// once is instead without the shutter, which cues often have of their own.
func (l *lens) once(stops float64) string {
	var ways []string
	if l.marked.ok() {
		ways = append(ways, FNumber(l.marked.value*math.Exp2(stops/2)))
	}
	if l.iso.ok() {
		ways = append(ways, "ISO "+ISO(l.iso.value*math.Exp2(-stops)))
	}
	ways = append(ways, fmt.Sprintf("%s %s light", Stops(math.Abs(stops)), map[bool]string{true: "less", false: "more"}[stops > 0]))
	return strings.Join(ways, ", or ")
}
