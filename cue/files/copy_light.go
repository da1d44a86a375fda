package files

import (
	"fmt"
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// copyOne is the light of one source that is copied.
type copyOne struct {
	to     string
	source int
	light  *cue.Light
	say    tomlfile.Inline
}

func (copyOne) edit() string { return "" } // CopyLight says it

// copies takes a copy apart into its sources, those left out that are alike already.
func (w *planner) copies(e CopyLight) ([]Edit, error) {
	from, err := w.cueIndex(e.From)
	if err != nil {
		return nil, err
	}
	to, err := w.cueIndex(e.To)
	if err != nil {
		return nil, err
	}
	if from == to && len(e.Sources) == 0 {
		return nil, fmt.Errorf("the light of %s is its own already; name another cue to copy it to", tomlfile.Quote(e.From))
	}
	s := w.now.shoot
	sources := make([]int, 0, len(s.Rig.Sources))
	for i := range s.Rig.Sources {
		if len(e.Sources) == 0 {
			sources = append(sources, i)
		}
	}
	for _, name := range e.Sources {
		i, err := w.source(name)
		if err != nil {
			return nil, err
		}
		sources = append(sources, i)
	}
	model := layers(s, from)
	var out []Edit
	for _, i := range sources {
		a, b := &s.Resolved[from].Light[i], &s.Resolved[to].Light[i]
		if from != to && a.Asked == b.Asked && slices.Equal(a.Cells, b.Cells) && a.Level == b.Level {
			continue
		}
		say, err := w.spelled(i, a, model)
		if err != nil {
			return nil, err
		}
		out = append(out, copyOne{e.To, i, a, say})
	}
	return out, nil
}

func (w *planner) copyTarget(c copyOne) ([]target, error) {
	to, err := w.cueIndex(c.to)
	if err != nil {
		return nil, err
	}
	t, err := w.target(layer{cue: to, look: -1}, c.source)
	return []target{t}, err
}

// copyEntry writes the light of one source over whatever the cue said of it; its
// timing stays.
func (w *planner) copyEntry(t *target, c copyOne) error {
	name, source, cueName := t.name, t.source, t.resolved
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		got := &is.Resolved[is.CueIndex(cueName)].Light[source]
		said := got.Level == c.light.Level && got.Colour == c.light.Colour // against a key that differs
		if !said && !(near(got.Asked, c.light.Asked) && slices.EqualFunc(got.Cells, c.light.Cells, near)) {
			return fmt.Errorf("%s would be %s in %s, not %s", name, got.Level, cueName, c.light.Level)
		}
		return nil
	})
	return w.overwrite(t, c.say)
}

// overwrite writes an entry over all that the cue said of a source's light.
func (w *planner) overwrite(t *target, say tomlfile.Inline) error {
	ed, err := w.editor(t.file)
	if err != nil {
		return err
	}
	w.may[t.key] = true
	if !t.own || !ed.IsTable(t.at()) {
		var value any = say
		if len(say) == 1 && say[0].Key == "level" {
			value = say[0].Value
		}
		if t.own {
			return ed.Replace(t.at(), value)
		}
		return ed.Set(t.table, tomlfile.Entry{Key: t.name, Value: value})
	}
	var gone []string
	for _, key := range []string{"level", "change", "colour", "ramp"} {
		if ed.Has(t.at(key)) && !slices.ContainsFunc(say, func(en tomlfile.Entry) bool { return en.Key == key }) {
			gone = append(gone, key)
		}
	}
	if len(gone) == 0 {
		return ed.Set(t.at(), say...)
	}
	return ed.Rewrite(t.at(), gone, say...)
}

// nearLight is how far, of the most a source gives, light may end up off what it
// was copied from by being written in the user's unit: what rounding to a
// hundredth of a stop makes of it, at most.
const nearLight = 0.01

func near(a, b colour.XYZ) bool {
	return math.Abs(a.X-b.X) <= nearLight*(b.Y+nearLight) && math.Abs(a.Y-b.Y) <= nearLight*(b.Y+nearLight) && math.Abs(a.Z-b.Z) <= 2*nearLight*(b.Y+nearLight)
}

