package operate

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures/quantity"
)

// The total at the aim point is what a meter there reads of every lit source,
// facing each, added up: what exposure goes by as long as their balance is kept
// within a trade of one for another.

// closeTotal is how near two totals are the same, stops: less than is written of
// a level.
const closeTotal = 0.005

// unread names the lit sources without a reading, for a message; "" for none.
func (b *bench) unread() string {
	unknown := b.scene.TotalLux().Unknown
	if len(unknown) == 0 {
		return ""
	}
	names := make([]string, len(unknown))
	for n, i := range unknown {
		names[n] = b.name(i)
	}
	verb := "have"
	if len(names) == 1 {
		verb = "has"
	}
	return fmt.Sprintf(`%s %s no meter reading (full = "… lx") and counts for nothing in the total`, cue.ShortList(names), verb)
}

// holdTotal scales the sources that were not trimmed by one factor, so that the
// total is what it was before.
func (m *moment) holdTotal(b *bench, before *cue.Resolved) {
	b.say(b.unread())
	if m.total == 0 {
		m.total = before.TotalLux().Lux
	}
	if !(m.total > 0) {
		b.say("nothing lit has a meter reading, so there is no total to hold")
		return
	}
	b.scaleTo(m.total, before, slices.Clone(b.touched))
}

// matchTotal scales every source by one factor to the total of another cue.
func (m *moment) match(k int64, c Command, r *Reply) {
	i := m.shoot.CueIndex(c.Name)
	l := m.layers()
	switch {
	case i < 0:
		r.refuse("there is no cue %q", c.Name)
		return
	case !m.called(r):
		return
	case l.Cue < 0:
		r.refuse("the cue is no longer in the files; go to another first")
		return
	case i == l.Cue && len(m.playing()) == 0:
		r.refuse("%q is the present cue", c.Name)
		return
	}
	like, _ := m.compose(i, &cue.Over{Looks: l.Looks})
	total := like.TotalLux()
	b := m.bench(l.Cue)
	before := b.scene
	b.say(b.unread())
	if !(total.Lux > 0) || !(before.TotalLux().Lux > 0) {
		r.refuse("without meter readings (full = \"… lx\" in rig.toml) there is no total to match")
		return
	}
	if math.Abs(math.Log2(total.Lux/before.TotalLux().Lux)) < closeTotal {
		r.refuse("the total is %s already", luxText(total.Lux))
		return
	}
	b.scaleTo(total.Lux, before, nil)
	m.lays(k, c, b, r)
}

// scaleTo scales what is lit and can be scaled, but for some sources, by one
// factor of what it was before, so that the total comes to so much. What falls
// short is said.
func (b *bench) scaleTo(total float64, before *cue.Resolved, but []int) {
	free, fixed := 0.0, 0.0
	var scaled []int
	for i := range b.scene.Light {
		l, was := &b.scene.Light[i], &before.Light[i]
		switch {
		case slices.Contains(but, i) || b.shoot.Rig.Sources[i].Hand:
			if l.Lux > 0 {
				fixed += l.Lux
			}
		case was.Asked.Y > 0 && !math.IsNaN(was.Lux):
			free += was.Lux
			scaled = append(scaled, i)
		}
	}
	left := total - fixed
	switch {
	case len(scaled) == 0:
		b.say("no other light is there to be traded against, so the total is not held")
		return
	case !(left > 0):
		b.say(fmt.Sprintf("this alone gives %s, more than the total of %s: the others stay, and the total is not held",
			luxText(fixed), luxText(total)))
		return
	}
	b.scale(before, scaled, left/free)
	if short := math.Log2(total / b.scene.TotalLux().Lux); math.Abs(short) >= minShort {
		word := "short"
		if short < 0 {
			word = "over"
		}
		b.say(fmt.Sprintf("the total is %s %s", stopsText(short), word))
	}
}

// scale gives some sources so many times the light they had before, each written
// in its own unit; the key's first, as others count from it.
func (b *bench) scale(before *cue.Resolved, sources []int, by float64) {
	// What counts from the key has moved with it, and all others keep the light
	// they have now.
	want := map[int]float64{}
	for i := range b.scene.Light {
		want[i] = b.scene.Light[i].Asked.Y
	}
	for _, i := range sources {
		want[i] = float64(before.Light[i].Asked.Y * by)
	}
	key := b.shoot.Key()
	if slices.Contains(sources, key) {
		b.bring(key, want[key])
	}
	for i := range b.scene.Light {
		if i != key {
			b.bring(i, want[i])
		}
	}
}

// rampRounds is how often a ramp is brought nearer to a light: where it was clipped,
// the first step only takes it to where it is not.
const rampRounds = 4

// bring trims one source to a light, unless it has it.
func (b *bench) bring(i int, y float64) {
	for range rampRounds {
		l := &b.scene.Light[i]
		if !(l.Asked.Y > 0) || math.Abs(math.Log2(y/l.Asked.Y)) < closeTotal {
			return
		}
		e := b.trims[i]
		if l.Cells == nil {
			src := b.lit(b.scene, i)
			level, short := src.like(src.level, y)
			b.say(short)
			e.Level, e.Change = &level, nil
			b.lay(trims{i: e})
			return
		}
		change := math.Log2(y / l.Asked.Y)
		if e.Level != nil { // one level for all points
			src := b.lit(b.scene, i)
			src.level = *e.Level
			level, short, _ := src.byStops(change)
			b.say(short)
			e.Level = &level
			b.lay(trims{i: e})
			continue
		}
		if e.Change != nil {
			change += e.Change.Stops
		}
		by := quantity.Stops{}.With(change)
		e.Change = &by
		b.lay(trims{i: e})
	}
}

func luxText(lux float64) string {
	return quantity.Illuminance{}.With(lux).String()
}
