package profiles

import (
	"math"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

func each(t *testing.T, run func(p *fixtures.Profile, e *fixtures.Emitter)) {
	library := Open(nil, "", new(tomlfile.Problems))
	for _, name := range library.Names() {
		p, _ := library.Find(name)
		for i := range p.Emitters {
			run(p, &p.Emitters[i])
		}
	}
}

// White emitters are such as are sold: within 0.006 of the Duv of their CCT as
// ANSI C78.377-2017 has it, the tolerance of its quadrangles.
func TestWhitesAreTypical(t *testing.T) {
	const tolerance = 0.006
	each(t, func(p *fixtures.Profile, e *fixtures.Emitter) {
		w, ok := colour.IsWhite(e.XY)
		if !ok || e.Name == "lamp" { // tungsten lies on the Planckian locus itself
			return
		}
		if d := math.Abs(w.Duv - colour.ANSIDuv(w.Kelvin)); d > tolerance {
			t.Errorf("%s, %s: %v is %.4f from the Duv of its CCT", p.Name, e.Name, w, d)
		}
	})
}

// Coloured emitters have the dominant wavelength of common diodes: the ranges
// of their makers' bins (common practice, no source).
func TestColoursAreTypical(t *testing.T) {
	bins := map[string][2]float64{
		"red": {618, 632}, "amber": {585, 596}, "lime": {560, 570}, "green": {520, 535},
		"cyan": {495, 508}, "blue": {462, 475}, "indigo": {445, 455},
	}
	each(t, func(p *fixtures.Profile, e *fixtures.Emitter) {
		bin, ok := bins[e.Name]
		if !ok {
			return
		}
		d, ok := e.XY.Dominant(equalEnergy)
		if !ok || d.Complementary || d.NM < bin[0] || d.NM > bin[1] {
			t.Errorf("%s, %s: dominant wavelength %.0f nm, want %g to %g", p.Name, e.Name, d.NM, bin[0], bin[1])
		}
	})
}

// The flux of an RGB light is shared 25 to 30, 60 to 65 and 8 to 12 parts in a
// hundred (common practice, no source).
func TestFluxIsShared(t *testing.T) {
	shares := map[string][2]float64{"red": {0.25, 0.30}, "green": {0.60, 0.65}, "blue": {0.08, 0.12}}
	library := Open(nil, "", new(tomlfile.Problems))
	for _, name := range []string{"rgb-light", "rgb-light-16bit", "rgb-strip", "rgb-bulb", "hsi-panel", "hsi-panel-16bit"} {
		p, _ := library.Find(name)
		sum := 0.0
		for i := range p.Emitters {
			sum += p.Emitters[i].Flux
		}
		for i := range p.Emitters {
			e := &p.Emitters[i]
			if s := e.Flux / sum; s < shares[e.Name][0] || s > shares[e.Name][1] {
				t.Errorf("%s: %s gives %.3f of the light", name, e.Name, s)
			}
		}
	}
}
