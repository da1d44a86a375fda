package cue

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

const testCells = 5

// stripShoot is a shoot whose strip has cells.
func stripShoot(cues ...Cue) *Shoot {
	s := testShoot(cues...)
	p := *s.Rig.Sources[testStrip].Profile
	p.Cells, p.Stride = testCells, 6
	s.Rig.Sources[testStrip].Profile = &p
	return s
}

// point is a point of a ramp; what is "" is left out.
func point(at float64, l, c string) RampPoint {
	e := lit(l, c)
	return RampPoint{At: at, Level: e.Level, Colour: e.Colour}
}

func ramp(points ...RampPoint) *Ramp { return &Ramp{Points: points} }

// ramped is an entry with a ramp.
func ramped(l, c string, points ...RampPoint) Entry {
	e := lit(l, c)
	e.Ramp = ramp(points...)
	return e
}

// strip resolves one cue that says this of the strip.
func strip(t *testing.T, e Entry) (*Light, *fixtures.Renderer) {
	t.Helper()
	s := stripShoot(Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", ""), testStrip: e}})
	resolve(t, s)
	return &s.Resolved[0].Light[testStrip], renderer(t, s)
}

// plainly is what a plain entry comes to.
func plainly(t *testing.T, l, c string) colour.XYZ {
	t.Helper()
	plain, _ := strip(t, lit(l, c))
	return plain.Asked
}

// Along a ramp the light runs as in a fade: whites in mired, luminance evenly.
// The end cells are the ends to the last bit.
func TestRampRunsAsAFade(t *testing.T) {
	l, _ := strip(t, ramped("", "", point(0, "10 %", "3200 K"), point(1, "40 %", "5600 K")))
	from, to := plainly(t, "10 %", "3200 K"), plainly(t, "40 %", "5600 K")
	if len(l.Cells) != testCells || l.Cells[0] != from || l.Cells[testCells-1] != to {
		t.Fatalf("%v does not run from %v to %v", l.Cells, from, to)
	}
	for c, light := range l.Cells {
		u := float64(c) / (testCells - 1)
		xy, _ := light.XY()
		w, _ := xy.White()
		if want := from.Y*(1-u) + to.Y*u; !near(light.Y, want) {
			t.Errorf("cell %d: Y %v, want %v", c, light.Y, want)
		}
		if want := 1e6/3200*(1-u) + 1e6/5600*u; math.Abs(w.Mired()-want) > 1e-6 {
			t.Errorf("cell %d: %v mired, want %v", c, w.Mired(), want)
		}
	}
	if l.Colour != "3200 K to 5600 K" || l.Asked != fixtures.Mean(l.Cells) {
		t.Errorf("%+v", l)
	}
}

// A stretch has a curve and a path of its own, whatever the fade's are.
func TestStretchesHaveTheirOwnWay(t *testing.T) {
	stops, straight, around, ease := fade.Stops, fade.Straight, fade.Around, fade.Ease
	up, round := point(0.5, "40 %", "5600 K"), point(1, "40 %", "#0000ff")
	up.Curve, up.Path, round.Path = &stops, &straight, &around
	e := ramped("", "", point(0, "10 %", "3200 K"), up, round)
	e.Curve, e.Path = &ease, &straight
	l, _ := strip(t, e)
	a, b, c := plainly(t, "10 %", "3200 K"), plainly(t, "40 %", "5600 K"), plainly(t, "40 %", "#0000ff")
	if want := math.Sqrt(a.Y * b.Y); !near(l.Cells[1].Y, want) {
		t.Errorf("half way in stops: Y %v, want %v", l.Cells[1].Y, want)
	}
	s := (l.Cells[1].Y - a.Y) / (b.Y - a.Y)
	if want := a.X*(1-s) + b.X*s; !near(l.Cells[1].X, want) {
		t.Errorf("on the straight path: X %v, want %v", l.Cells[1].X, want)
	}
	centre := colour.White{Kelvin: 5600}.XY().UV()
	f := fade.New(fade.Linear, fade.Around, b, c, centre)
	if l.Cells[2] != b || l.Cells[3] != f.At(0.5) || l.Cells[4] != c {
		t.Errorf("%v, want %v, %v, %v", l.Cells[2:], b, f.At(0.5), c)
	}
	if l.Curve != fade.Ease || l.Path != fade.Straight {
		t.Error("the fade's own curve and path are lost")
	}
}

// Before the first point and after the last the light is theirs.
func TestEndsOfARampAreHeld(t *testing.T) {
	l, _ := strip(t, ramped("", "4000 K", point(0.3, "10 %", ""), point(0.7, "40 %", "")))
	low, high := plainly(t, "10 %", "4000 K"), plainly(t, "40 %", "4000 K")
	if l.Cells[0] != low || l.Cells[1] != low || l.Cells[3] != high || l.Cells[4] != high {
		t.Errorf("%v", l.Cells)
	}
	if want := (low.Y + high.Y) / 2; !near(l.Cells[2].Y, want) {
		t.Errorf("half way Y %v, want %v", l.Cells[2].Y, want)
	}
}

// Levels of points count as those of the whole strip; lux, stops against the
// key and the level shown are those of the mean.
func TestRampIsReportedByItsMean(t *testing.T) {
	l, r := strip(t, ramped("", "", point(0, "40 lx", ""), point(0.5, "key -4 stops", ""), point(1, "100 lx", "")))
	full, key := 400.0, 1000.0
	for c, lux := range map[int]float64{0: 40, 2: key / 16, 4: 100} {
		if !near(l.Cells[c].Y, lux/full) {
			t.Errorf("cell %d: %v lx, want %v", c, l.Cells[c].Y*full, lux)
		}
	}
	mean := (40 + (40+62.5)/2 + 62.5 + (62.5+100)/2 + 100) / 5.0
	if !near(l.Lux, mean) || !near(l.KeyStops, math.Log2(mean/key)) || !near(l.Asked.Y, mean/full) {
		t.Errorf("%v lx, %v stops, Y %v; want %v lx", l.Lux, l.KeyStops, l.Asked.Y, mean)
	}
	if l.Level != "67 lx" {
		t.Errorf("shown as %q, the mean is %v lx", l.Level, mean)
	}
	xy, _ := l.Asked.XY()
	if aim := r.Reach(testStrip, xy); l.Aim != aim.XY || l.DeltaUV != aim.DeltaUV {
		t.Errorf("aim %v, %v; want %+v", l.Aim, l.DeltaUV, aim)
	}
	for first, want := range map[string]string{"10 %": "20 %", "-3 stops": "-2.23 stops", "key -4 stops": "key -3.5 stops"} {
		l, _ = strip(t, ramped("30 %", "", point(0, first, ""), point(1, "", "")))
		if l.Level != want {
			t.Errorf("a ramp from %s to 30 %% is shown as %q, want %q", first, l.Level, want)
		}
	}
}

// What stands over a ramp: an entry's level or colour goes for every point, both
// make the strip plain; a change of level moves all; another ramp takes its place.
func TestLayersOverARamp(t *testing.T) {
	below := ramped("30 %", "4000 K", point(0, "10 %", "3200 K"), point(1, "40 %", "5600 K"))
	low, high := plainly(t, "10 %", "3200 K"), plainly(t, "40 %", "5600 K")
	type ends [2]colour.XYZ
	held := func(l colour.XYZ, c string) colour.XYZ { return hue(c).Resolve(colour.White{}).XYZ(l.Y) }
	for name, c := range map[string]struct {
		over Entry
		look bool
		want ends
	}{
		"nothing":          {Entry{}, false, ends{low, high}},
		"change":           {Entry{Change: change(-1)}, true, ends{low.Scale(0.5), high.Scale(0.5)}},
		"level":            {lit("20 %", ""), false, ends{plainly(t, "20 %", "3200 K"), plainly(t, "20 %", "5600 K")}},
		"colour":           {lit("", "6500 K"), false, ends{plainly(t, "10 %", "6500 K"), plainly(t, "40 %", "6500 K")}},
		"colour of a look": {lit("", "6500 K"), true, ends{held(low, "6500 K"), held(high, "6500 K")}},
		"both":             {lit("20 %", "6500 K"), false, ends{plainly(t, "20 %", "6500 K"), plainly(t, "20 %", "6500 K")}},
		"off":              {lit("off", ""), false, ends{}},
		"ramp":             {ramped("", "", point(0, "20 %", ""), point(1, "", "")), false, ends{plainly(t, "20 %", "4000 K"), plainly(t, "30 %", "4000 K")}},
		"ramp of a look": {
			ramped("", "", point(0, "", "6500 K"), point(1, "", "")), true,
			ends{held(plainly(t, "30 %", "4000 K"), "6500 K"), plainly(t, "30 %", "4000 K")},
		},
		"ramp with a level": {
			ramped("20 %", "", point(0, "", ""), point(1, "", "3200 K")), false,
			ends{plainly(t, "20 %", "4000 K"), plainly(t, "20 %", "3200 K")},
		},
		"ramp with a change": {
			func() Entry {
				e := ramped("", "", point(0, "", ""), point(1, "40 %", ""))
				e.Change = change(-1)
				return e
			}(), false,
			ends{plainly(t, "15 %", "4000 K"), plainly(t, "40 %", "4000 K")},
		},
	} {
		b := Cue{Name: "b", From: "a"}
		if c.look {
			b.Looks = []string{"over"}
		} else {
			b.Light = map[int]Entry{testStrip: c.over}
		}
		s := stripShoot(Cue{Name: "a", Light: map[int]Entry{testStrip: below}}, b)
		s.Looks = []Look{{Name: "over", Light: map[int]Entry{testStrip: c.over}}}
		resolve(t, s)
		l := &s.Resolved[1].Light[testStrip]
		got := ends{l.Asked, l.Asked}
		if l.Cells != nil {
			got = ends{l.Cells[0], l.Cells[testCells-1]}
		}
		if (l.Cells == nil) != (c.want[0] == c.want[1]) {
			t.Errorf("%s: cells %v", name, l.Cells)
		}
		for i := range got {
			if !near(got[i].X, c.want[i].X) || !near(got[i].Y, c.want[i].Y) || !near(got[i].Z, c.want[i].Z) {
				t.Errorf("%s, end %d: %v, want %v", name, i, got[i], c.want[i])
			}
		}
		if was := s.Resolved[0].Light[testStrip]; was.Cells[0] != low || was.Cells[testCells-1] != high {
			t.Errorf("%s reaches back to the cue below: %v", name, was.Cells)
		}
	}
}

// A ramp that comes to the same light everywhere is the plain light.
func TestRampWithoutDifferenceIsPlain(t *testing.T) {
	l, _ := strip(t, ramped("30 %", "4000 K", point(0, "30 %", ""), point(1, "", "4000 K")))
	if l.Cells != nil || l.Asked != plainly(t, "30 %", "4000 K") {
		t.Errorf("%+v", l)
	}
}

// A key that is a ramp counts by its mean.
func TestKeyMayBeARamp(t *testing.T) {
	s := stripShoot(Cue{Name: "a", Light: map[int]Entry{
		testStrip: ramped("", "", point(0, "40 lx", ""), point(1, "80 lx", "")),
		testPanel: lit("key -1 stop", ""),
	}})
	s.Rig.Sources[testKey].Role, s.Rig.Sources[testStrip].Role = fixtures.Fill, fixtures.Key
	resolve(t, s)
	if l := s.Resolved[0].Light; !near(l[testPanel].Lux, 30) || !near(l[testStrip].Lux, 60) || l[testStrip].KeyStops != 0 {
		t.Errorf("key %v lx, one stop below it %v lx", l[testStrip].Lux, l[testPanel].Lux)
	}
	s.Cues[0].Light[testStrip] = ramped("", "", point(0, "key", ""), point(1, "80 lx", ""))
	if faults := s.Resolve(renderer(t, s)); len(faults) != 1 || !strings.Contains(faults[0].What, "is the key itself") {
		t.Errorf("%v", faults)
	}
}

// Cues that repeat a ramp share its cells: ten thousand of them load in a moment.
func TestRampsAlikeShareTheirCells(t *testing.T) {
	e := ramped("", "", point(0, "10 %", "3200 K"), point(1, "40 %", "5600 K"))
	other := ramped("", "", point(0, "10 %", "3200 K"), point(1, "40 %", "5600 K"))
	s := stripShoot(
		Cue{Name: "a", Light: map[int]Entry{testStrip: e}},
		Cue{Name: "b", Light: map[int]Entry{testStrip: other}},
	)
	resolve(t, s)
	if a, b := s.Resolved[0].Light[testStrip].Cells, s.Resolved[1].Light[testStrip].Cells; &a[0] != &b[0] {
		t.Error("they have cells of their own")
	}
}

func TestRampsOfAShootHaveALimit(t *testing.T) {
	s := stripShoot()
	s.Rig.Sources[testStrip].Profile.Cells = fixtures.MaxCells
	for i := range MaxRampCells/fixtures.MaxCells + 3 {
		s.Cues = append(s.Cues, Cue{Name: fmt.Sprint(i), Light: map[int]Entry{
			testStrip: ramped("", "", point(0, fmt.Sprintf("%g lx", 1+float64(i)/1000), ""), point(1, "200 lx", "")),
		}})
	}
	var errs []string
	for _, f := range s.Resolve(nil) {
		if !f.Warning {
			errs = append(errs, f.String())
		}
	}
	if len(errs) != 1 || !strings.Contains(errs[0], "more than 2000000 cells") {
		t.Errorf("%v", errs)
	}
}

// Whatever a ramp is made of, resolving ends, and a shoot without errors asks no
// cell for more than the source gives there.
func TestAnyRamp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := stripShoot(Cue{Name: "a", Light: map[int]Entry{testKey: lit("50 %", "")}})
		at := rapid.OneOf(rapid.Float64Range(0, 1), rapid.SampledFrom([]float64{0, 0.5, 1, -1, 2, math.NaN(), math.Inf(1)}))
		e := drawEntry(t, testStrip)
		e.Ramp = &Ramp{}
		for range rapid.IntRange(0, 4).Draw(t, "points") {
			e.Ramp.Points = append(e.Ramp.Points, drawPoint(t, at.Draw(t, "at")))
		}
		if rapid.Bool().Draw(t, "in order") {
			slices.SortFunc(e.Ramp.Points, func(a, b RampPoint) int { return int(math.Copysign(1, a.At-b.At)) })
		}
		s.Cues[0].Light[rapid.IntRange(testPanel, testTorch).Draw(t, "source")] = e
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		s.Resolve(nil)
		for _, f := range s.Resolve(r) {
			if !f.Warning {
				return
			}
		}
		l := &s.Resolved[0].Light[testStrip]
		for c, light := range l.Cells {
			if xy, ok := light.XY(); ok && light.Y > r.Reach(testStrip, xy).MaxY*(1+1e-12) {
				t.Fatalf("cell %d is asked for Y %v, it has %v", c, light.Y, r.Reach(testStrip, xy).MaxY)
			}
		}
		if l.Cells != nil && l.Asked != fixtures.Mean(l.Cells) {
			t.Fatalf("%v is not the mean of %v", l.Asked, l.Cells)
		}
		if _, err := ParseLevel(l.Level); err != nil {
			t.Fatalf("the operator is shown %q", l.Level)
		}
	})
}

