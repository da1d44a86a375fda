package cue

import (
	"fmt"
	"math"
	"slices"

	"limn/fixtures"
)

// keyLight is the light of the key in one cue.
type keyLight struct {
	lux     float64 // NaN = unknown
	off     bool
	unclear bool // what is said of it could not be read
}

// stops is how many stops a light of so many lux lies above the key.
func (k keyLight) stops(lux float64) float64 {
	if k.off || !(k.lux > 0) {
		return math.NaN()
	}
	return math.Log2(lux / k.lux)
}

// keyLux is the key's light in cue i, at the aim point.
func (v *resolver) keyLux(i int) keyLight {
	if v.key < 0 {
		return keyLight{lux: math.NaN()}
	}
	h, src := &v.shares[v.key], &v.shoot.Rig.Sources[v.key]
	if h.unclear {
		return keyLight{lux: math.NaN(), unclear: true}
	}
	if h.off() {
		return keyLight{lux: math.NaN(), off: true}
	}
	if h.byKey() || !(src.Full > 0) {
		return keyLight{lux: math.NaN()}
	}
	if h.ramp != nil {
		lit, _ := v.points(i, h, keyLight{}, false)
		y := fixtures.Mean(v.cells(h, lit)).Y
		return keyLight{lux: float64(src.Full * y), off: !(y > 0)}
	}
	y, ok := v.asks(i, &h.want, keyLight{})
	if !ok {
		return keyLight{lux: math.NaN()}
	}
	y = math.Min(y, v.tone(v.key, h.colour).aim.MaxY)
	return keyLight{lux: float64(src.Full * y), off: !(y > 0)}
}

// byKey says whether any part of a share counts from the key.
func (h *share) byKey() bool {
	if h.ramp == nil {
		return h.level.Kind() == LevelKey
	}
	return slices.ContainsFunc(h.ramp, func(p wantAt) bool { return !p.off() && p.level.Kind() == LevelKey })
}

// checkKey says whether a level against the key can be told in lux.
func (v *resolver) checkKey(i int, h *want, key keyLight) bool {
	name, src := v.shoot.Cues[i].Name, &v.shoot.Rig.Sources[h.source]
	fault := func(kind findingKind, cure, format string, args ...any) {
		if v.shoot.Partial {
			return
		}
		v.findings.in(i, name, kind, h.source, 0, fixtures.Fault{
			Origin: h.levelAt, What: fmt.Sprintf(format, args...), Cure: cure,
		})
	}
	switch {
	case key.unclear:
	case v.key < 0 && v.renderer == nil: // its role may be what is wrong with the rig
	case v.key < 0:
		fault(noKey, `give the main source role = "key"`, "%q counts from the key, but no source has that role", h.level)
	case h.source == v.key:
		fault(keyByKey, `write how much the key gives, as in "80 %" or "850 lx"`, "%q is the key itself, %q counts from the key", src.Name, h.level)
	case key.off:
		fault(keyOff, `light the key, or write a level that does not need it, as in "60 %" or "850 lx"`,
			"%q counts from the key, but the key %q is off", h.level, v.shoot.Rig.Sources[v.key].Name)
	default:
		with, without := v.reading(v.key), v.reading(h.source)
		if !with {
			v.noReading(i, h, v.key)
		}
		if !without {
			v.noReading(i, h, h.source)
		}
		return with && without && key.lux > 0
	}
	return false
}

// reading says whether a meter reading of the source is known.
func (v *resolver) reading(i int) bool { return v.shoot.Rig.Sources[i].Full > 0 }

// noReading reports a level in lux or against the key for which source "of" has
// no meter reading: once for that source, however many levels miss it.
func (v *resolver) noReading(i int, h *want, of int) {
	if v.shoot.Partial || v.renderer == nil {
		return // the reading may be what is wrong with the rig
	}
	src := &v.shoot.Rig.Sources[of]
	needs := fmt.Sprintf("%q needs a meter reading of %q, which has none", h.level, src.Name)
	if of == v.key && of != h.source {
		needs = fmt.Sprintf("%q needs a meter reading of the key %q, which has none", h.level, src.Name)
	}
	v.findings.once(v.shoot.Cues[i].Name, noReading, of, 0, fixtures.Fault{
		Origin: h.levelAt, What: needs,
		Cure: fmt.Sprintf(`measure %q alone at the aim point, every emitter full, and write full = "850 lx" with its lux`, src.Name),
	})
}
