package main

import (
	"encoding/json"

	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// answer is what the solver makes of a problem. Light and Watts are those of
// the rounded drives, if there is rounding.
type answer struct {
	mix.Result
	Drives []float64 // exact
	Codes  []int     // nil with bits 0
	Light  colour.XYZ
	Watts  float64
}

// solve answers a problem that has passed its check.
func (p *problem) solve() (answer, error) {
	s, err := p.solver()
	if err != nil {
		return answer{}, err
	}
	a := answer{Drives: make([]float64, s.Len())}
	if p.Y > 0 {
		a.Result = s.Solve(p.Target.XYZ(p.Y), a.Drives)
	} else { // darkness has no chromaticity; the target still has
		a.Result = mix.Result{Aim: s.Reach(p.Target), Reachable: true}
	}
	lit := a.Drives
	if p.Bits > 0 {
		channels := make([]mix.Channel, s.Len())
		for i := range channels {
			channels[i] = mix.Channel{Response: mix.Linear(), Max: 1<<p.Bits - 1}
		}
		r, err := mix.NewRounder(s, channels)
		if err != nil {
			return answer{}, err
		}
		a.Codes, lit = make([]int, s.Len()), make([]float64, s.Len())
		r.Still(a.XY.XYZ(a.Y), a.Drives, a.Codes)
		r.Drives(a.Codes, lit)
	}
	a.Light, a.Watts = s.Light(lit), s.Watts(lit)
	return a, nil
}

// solver compiles the emitters.
func (p *problem) solver() (*mix.Solver, error) {
	emitters := make([]mix.Emitter, len(p.Emitters))
	for i, e := range p.Emitters {
		emitters[i] = mix.Emitter{Light: e.XY.XYZ(e.Y), Watts: e.Watts}
	}
	return mix.New(emitters, mix.Options{Goal: p.Prefer})
}

// most is the most luminance the emitters give at the target's chromaticity.
func (p *problem) most() (float64, error) {
	s, err := p.solver()
	if err != nil {
		return 0, err
	}
	return s.Reach(p.Target).MaxY, nil
}

// object is the answer's JSON. Black has no chromaticity and so no error.
func (a *answer) object(p *problem) any {
	drives, slots := object{}, object{}
	for i, e := range p.Emitters {
		drives = append(drives, member{e.Name, number{a.Drives[i], exactDecimals}})
		if a.Codes != nil {
			slots = append(slots, member{e.Name, a.Codes[i]})
		}
	}
	o := object{
		{"version", jsonVersion},
		{"id", p.ID},
		{"in_gamut", a.InGamut},
		{"reachable", a.Reachable},
		{"drives", drives},
	}
	if a.Codes != nil {
		o = append(o, member{"slots", slots})
	}
	return append(o, predictedMembers(a.Light, p.Target, a.MaxY, a.Watts)...)
}

// predictedMembers are the members that every mix answer ends with.
func predictedMembers(light colour.XYZ, target colour.XY, maxY, watts float64) object {
	xy, ok := light.XY()
	w, delta := colour.White{Kelvin: none, Duv: none}, none
	if !ok {
		xy = colour.XY{X: none, Y: none}
	} else {
		delta = xy.UV().Distance(target.UV())
		if white, ok := xy.White(); ok {
			w = white
		}
	}
	return object{
		{"predicted", object{
			{"x", number{xy.X, exactDecimals}},
			{"y", number{xy.Y, exactDecimals}},
			{"Y", digits{light.Y, mixDigits}},
			{"cct", number{w.Kelvin, kelvinDecimals}},
			{"duv", number{w.Duv, duvDecimals}},
		}},
		{"delta_uv", number{delta, exactDecimals}},
		{"max_Y", digits{maxY, mixDigits}},
		{"watts", digits{watts, mixDigits}},
	}
}

// mixDigits are the significant digits of luminance and power in a mix answer,
// which is checked against other solvers.
const mixDigits = 12

// refusal is the JSON answer to a line that is no problem.
func refusal(id json.RawMessage, err error) any {
	return object{{"version", jsonVersion}, {"id", id}, {"error", clean(err.Error())}}
}
