package profiles

import (
	"limn/fixtures"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// The range of a light's flicker, hertz.
const (
	MinFlicker = 1.0
	MaxFlicker = 1e6
)

// flicker reads pwm = { frequency = "2 kHz", depth = "100 %", shape = "sine" }.
func (r *reader) flicker(t *tomlfile.Table) {
	v, ok := t.Value("pwm")
	if !ok {
		return
	}
	sub, ok := v.Table()
	if !ok {
		r.ps.Error(v.Pos(), `write pwm = { frequency = "2 kHz" }, with depth = "30 %" if it does not go to nothing`, "pwm is %s, a table is wanted", v.Kind())
		return
	}
	f := fixtures.Flicker{Depth: 1}
	if sub.Require("frequency", `frequency = "2 kHz"`) {
		if q, ok := tomlfile.Read(sub, "frequency", quantity.ParseFrequency); ok {
			f.Hertz = r.within(sub, "frequency", q.Hertz, MinFlicker, MaxFlicker, "Hz")
		}
	}
	if d, ok := tomlfile.Read(sub, "depth", quantity.ParsePercent); ok {
		if d.Share == 0 {
			r.ps.Error(sub.ValuePos("depth"), "leave pwm out", "a light that swings by nothing does not flicker")
		}
		f.Depth = d.Share
	}
	shape, _ := sub.OneOf("shape", "square", "sine")
	f.Sine = shape == "sine"
	r.profile.Flicker = f
}
