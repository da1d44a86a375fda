package profiles

import (
	"fmt"
	"strings"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// does is what a slot may do, by the key that says so. Each is one function
// that fills the slot; ok is false if the slot cannot be understood.
var does = []struct {
	key  string
	read func(*reader, *tomlfile.Table, *fixtures.Slot) (ok bool)
}{
	{"emitter", (*reader).emitterSlot},
	{"dimmer", (*reader).dimmerSlot},
	{"cct", (*reader).cctSlot},
	{"tint", (*reader).tintSlot},
	{"hue", (*reader).hueSlot},
	{"saturation", (*reader).saturationSlot},
	{"azimuth", (*reader).azimuthSlot},
	{"speed", (*reader).speedSlot},
	{"value", (*reader).valueSlot},
}

func (r *reader) slot(t *tomlfile.Table) {
	defer t.Close()
	s := fixtures.Slot{Origin: origin(t.Pos())}
	placed := r.place(t, &s)
	s.Note, _ = t.String("note")
	var found []string
	chosen := -1
	for i := range does {
		if t.Has(does[i].key) {
			found = append(found, does[i].key)
			chosen = i
		}
	}
	switch len(found) {
	case 1:
		if !does[chosen].read(r, t, &s) {
			placed = false
		}
	case 0:
		r.ps.Error(t.Pos(), `write one of emitter, dimmer, cct, tint, hue, saturation, azimuth, speed, value`,
			"a slot without anything to do")
		placed = false
	default:
		r.ps.Error(t.KeyPos(found[1]), "write a [[slot]] for each", "one slot with %s", strings.Join(found, " and "))
		placed = false
	}
	if !placed {
		r.partial = true
		return
	}
	r.profile.Slots = append(r.profile.Slots, s)
}

// place reads where in the footprint the slot stands.
func (r *reader) place(t *tomlfile.Table, s *fixtures.Slot) bool {
	if !t.Require("at", "write at = 1; slots count from 1") {
		return false
	}
	at, ok := t.Int("at")
	if !ok {
		return false
	}
	s.At, s.Origin = at, origin(t.ValuePos("at"))
	if t.Has("fine") {
		fine, ok := t.Int("fine")
		if !ok {
			return false
		}
		if fine < 1 {
			r.ps.Error(t.ValuePos("fine"), "slots count from 1; leave fine out of an 8 bit value", "there is no fine slot %d", fine)
			return false
		}
		s.Fine = fine
	}
	return true
}

func (r *reader) emitterSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotEmitter
	name, ok := t.String("emitter")
	if !ok {
		return false
	}
	var names []string
	for i := range r.profile.Emitters {
		if r.profile.Emitters[i].Name == name {
			s.Emitter = i
			return true
		}
		names = append(names, r.profile.Emitters[i].Name)
	}
	cure := tomlfile.DidYouMean(name, names)
	if len(names) == 0 {
		cure = fmt.Sprintf("add an [[emitter]] with name = %q", name)
	}
	r.ps.Error(t.ValuePos("emitter"), cure, "there is no emitter %q", name)
	return false
}

func (r *reader) dimmerSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotDimmer
	s.Response = r.response(t)
	s.Floor = r.floor(t)
	on, ok := t.Bool("dimmer")
	if ok && !on {
		r.ps.Error(t.ValuePos("dimmer"), "write true, or take the slot out", "dimmer = false")
		return false
	}
	return ok
}

// cctSlot takes a range or a measured table.
func (r *reader) cctSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotCCT
	s.From, s.To = 2700, 6500
	if law, ok := t.OneOf("law", "kelvin", "mired"); ok && law == "mired" {
		s.Law = fixtures.MiredLaw
	}
	if v, ok := t.Value("cct"); ok {
		if rows, ok := v.List(); ok && len(rows) > 0 {
			if _, table := rows[0].Table(); table {
				return r.cctTable(t, s)
			}
		}
	}
	return r.span(t, "cct", &kelvins, s)
}

func (r *reader) cctTable(t *tomlfile.Table, s *fixtures.Slot) bool {
	rows := t.Tables("cct")
	if len(rows) < 2 || len(rows) > MaxTablePoint {
		r.ps.Error(t.ValuePos("cct"), `write at least its ends, at = 0 and at = 1`,
			"a cct table of %d; it has 2 to %d lines", len(rows), MaxTablePoint)
		return false
	}
	sound := true
	for _, row := range rows {
		w, ok := r.whitePoint(row)
		sound = sound && ok
		s.Table = append(s.Table, w)
	}
	return sound
}

