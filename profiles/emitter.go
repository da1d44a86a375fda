package profiles

import (
	"fmt"
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// equalEnergy stands in for a colour that could not be read.
var equalEnergy = colour.XY{X: 1.0 / 3, Y: 1.0 / 3}

func (r *reader) emitter(t *tomlfile.Table) {
	p := r.profile
	e := fixtures.Emitter{
		Origin: origin(t.Pos()), Name: fmt.Sprintf("emitter %d", len(p.Emitters)+1),
		XY: equalEnergy, Flux: 1,
	}
	if t.Require("name", `write name = "warm"`) {
		if name, ok := t.String("name"); ok {
			e.Name, e.Origin = name, origin(t.ValuePos("name"))
			r.checkName(t, name)
		}
	}
	if t.Require("flux", `write its lumens at full drive, as flux = "800 lm"`) {
		if lm, ok := tomlfile.Read(t, "flux", lumens.parse); ok {
			if lm > 0 {
				e.Flux = lm
			} else {
				r.ps.Error(t.ValuePos("flux"), "leave out an emitter that gives no light", "emitter %q has no flux", e.Name)
			}
		}
	}
	if w, ok := tomlfile.Read(t, "power", quantity.ParsePower); ok {
		e.Watts = w.Watts
	}
	e.Response = r.response(t)
	e.Floor = r.floor(t)
	hasColour, hasPeaks := t.Has("colour"), t.Has("peaks")
	switch {
	case hasColour && hasPeaks:
		r.ps.Error(t.KeyPos("peaks"), "keep the colour or the peaks: peaks have a colour of their own",
			"emitter %q has both a colour and peaks", e.Name)
	case hasColour:
		if xy, ok := r.colour(t, "colour"); ok {
			e.XY = xy
		}
	case hasPeaks:
		r.peaks(t, &e)
	default:
		r.ps.Error(t.Pos(), `write colour = "3200 K", colour = "xy 0.69 0.31" or peaks`, "emitter %q has no colour", e.Name)
	}
	p.Emitters = append(p.Emitters, e)
}

// colour reads a colour that means the same under every camera.
func (r *reader) colour(t *tomlfile.Table, key string) (colour.XY, bool) {
	spec, ok := tomlfile.Read(t, key, colour.ParseSpec)
	if !ok {
		return colour.XY{}, false
	}
	xy := spec.Resolve(colour.White{Kelvin: 3200})
	if xy != spec.Resolve(colour.White{Kelvin: 5600}) {
		r.ps.Error(t.ValuePos(key), `write one of its own, as "3200 K" or "xy 0.69 0.31"`,
			"%q depends on the camera", spec)
		return colour.XY{}, false
	}
	return xy, true
}

// peaks reads a spectrum as a sum of bell curves and takes the emitter's
// chromaticity from it.
func (r *reader) peaks(t *tomlfile.Table, e *fixtures.Emitter) {
	rows := t.Tables("peaks")
	if len(rows) == 0 || len(rows) > MaxPeaks {
		r.ps.Error(t.ValuePos("peaks"), `write peaks = [{ at = "632 nm", width = "18 nm" }]`,
			"%d peaks; a spectrum has 1 to %d", len(rows), MaxPeaks)
		return
	}
	const start, end, step = 380, 780, 1
	power := make([]float64, (end-start)/step+1)
	sound := true
	for _, row := range rows {
		sound = r.peak(row, start, step, power) && sound
	}
	if !sound {
		return
	}
	spectrum, err := colour.NewSpectrum(start, step, power)
	if err != nil {
		r.ps.Error(t.ValuePos("peaks"), "", "%v", err)
		return
	}
	light := spectrum.XYZ()
	xy, ok := light.XY()
	if !ok {
		r.ps.Error(t.ValuePos("peaks"), "give a peak some power", "the peaks of emitter %q give no light", e.Name)
		return
	}
	e.XY, e.Spectrum = xy, spectrum.Scale(e.Flux/light.Y)
}

// peak adds one bell curve; width is its full width at half its height.
func (r *reader) peak(t *tomlfile.Table, start, step int, power []float64) bool {
	if !t.Require("at", `write at = "632 nm"`) || !t.Require("width", `write width = "18 nm"`) {
		return false
	}
	at, ok1 := tomlfile.Read(t, "at", nanos.parse)
	width, ok2 := tomlfile.Read(t, "width", widths.parse)
	height, ok3 := 1.0, true
	if t.Has("power") {
		if height, ok3 = t.Float("power"); ok3 && height < 0 {
			r.ps.Error(t.ValuePos("power"), "powers are relative to each other, as power = 0.4", "a power of %g", height)
			ok3 = false
		}
	}
	if !ok1 || !ok2 || !ok3 {
		return false
	}
	for i := range power {
		x := (float64(start+i*step) - at) / width
		power[i] += float64(height * math.Exp(-4*math.Ln2*float64(x*x)))
	}
	return true
}