func drawPoint(t *rapid.T, at float64) RampPoint {
	e := drawEntry(t, testStrip)
	p := RampPoint{At: at, Level: e.Level, Colour: e.Colour}
	if rapid.Bool().Draw(t, "way") {
		curve := rapid.SampledFrom([]fade.Curve{fade.Linear, fade.Ease, fade.Stops}).Draw(t, "curve")
		path := rapid.SampledFrom([]fade.Path{fade.Auto, fade.White, fade.Straight, fade.Around, fade.Glow}).Draw(t, "path")
		p.Curve, p.Path = &curve, &path
	}
	return p
}

// The rules of layers by the second road: a point of the last ramp is one more
// layer between the entry that has the ramp and those over it.
func TestRampsBySecondRoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShoot(t)
		s.Rig = stripShoot().Rig
		put := func(light map[int]Entry) {
			e, ok := light[testStrip]
			if !ok || rapid.Bool().Draw(t, "plain") {
				return
			}
			a, b := drawPoint(t, 0), drawPoint(t, 1)
			a.Curve, a.Path = nil, nil
			e.Ramp = ramp(a, b)
			light[testStrip] = e
		}
		for i := range s.Looks {
			put(s.Looks[i].Light)
		}
		for i := range s.Cues {
			put(s.Cues[i].Light)
		}
		r, err := fixtures.NewRenderer(s.Rig)
		if err != nil {
			t.Fatal(err)
		}
		s.Resolve(r)
		for i := range s.Cues {
			_, keyLux, _ := lights(s, r, i, testKey, 0)
			layers := stack(s, i, testStrip)
			if keyLux == 0 && len(layers) > 0 { // levels against a key that is off are errors, tested elsewhere
				continue
			}
			at := len(layers) - 1
			for at >= 0 && layers[at].Ramp == nil {
				at--
			}
			l := &s.Resolved[i].Light[testStrip]
			got := [2]colour.XYZ{l.Asked, l.Asked}
			if l.Cells != nil {
				got = [2]colour.XYZ{l.Cells[0], l.Cells[testCells-1]}
			}
			for end := range got {
				all := layers
				if at >= 0 {
					p := layers[at].Ramp.Points[end]
					own := layer{Entry{Level: p.Level, Colour: p.Colour}, layers[at].look}
					all = printed(slices.Insert(slices.Clone(layers), at+1, own))
				}
				y, _, spec := comeTo(s, r, all, testStrip, keyLux)
				if !near(got[end].Y, y) {
					t.Fatalf("%s, end %d: Y %v, want %v", s.Cues[i].Name, end, got[end].Y, y)
				}
				if xy, lit := got[end].XY(); lit && colour.Steps(xy, spec.Resolve(s.Camera.White)) > 1e-9 {
					t.Fatalf("%s, end %d: %v, want %v", s.Cues[i].Name, end, xy, spec)
				}
			}
		}
	})
}

// printed are layers with the changes over their uppermost level written into it:
// along a ramp light is what is printed of it.
func printed(layers []layer) []layer {
	out := slices.Clone(layers)
	at := -1
	for i := range out {
		if out[i].Level != nil {
			at = i
		}
	}
	stops := 0.0
	for i := max(at, 0); i < len(out); i++ {
		if out[i].Change != nil {
			stops += out[i].Change.Stops
			out[i].Change = nil
		}
	}
	if at >= 0 && stops != 0 {
		is := *out[at].Level
		v := is.Value() + stops
		if k := is.Kind(); k == LevelPercent || k == LevelLux {
			v = is.Value() * math.Exp2(stops)
		}
		if is.Kind() != LevelOff {
			is = is.With(v)
		}
		out[at].Level = &is
	}
	return out
}