func (r *reader) whitePoint(t *tomlfile.Table) (w fixtures.WhitePoint, ok bool) {
	defer t.Close()
	w.Flux = 1
	if !t.Require("at", "write at = 0 for the lowest code, at = 1 for the highest") ||
		!t.Require("white", `write white = "2700 K tint +0.001"`) {
		return w, false
	}
	share, ok1 := t.Float("at")
	w.Share = r.within(t, "at", share, 0, 1, "")
	xy, ok2 := r.colour(t, "white")
	if ok2 {
		if w.White, ok2 = xy.White(); !ok2 {
			r.ps.Error(t.ValuePos("white"), `write a white, as "2700 K tint +0.001"`, "the colour has no colour temperature")
		}
	}
	if f, ok := tomlfile.Read(t, "flux", quantity.ParsePercent); ok {
		w.Flux = f.Share
		if f.Share == 0 {
			r.ps.Error(t.ValuePos("flux"), "it is the share of the full light at this point", "a flux of nothing")
		}
	}
	return w, ok1 && ok2
}

func (r *reader) tintSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotTint
	v, ok := t.Value("tint")
	if !ok {
		return false
	}
	const cure = "write Duv at the lowest and the highest code, as tint = [-0.02, 0.02]"
	ends, ok := v.List()
	if !ok || len(ends) != 2 {
		r.ps.Error(v.Pos(), cure, "a tint is a pair of numbers")
		return false
	}
	for i, to := range []*float64{&s.From, &s.To} {
		if *to, ok = ends[i].Number(); !ok {
			r.ps.Error(ends[i].Pos(), cure, "%s is no Duv", ends[i].Kind())
			return false
		}
		if *to < -MaxDuv || *to > MaxDuv {
			r.ps.Error(ends[i].Pos(), fmt.Sprintf("Duv lies in %g..%g", -MaxDuv, MaxDuv), "a tint of %g", *to)
			return false
		}
	}
	return true
}

func (r *reader) hueSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotHue
	return r.span(t, "hue", degrees{}, s)
}

func (r *reader) saturationSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotSaturation
	s.White = colour.White{Kelvin: 5600}.XY()
	if t.Has("white") {
		if xy, ok := r.colour(t, "white"); ok {
			s.White = xy
		}
	}
	return r.span(t, "saturation", shares{}, s)
}

func (r *reader) azimuthSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotAzimuth
	return r.span(t, "azimuth", degrees{}, s)
}

func (r *reader) speedSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotSpeed
	ok := r.span(t, "speed", &speeds, s)
	if !t.Require("stop", "write the code that stands still, as stop = 128") {
		return false
	}
	stop, stopped := t.Int("stop")
	s.Value = stop
	return ok && stopped
}

func (r *reader) valueSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotFixed
	v, ok := t.Int("value")
	s.Value = v
	return ok
}

// parser reads one end of a range.
type parser interface {
	parse(text string) (float64, error)
}

// degrees and shares are the two quantities of ranges that cues write too.
type degrees struct{}

func (degrees) parse(text string) (float64, error) {
	d, err := quantity.ParseDegrees(text)
	return d.Degrees, err
}

type shares struct{}

func (shares) parse(text string) (float64, error) {
	p, err := quantity.ParsePercent(text)
	return p.Share, err
}

// span reads the values at the lowest and the highest code.
func (r *reader) span(t *tomlfile.Table, key string, p parser, s *fixtures.Slot) bool {
	v, ok := t.Value(key)
	if !ok {
		return false
	}
	const cure = "write what the lowest and the highest code give, as %s"
	example := map[string]string{
		"cct": `cct = ["2700 K", "6500 K"]`, "hue": `hue = ["0 deg", "360 deg"]`,
		"saturation": `saturation = ["0 %", "100 %"]`, "azimuth": `azimuth = ["0 deg", "360 deg"]`,
		"speed": `speed = ["-30 deg/s", "30 deg/s"]`,
	}[key]
	ends, ok := v.List()
	if !ok || len(ends) != 2 {
		r.ps.Error(v.Pos(), fmt.Sprintf(cure, example), "%s is a pair", key)
		return false
	}
	for i, to := range []*float64{&s.From, &s.To} {
		text, ok := ends[i].Text()
		if n, number := ends[i].Number(); !ok && number {
			text, ok = fmt.Sprint(n), true // the parser asks for the unit
		}
		if !ok {
			r.ps.Error(ends[i].Pos(), fmt.Sprintf(cure, example), "an end of %s is not %s", key, ends[i].Kind())
			return false
		}
		value, err := p.parse(text)
		if err != nil {
			r.report(ends[i].Pos(), err)
			return false
		}
		*to = value
	}
	return true
}

// report takes a parser's error apart at its cure.
func (r *reader) report(at tomlfile.Pos, err error) {
	what, cure, _ := strings.Cut(err.Error(), "; ")
	r.ps.Error(at, cure, "%s", what)
}