// spelled is the light of a source as an entry of its own.
func (w *planner) spelled(source int, light *cue.Light, model []layer) (tomlfile.Inline, error) {
	if light.Asked.Y <= 0 {
		return tomlfile.Inline{{Key: "level", Value: "off"}}, nil
	}
	if ramped(model, source) && light.Cells != nil {
		return w.spelledRamp(source, model)
	}
	out := tomlfile.Inline{{Key: "level", Value: light.Level}}
	if light.Colour != "" {
		out = append(out, tomlfile.Entry{Key: "colour", Value: light.Colour})
	}
	return out, nil
}

// spelledRamp writes a ramp out with all that lies under and over it. Where a look
// holds the light of a colour, the levels of its points are those it comes to.
func (w *planner) spelledRamp(source int, model []layer) (tomlfile.Inline, error) {
	ramp, err := w.flatRamp(source, model)
	if err != nil {
		return nil, err
	}
	points := make([]tomlfile.Inline, len(ramp))
	for i := range ramp {
		p := &ramp[i]
		level := cue.Level{}
		if p.want.level != nil {
			level = *p.want.level
		}
		if p.want.change != 0 || p.want.held {
			level = w.come(source, &p.want)
		}
		tone := colour.Spec{}
		if p.want.tone != nil {
			tone = *p.want.tone
		}
		points[i] = rampPoint(&p.RampPoint, &level, &tone)
	}
	return tomlfile.Inline{{Key: "level", Value: points[0][1].Value}, {Key: "ramp", Value: points}}, nil
}

// flat is the level and colour that the layers of a cue come to at one place.
type flat struct {
	level        *cue.Level
	change       float64
	tone, anchor *colour.Spec
	held         bool
}

// lay puts an entry over what is below, as a cue resolves.
func (f *flat) lay(level *cue.Level, change float64, tone *colour.Spec, look bool) {
	if level != nil {
		f.level, f.change = level, 0
	}
	f.change += change
	if tone != nil {
		f.tone = tone
	}
	switch {
	case level != nil || tone != nil && !look:
		f.anchor, f.held = f.tone, false
	case tone != nil:
		f.held = true
	}
}

type flatPoint struct {
	cue.RampPoint
	want flat
}

func (w *planner) flatRamp(source int, model []layer) ([]flatPoint, error) {
	var base flat
	var points []flatPoint
	for _, l := range model {
		e, ok := l.light[source]
		if !ok {
			continue
		}
		look, change := l.look >= 0, 0.0
		if e.Change != nil {
			change = e.Change.Stops
		}
		base.lay(e.Level, change, e.Colour, look)
		if e.Ramp == nil {
			for i := range points {
				points[i].want.lay(e.Level, change, e.Colour, look)
			}
			continue
		}
		points = make([]flatPoint, len(e.Ramp.Points))
		for i, p := range e.Ramp.Points {
			points[i] = flatPoint{p, base}
			points[i].want.lay(p.Level, 0, p.Colour, look)
		}
	}
	if len(points) == 0 {
		return nil, fmt.Errorf("%s has no ramp to copy", w.now.shoot.Rig.Sources[source].Name)
	}
	return points, nil
}

// come is the level that a change, or a colour whose light is held, comes to, in
// its own unit.
func (w *planner) come(source int, f *flat) cue.Level {
	if f.level == nil {
		return cue.Level{}
	}
	stops := f.change
	if k := f.level.Kind(); f.held && (k == cue.LevelPercent || k == cue.LevelStops) {
		most := func(tone *colour.Spec) float64 {
			spec := colour.Spec{}
			if tone != nil {
				spec = *tone
			}
			return w.now.renderer.Clone().Reach(source, spec.Resolve(w.now.shoot.Camera.White)).MaxY
		}
		stops += math.Log2(most(f.anchor) / most(f.tone))
	}
	return f.level.Shift(stops)
}
