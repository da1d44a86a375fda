package profiles

import (
	"fmt"
	"strings"

	"limn/fixtures/nearest"

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
		r.idle(t)
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

// belonging are the keys that go with what some slots do.
var belonging = []string{"response", "floor", "law", "white", "stop"}

// idle complains of a slot that does nothing, unless a slip in a key says why.
func (r *reader) idle(t *tomlfile.Table) {
	for _, key := range belonging {
		t.Has(key) // known, whatever was meant
	}
	before := len(r.ps.Sorted())
	t.Close()
	if len(r.ps.Sorted()) == before {
		r.ps.Error(t.Pos(), `write one of emitter, dimmer, cct, tint, hue, saturation, azimuth, speed, value`,
			"a slot without anything to do")
	}
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
	cure := nearest.DidYouMean(name, names)
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
	return r.span(t, "cct", s, kelvins.parse, `cct = ["2700 K", "6500 K"]`)
}

func (r *reader) cctTable(t *tomlfile.Table, s *fixtures.Slot) bool {
	rows := t.Tables("cct")
	sound := true
	for _, row := range rows {
		w, ok := r.whitePoint(row)
		sound = sound && ok
		s.Table = append(s.Table, w)
	}
	if len(rows) < 2 || len(rows) > MaxTablePoint {
		r.ps.Error(t.ValuePos("cct"), fmt.Sprintf("it has 2 to %d, at least its ends, at = 0 and at = 1", MaxTablePoint),
			"a cct table of %d lines", len(rows))
		return false
	}
	return sound
}

func (r *reader) whitePoint(t *tomlfile.Table) (w fixtures.WhitePoint, ok bool) {
	w.Flux = 1
	if !t.Require("at", "write at = 0 for the lowest code, at = 1 for the highest") ||
		!t.Require("white", `write white = "2700 K tint +0.001"`) {
		return w, false
	}
	at, ok1 := t.Float("at")
	w.Share = r.within(t, "at", at, 0, 1, "")
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
	return r.span(t, "hue", s, azimuth, `hue = ["0 deg", "360 deg"]`)
}

func (r *reader) saturationSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotSaturation
	s.White = colour.White{Kelvin: 5600}.XY()
	if t.Has("white") {
		if xy, ok := r.colour(t, "white"); ok {
			s.White = xy
		}
	}
	return r.span(t, "saturation", s, share, `saturation = ["0 %", "100 %"]`)
}

func (r *reader) azimuthSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotAzimuth
	return r.span(t, "azimuth", s, azimuth, `azimuth = ["0 deg", "360 deg"]`)
}

func (r *reader) speedSlot(t *tomlfile.Table, s *fixtures.Slot) bool {
	s.Kind = fixtures.SlotSpeed
	ok := r.span(t, "speed", s, speeds.parse, `speed = ["-30 deg/s", "30 deg/s"]`)
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

// share and azimuth are the quantities of ranges that cues write too.
func share(text string) (float64, error) {
	p, err := quantity.ParsePercent(text)
	return p.Share, err
}

func azimuth(text string) (float64, error) {
	d, err := quantity.ParseDegrees(text)
	return d.Degrees, err
}

// span reads the values at the lowest and the highest code.
func (r *reader) span(t *tomlfile.Table, key string, s *fixtures.Slot, parse func(string) (float64, error), example string) bool {
	v, ok := t.Value(key)
	if !ok {
		return false
	}
	ends, ok := v.List()
	if !ok || len(ends) != 2 {
		r.ps.Error(v.Pos(), "write what the lowest and the highest code give, as "+example, "%s is %s, a pair is wanted", key, v.Kind())
		return false
	}
	var ok1, ok2 bool
	s.From, ok1 = tomlfile.ReadValue(ends[0], parse)
	s.To, ok2 = tomlfile.ReadValue(ends[1], parse)
	return ok1 && ok2
}
