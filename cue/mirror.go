package cue

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Twin is the mirror image of a cue about the camera's axis: what the cue shows
// from the other side of the model.
type Twin struct {
	HasAngle bool
	Azimuth  float64 // of the table, degrees, 0..360

	Light  map[int]Entry // of every lit source, level and colour or a ramp
	Cards  []CardPlace   // those that stand, marks left out: they are on the other side
	Places []SourcePlace // of sources that stand elsewhere than the rig says

	// Short says what the twin cannot give, in stops and in steps of Δu'v', and
	// what had to be carried otherwise than as light.
	Short []string
}

// lampOf is what Mirror carries: one light of a source.
type lampOf struct {
	y      float64 // in the source's own unit
	aim    colour.XY
	colour *colour.Spec // as written, where that is what the source makes
}

// Mirror makes the twin of a resolved cue. Light goes from each source to its
// twin as lux and chromaticity, not as percent: twins differ. Where neither has a
// reading but both are one make, percent is the same light.
//
// The renderer must not be in use by another goroutine.
func (s *Shoot) Mirror(r *fixtures.Renderer, from *Resolved) *Twin {
	t := &Twin{HasAngle: from.HasAngle, Light: map[int]Entry{}}
	if from.HasAngle {
		t.Azimuth = mirrorAngle(math.Mod(from.Azimuth, 360) + 0)
		if t.Azimuth < 0 {
			t.Azimuth += 360
		}
	}
	twin, unknown := s.Pairs(from)
	key := s.Key()
	for i := range from.Light {
		l := &from.Light[i]
		if !(l.Asked.Y > 0) {
			continue
		}
		name := s.Rig.Sources[i].Name
		if slices.Contains(unknown, i) {
			t.short("%q has no twin that is known and keeps its light; write pair = \"NAME\", or its place", name)
		}
		m := mirror{shoot: s, renderer: r, twin: t, from: i, to: twin[i]}
		if level, err := ParseLevel(l.Level); i == twin[i] && l.Cells == nil && err == nil &&
			(level.Kind() != LevelKey || key < 0 || twin[key] == key) {
			spec, err := colour.ParseSpec(l.Colour)
			if err != nil {
				spec = colour.Spec{}
			}
			t.Light[i] = Entry{Level: &level, Colour: &spec}
			continue
		}
		t.Light[twin[i]] = m.light(l)
	}
	t.cards(from)
	t.places(s, from, twin)
	return t
}

func (t *Twin) short(format string, args ...any) {
	t.Short = append(t.Short, fmt.Sprintf(format, args...))
}

// mirror carries the light of one source to its twin.
type mirror struct {
	shoot    *Shoot
	renderer *fixtures.Renderer
	twin     *Twin
	from, to int

	stops, steps float64 // the most that is missing
	percent      bool    // carried as percent between two makes
}

func (m *mirror) light(l *Light) Entry {
	var e Entry
	if l.Cells == nil {
		lamp := lampOf{y: l.Asked.Y, aim: l.Aim}
		if spec, err := colour.ParseSpec(l.Colour); err == nil && l.DeltaUV < colour.Step {
			lamp.colour = &spec
		}
		level, spec := m.carry(lamp)
		e = Entry{Level: &level, Colour: &spec}
	} else {
		e = Entry{Ramp: m.ramp(l.Cells)}
		e.Level, e.Colour = e.Ramp.Points[0].Level, e.Ramp.Points[0].Colour
	}
	m.tell(l)
	return e
}

