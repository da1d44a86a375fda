package operate

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"limn/cue"
	"limn/fixtures/quantity"
)

// bench is a cue whose trims are being worked out.
type bench struct {
	*set
	cue     int
	looks   []int
	trims   trims // those so far; never written to
	scene   *cue.Resolved
	touched []int // sources that were trimmed

	notices []string
	refused []string
}

// bench takes a cue as it would be played now to be trimmed.
func (m *moment) bench(i int) *bench {
	l := m.layers()
	b := &bench{set: m.set, cue: i, looks: l.Looks, scene: m.scene(i)}
	if i == l.Cue {
		b.trims = m.playing()
	} else {
		b.trims = m.trimsOf(i)
	}
	return b
}

func (b *bench) say(text string) {
	if text != "" && !slices.Contains(b.notices, text) {
		b.notices = append(b.notices, text)
	}
}

// inOrder are the sources that were trimmed, in the order of the rig.
func (b *bench) inOrder() []int { return slices.Sorted(slices.Values(b.touched)) }

// lay trims sources, and finds the scene again.
func (b *bench) lay(changes trims) {
	if len(changes) == 0 {
		return
	}
	t := maps.Clone(b.trims)
	if t == nil {
		t = trims{}
	}
	maps.Copy(t, changes)
	b.trims = t
	b.scene, _ = b.compose(b.cue, &cue.Over{Looks: b.looks, Trims: t})
	for _, i := range slices.Sorted(maps.Keys(changes)) {
		if !slices.Contains(b.touched, i) {
			b.touched = append(b.touched, i)
		}
	}
}

// part carries out one part of a trim. A part that fits none of the lights it is
// about is refused in words.
func (b *bench) part(p *Part) {
	of := members(b.shoot, p.Of)
	alone := len(of) == 1 && b.name(of[0]) == p.Of
	if len(of) == 0 {
		b.refused = append(b.refused, fmt.Sprintf("there is no light %q", p.Of))
		return
	}
	changes := trims{}
	var refused []string
	for _, i := range of {
		l := &b.scene.Light[i]
		off := !(l.Asked.Y > 0)
		switch {
		case !alone && b.shoot.Rig.Sources[i].Hand,
			!alone && off && (p.Of == "" || p.Level == nil):
			continue
		case !alone && p.Stops != nil && b.follows(i, of):
			continue
		}
		e, notice, no := b.change(i, p)
		if no != "" {
			refused = append(refused, no)
			continue
		}
		b.say(notice)
		changes[i] = e
	}
	if len(changes) == 0 {
		if len(refused) == 0 {
			refused = []string{fmt.Sprintf("nothing of %s is lit that could be trimmed", nameOr(p.Of))}
		}
		b.refused = append(b.refused, refused...)
		return
	}
	for _, no := range refused {
		b.say(no)
	}
	b.lay(changes)
}

func nameOr(of string) string {
	if of == "" {
		return "the set"
	}
	return of
}

// follows says whether a source counts from the key, and the key is among those
// that are trimmed: it moves with it.
func (b *bench) follows(i int, of []int) bool {
	key := b.shoot.Key()
	if key < 0 || key == i || !slices.Contains(of, key) || b.scene.Light[i].Cells != nil {
		return false
	}
	level, err := cue.ParseLevel(b.scene.Light[i].Level)
	return err == nil && level.Kind() == cue.LevelKey
}

// change is what one part makes of one source: its new trim.
func (b *bench) change(i int, p *Part) (e cue.Entry, notice, refused string) {
	e = b.trims[i]
	src := b.lit(b.scene, i)
	ramp := b.scene.Light[i].Cells != nil
	switch {
	case p.Stops != nil && ramp && e.Level != nil: // one level for all points
		src.level = *e.Level
		level, notice, refused := src.byStops(p.Stops.Stops)
		e.Level, e.Change = &level, nil
		return e, notice, refused
	case p.Stops != nil && ramp:
		sum := p.Stops.Stops
		if e.Change != nil {
			sum += e.Change.Stops
		}
		change := quantity.Stops{}.With(sum)
		e.Change = &change
	case p.Stops != nil:
		level, notice, refused := src.byStops(p.Stops.Stops)
		e.Level, e.Change = &level, nil
		return e, notice, refused
	case p.Level != nil:
		level, notice, refused := src.to(*p.Level)
		e.Level, e.Change = &level, nil
		return e, notice, refused
	default:
		return b.recolour(i, e, p, &src, ramp)
	}
	return e, "", ""
}

// recolour is a trim with another colour, the light held.
func (b *bench) recolour(i int, e cue.Entry, p *Part, src *lit, ramp bool) (_ cue.Entry, notice, refused string) {
	camera := b.shoot.Camera.White
	spec := b.colourOf(&b.scene.Light[i])
	switch {
	case p.Colour != nil:
		spec = *p.Colour
		if err := spec.Check(camera); err != nil {
			return e, "", err.Error()
		}
	case ramp:
		return e, "", fmt.Sprintf("%s runs from one colour to another (%s): give all of it one, as in trim %[1]s colour 4000 K",
			src.name, b.scene.Light[i].Colour)
	default:
		if spec, notice, refused = shifted(src.name, spec, camera, p.Mired, p.Tint); refused != "" {
			return e, "", refused
		}
	}
	e.Colour = &spec
	if e.Level != nil && src.y > 0 {
		to := *src
		to.maxY = b.most(i, spec.Resolve(camera))
		level, short := to.like(*e.Level, src.y)
		e.Level = &level
		if short != "" {
			b.say(short)
		}
	}
	return e, notice, ""
}

// trimWords are trims in words, against the kept light: "sky 63.5 % (kept 80 %)".
func (m *moment) trimWords(i int, t trims) string {
	l := m.layers()
	kept, _ := m.compose(i, &cue.Over{Looks: l.Looks})
	now, _ := m.compose(i, &cue.Over{Looks: l.Looks, Trims: t})
	return m.differences(slices.Sorted(maps.Keys(t)), kept, now)
}

// differences are how some sources differ from what is kept, in words. Others may
// have moved with them: what counts from the key does.
func (s *set) differences(sources []int, kept, now *cue.Resolved) string {
	var out []string
	for _, i := range sources {
		text := difference(&kept.Light[i], &now.Light[i])
		if text == "" {
			text = "as it is kept, " + now.Light[i].Level
		}
		out = append(out, s.name(i)+" "+text)
	}
	return strings.Join(out, ", ")
}

// difference is how one light differs from what is kept, in words; "" where it
// does not.
func difference(kept, now *cue.Light) string {
	var is, was []string
	if kept.Level != now.Level {
		is, was = append(is, now.Level), append(was, kept.Level)
	}
	if kept.Colour != now.Colour && now.Level != "off" { // what is off has none
		is = append(is, now.Colour)
		if kept.Level != "off" {
			was = append(was, orWhite(kept.Colour))
		}
	}
	if len(is) == 0 {
		if kept.Asked == now.Asked {
			return ""
		}
		return now.Level + " of what it counts from"
	}
	return fmt.Sprintf("%s (kept %s)", strings.Join(is, " "), strings.Join(was, " "))
}

func orWhite(spec string) string {
	if spec == "" {
		return "white"
	}
	return spec
}
