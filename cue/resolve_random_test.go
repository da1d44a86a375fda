package cue

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// The rules of resolving by a second road: each question about a source is
// answered by walking the layers from the top down, where Resolve lays them
// from the bottom up.

// layer is one entry, and whether a look says it.
type layer struct {
	Entry
	look bool
}

// stack lists the entries for a source, the lowest first.
func stack(s *Shoot, cue, source int) []layer {
	c := &s.Cues[cue]
	var out []layer
	if c.From != "" {
		out = stack(s, s.CueIndex(c.From), source)
	}
	for _, x := range c.Exceptions {
		if e, ok := x.Light[source]; ok && !slices.Contains(c.Looks, x.Look) && lies(s, s.CueIndex(c.From), x.Look) {
			out = append(out, layer{e, true})
		}
	}
	for _, name := range c.Looks {
		for _, l := range s.Looks {
			if e, ok := l.Light[source]; ok && l.Name == name {
				out = append(out, layer{e, true})
			}
		}
		out = append(out, exceptions(s, cue, name, source)...)
	}
	if e, ok := c.Light[source]; ok {
		out = append(out, layer{e, false})
	}
	return out
}

// lies says whether a look lies on a cue, its own or inherited.
func lies(s *Shoot, cue int, look string) bool {
	return cue >= 0 && (slices.Contains(s.Cues[cue].Looks, look) || lies(s, s.CueIndex(s.Cues[cue].From), look))
}

// exceptions of a look on a cue, those of the cues it comes from first.
func exceptions(s *Shoot, cue int, look string, source int) (out []layer) {
	if cue < 0 {
		return nil
	}
	out = exceptions(s, s.CueIndex(s.Cues[cue].From), look, source)
	for _, x := range s.Cues[cue].Exceptions {
		if e, ok := x.Light[source]; ok && x.Look == look {
			out = append(out, layer{e, true})
		}
	}
	return out
}

// colourAt is the colour after the first n layers.
func colourAt(layers []layer, n int) colour.Spec {
	for i := n - 1; i >= 0; i-- {
		if layers[i].Colour != nil {
			return *layers[i].Colour
		}
	}
	return colour.Spec{}
}

// lights is the luminance of a source in a cue, from the definitions alone.
func lights(s *Shoot, r *fixtures.Renderer, cue, source int, keyLux float64) (y, lux float64, spec colour.Spec) {
	return comeTo(s, r, stack(s, cue, source), source, keyLux)
}

// comeTo is the luminance that layers come to.
func comeTo(s *Shoot, r *fixtures.Renderer, layers []layer, source int, keyLux float64) (y, lux float64, spec colour.Spec) {
	spec = colourAt(layers, len(layers))
	level, changes := -1, 0.0
	for i, l := range layers {
		if l.Level != nil {
			level, changes = i, 0
		}
		if l.Change != nil {
			changes += l.Change.Stops
		}
	}
	if level < 0 || layers[level].Level.Kind() == LevelOff {
		return 0, 0, spec
	}
	counts := colourAt(layers, level+1) // what percent are percent of
	for i := level + 1; i < len(layers); i++ {
		if layers[i].Colour != nil && !layers[i].look {
			counts = *layers[i].Colour
		}
	}
	most := r.Reach(source, spec.Resolve(s.Camera.White)).MaxY
	full := s.Rig.Sources[source].Full
	switch v := layers[level].Level.Value(); layers[level].Level.Kind() {
	case LevelPercent:
		y = v * r.Reach(source, counts.Resolve(s.Camera.White)).MaxY
	case LevelStops:
		y = math.Exp2(v) * r.Reach(source, counts.Resolve(s.Camera.White)).MaxY
	case LevelLux:
		y = v / full
	case LevelKey:
		y = math.Exp2(v) * keyLux / full
	}
	y = math.Min(y*math.Exp2(changes), most)
	return y, y * full, spec
}

