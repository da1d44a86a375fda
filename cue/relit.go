package cue

import (
	"math"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Relit gives a source of a resolved cue other light than was written for it:
// its figures follow, its words say what it comes to. Where it is the key, the
// others' stops against it follow too. res.Light must be res's own, and the renderer
// must not be in use by another goroutine.
func (s *Shoot) Relit(r *fixtures.Renderer, res *Resolved, i int, light colour.XYZ, cells []colour.XYZ) {
	l := &res.Light[i]
	l.Asked, l.Cells, l.DeltaUV = light, cells, 0
	l.Level = "off"
	if xy, lit := light.XY(); lit {
		aim := r.Reach(i, xy)
		l.Aim, l.DeltaUV, l.Colour = aim.XY, aim.DeltaUV, inWords(xy)
		l.Level = Level{}.With(light.Y / aim.MaxY).String()
	}
	l.Lux = math.NaN()
	if full := s.Rig.Sources[i].Full; full > 0 {
		l.Lux = float64(full * light.Y)
	}
	key := s.Key()
	k := keyLight{lux: math.NaN()}
	if key >= 0 {
		k = keyLight{lux: res.Light[key].Lux, off: !(res.Light[key].Asked.Y > 0)}
	}
	for j := range res.Light {
		o := &res.Light[j]
		switch {
		case j != i && i != key:
		case !(o.Asked.Y > 0):
			o.KeyStops = math.Inf(-1)
		case j == key:
			o.KeyStops = 0
		default:
			o.KeyStops = k.stops(o.Lux)
		}
	}
}