// carry is the level and colour by which the twin gives a light.
func (m *mirror) carry(l lampOf) (Level, colour.Spec) {
	sources := m.shoot.Rig.Sources
	a, b := &sources[m.from], &sources[m.to]
	spec := colour.Spec{}
	if l.colour != nil {
		spec = *l.colour
	} else if read, err := colour.ParseSpec(inWords(l.aim)); err == nil {
		spec = read
	}
	aim := m.renderer.Reach(m.to, spec.Resolve(m.shoot.Camera.White))
	m.steps = max(m.steps, aim.XY.UV().Distance(l.aim.UV())/colour.Step)
	if a.Full > 0 && b.Full > 0 {
		lux := float64(a.Full * l.y)
		m.stops = max(m.stops, math.Log2(lux/float64(b.Full*aim.MaxY)))
		level, err := ParseLevel(strconv.FormatFloat(rounded(lux), 'f', -1, 64) + " lx")
		if err == nil {
			return level, spec
		}
	}
	m.percent = m.percent || !sameMake(a, b)
	share := l.y / m.renderer.Reach(m.from, l.aim).MaxY
	return Level{}.With(share), spec
}

// luxDigits is to how many significant digits lux are written: a tenth of a
// percent, a hundredth of what a light meter tells.
const luxDigits = 4

func rounded(lux float64) float64 {
	v, _ := strconv.ParseFloat(strconv.FormatFloat(lux, 'g', luxDigits, 64), 64)
	return v
}

// sameMake says whether percent means the same light of both.
func sameMake(a, b *fixtures.Source) bool {
	return a.Full == b.Full && a.Hand == b.Hand && a.Profile == b.Profile && a.Calibration == b.Calibration
}

// ramp is a strip seen in the mirror: end for end where it lies across, as its
// sizes say, the same way up where it stands.
func (m *mirror) ramp(cells []colour.XYZ) *Ramp {
	src := &m.shoot.Rig.Sources[m.to]
	upright := src.Height.Metres > src.Width.Metres
	n := min(len(cells), MaxRampPoints)
	r := &Ramp{Points: make([]RampPoint, n)}
	for k := range n {
		c := k * (len(cells) - 1) / (n - 1)
		p := &r.Points[k]
		p.At = float64(c) / float64(len(cells)-1)
		light := cells[c]
		if !upright {
			light = cells[len(cells)-1-c]
		}
		xy, lit := light.XY()
		if !lit {
			p.Level = new(Level)
			continue
		}
		level, spec := m.carry(lampOf{y: light.Y, aim: m.renderer.Reach(m.from, xy).XY})
		p.Level, p.Colour = &level, &spec
	}
	if !upright && src.Width.Metres == 0 {
		m.twin.short("%q is taken to lie across: its ramp is turned end for end; write its width and height", src.Name)
	}
	return r
}

// tell says what the twin falls short of.
func (m *mirror) tell(l *Light) {
	name, other := m.shoot.Rig.Sources[m.to].Name, m.shoot.Rig.Sources[m.from].Name
	if m.stops >= minShort {
		m.twin.short("%q is %s short of the light of %q", name, tenths(m.stops), other)
	}
	if m.steps >= 1 {
		m.twin.short("%q cannot make the colour of %q (%s): the nearest is %.1f steps of Δu'v' away", name, other, l.Colour, m.steps)
	}
	if m.percent {
		m.twin.short("%q and %q are two makes without a reading each: their light is carried in percent, by eye it may differ; measure both and write full", other, name)
	}
}

func (t *Twin) cards(from *Resolved) {
	for _, c := range from.Cards {
		if !c.Out {
			t.Cards = append(t.Cards, CardPlace{Card: c.Card, Place: mirrored(c.Place)})
		}
	}
}

// places are those of sources that the cue moves, for their twins.
func (t *Twin) places(s *Shoot, from *Resolved, twin []int) {
	for _, p := range from.Places {
		to := twin[p.Source]
		place := mirrored(p.Place)
		if home := s.Rig.Sources[to].Place; !home.Known || !samePlace(home, place) {
			t.Places = append(t.Places, SourcePlace{Source: to, Place: place})
		}
	}
	slices.SortFunc(t.Places, func(a, b SourcePlace) int { return a.Source - b.Source })
}