func drawEntry(t *rapid.T, source int) Entry {
	var e Entry
	levels := []string{"off", "100 %", "60 %", "12.5 %", "-1 stop", "-2 2/3 stops", "300 lx", "1200 lx"}
	if source != testKey {
		levels = append(levels, "key", "key -1 stop", "key -3 1/3 stops", "key +2 stops")
	}
	colours := []string{"white", "3200 K", "5600 K tint +0.005", "#ff6a1a", "hue 200 sat 50 %", "xy 0.3 0.5"}
	switch rapid.IntRange(0, 3).Draw(t, "parts") {
	case 0:
		e.Level = level(rapid.SampledFrom(levels).Draw(t, "level"))
	case 1:
		e.Colour = hue(rapid.SampledFrom(colours).Draw(t, "colour"))
	case 2:
		e.Level = level(rapid.SampledFrom(levels).Draw(t, "level"))
		e.Colour = hue(rapid.SampledFrom(colours).Draw(t, "colour"))
	case 3:
		e.Change = change(float64(rapid.IntRange(-9, 6).Draw(t, "thirds")) / 3)
	}
	return e
}

func drawLight(t *rapid.T) map[int]Entry {
	light := map[int]Entry{}
	for i := range testTorch + 1 {
		if rapid.Bool().Draw(t, "named") {
			light[i] = drawEntry(t, i)
		}
	}
	return light
}

func drawShoot(t *rapid.T) *Shoot {
	s := testShoot()
	for i := range rapid.IntRange(0, 3).Draw(t, "looks") {
		s.Looks = append(s.Looks, Look{Name: fmt.Sprint("look ", i), Light: drawLight(t)})
	}
	n := rapid.IntRange(1, 6).Draw(t, "cues")
	order := rapid.Permutation(indices(n)).Draw(t, "order") // of coming from each other, not of the files
	s.Cues = make([]Cue, n)
	for rank, i := range order {
		c := &s.Cues[i]
		c.Name = fmt.Sprint("cue ", i)
		if rank > 0 && rapid.Bool().Draw(t, "derived") {
			c.From = fmt.Sprint("cue ", order[rapid.IntRange(0, rank-1).Draw(t, "from")])
		}
		for range rapid.IntRange(0, 2).Draw(t, "laid") {
			if len(s.Looks) > 0 {
				c.Looks = append(c.Looks, rapid.SampledFrom(s.Looks).Draw(t, "look").Name)
			}
		}
		c.Light = drawLight(t)
		if len(s.Looks) > 0 && rapid.Bool().Draw(t, "excepted") {
			c.Exceptions = []Exception{{Look: rapid.SampledFrom(s.Looks).Draw(t, "of look").Name, Light: drawLight(t)}}
		}
	}
	return s
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestResolveBySecondRoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		s.Resolve(r)
		for i := range s.Cues {
			_, keyLux, _ := lights(s, r, i, testKey, 0)
			for j := range s.Rig.Sources {
				l := s.Resolved[i].Light[j]
				if keyLux == 0 && len(stack(s, i, j)) > 0 { // levels against a key that is off are errors, tested elsewhere
					continue
				}
				y, lux, spec := lights(s, r, i, j, keyLux)
				if !near(l.Asked.Y, y) || !near(l.Lux, lux) {
					t.Fatalf("%s, source %d: Y %v, %v lx; want %v, %v\n%v", s.Cues[i].Name, j, l.Asked.Y, l.Lux, y, lux, stack(s, i, j))
				}
				if y > 0 && (l.Colour != spec.String() || !near(l.KeyStops, math.Log2(lux/keyLux))) {
					t.Fatalf("%s, source %d: %q at %v stops; want %q at %v", s.Cues[i].Name, j, l.Colour, l.KeyStops, spec, math.Log2(lux/keyLux))
				}
				if _, err := ParseLevel(l.Level); err != nil {
					t.Fatalf("the operator is shown %q: %v", l.Level, err)
				}
			}
		}
	})
}

// Resolving depends on what is written, not on the order in which a map is
// walked, nor on an earlier run.
func TestResolveIsRepeatable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		first := s.Resolve(r)
		before := s.Resolved
		if again := s.Resolve(r); !reflect.DeepEqual(first, again) {
			t.Fatalf("%v\nthen\n%v", first, again)
		}
		for i := range before {
			for j := range before[i].Light {
				if a, b := fmt.Sprint(before[i].Light[j]), fmt.Sprint(s.Resolved[i].Light[j]); a != b { // text, as NaN is not itself
					t.Fatalf("%s\nthen\n%s", a, b)
				}
			}
		}
	})
}
