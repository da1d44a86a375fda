package operate

import (
	"fmt"
	"math"

	"limn/cue"
)

// lit is one source of a scene as a trim sees it.
type lit struct {
	name  string
	level cue.Level // in the user's own unit
	y     float64   // of the light, Y = 1 the most the source gives at any colour; 0 = off
	maxY  float64   // the most it gives at its colour
	full  float64   // lux of Y = 1 at the aim point; not above 0 = not known
	key   float64   // lux of the key at the aim point; NaN = not known
	isKey bool
}

// minShort is the least a light must be short of what was asked to be worth a
// word, stops: half of a tenth, which is what is printed.
const minShort = 0.05

// byStops is the level that is so many stops brighter or darker, in the unit and
// style it is written in, rounded to what is printed. What the source cannot
// give is clipped and said; what has no such level is refused.
func (l *lit) byStops(stops float64) (level cue.Level, notice, refused string) {
	if l.level.Kind() == cue.LevelOff || !(l.y > 0) {
		return l.level, "", fmt.Sprintf("%s is off; give it a level, as in trim %[1]s to 20 %%", l.name)
	}
	want := l.level.Value()
	switch l.level.Kind() {
	case cue.LevelStops, cue.LevelKey:
		want += stops
	default:
		want = float64(want * math.Exp2(stops))
	}
	level, notice = l.within(l.level, want)
	if level == l.level {
		if notice == "" {
			notice = fmt.Sprintf("%s stays at %s: the step is too small to be written", l.name, level)
		} else {
			notice = fmt.Sprintf("%s stays at %s, the most it gives", l.name, level)
		}
		return level, "", notice
	}
	return level, notice, ""
}

// to is a level as it was given, clipped to what the source gives.
func (l *lit) to(given cue.Level) (level cue.Level, notice, refused string) {
	switch kind := given.Kind(); {
	case kind == cue.LevelKey && l.isKey:
		return l.level, "", fmt.Sprintf("%s is the key, and cannot count from itself; write %% of its full light, stops below it, or lux", l.name)
	case (kind == cue.LevelKey || kind == cue.LevelLux) && !(l.full > 0):
		return l.level, "", fmt.Sprintf(`%s has no meter reading to count from; write full = "… lx" at it in rig.toml, or give the level in %% or stops below full`, l.name)
	case kind == cue.LevelKey && !(l.key > 0):
		return l.level, "", fmt.Sprintf("the key is off or has no reading, so %s cannot count from it; give the level in %% or lux", l.name)
	}
	level, notice = l.within(given, given.Value())
	return level, notice, ""
}

// like is the level in a unit and style at which the source gives a light y.
func (l *lit) like(unit cue.Level, y float64) (cue.Level, string) {
	return l.within(unit, l.value(unit.Kind(), y))
}

// value is a light in a way of counting.
func (l *lit) value(kind cue.LevelKind, y float64) float64 {
	switch kind {
	case cue.LevelStops:
		return math.Log2(y / l.maxY)
	case cue.LevelKey:
		return math.Log2(float64(l.full*y) / l.key)
	case cue.LevelLux:
		return float64(l.full * y)
	}
	return y / l.maxY // percent, and what off becomes
}

// within is a value in a unit, no more than the source gives, and what of it was
// clipped.
func (l *lit) within(unit cue.Level, value float64) (cue.Level, string) {
	kind := unit.Kind()
	if kind == cue.LevelOff {
		return unit.With(value), ""
	}
	most := l.value(kind, l.maxY)
	if !(value > most) || math.IsNaN(most) {
		return unit.With(value), ""
	}
	short := value - most
	if kind == cue.LevelPercent || kind == cue.LevelLux {
		short = math.Log2(value / most)
	}
	level := unit.With(most)
	if short < minShort {
		return level, ""
	}
	return level, fmt.Sprintf("%s gives %s at most there: %s short", l.name, level, stopsText(short))
}

// stopsText is a number of stops as it is spoken of: in tenths.
func stopsText(stops float64) string {
	tenths := math.Round(math.Abs(stops)*10) / 10
	if tenths <= 1 {
		return fmt.Sprintf("%.1f stop", tenths)
	}
	return fmt.Sprintf("%.1f stops", tenths)
}
