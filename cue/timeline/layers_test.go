package timeline

import (
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"

	"pgregory.net/rapid"
)

// written are sets whose cues are written rather than made up, so that looks and
// trims can be laid over them: [0] with a table turned by hand, [1] by a motor.
var written = [2]func() *set{
	sync.OnceValue(func() *set { return newWritten(false) }),
	sync.OnceValue(func() *set { return newWritten(true) }),
}

func lvl(text string) *cue.Level {
	l, err := cue.ParseLevel(text)
	if err != nil {
		panic(err)
	}
	return &l
}

func hue(text string) *colour.Spec {
	s, err := colour.ParseSpec(text)
	if err != nil {
		panic(err)
	}
	return &s
}

// lit is an entry of a level and, if not empty, a colour.
func lit(l, c string) cue.Entry {
	var e cue.Entry
	if l != "" {
		e.Level = lvl(l)
	}
	if c != "" {
		e.Colour = hue(c)
	}
	return e
}

func newWritten(motor bool) *set {
	s := newSet(motor)
	at := func(a float64) *float64 { return &a }
	s.shoot.Looks = []cue.Look{
		{Name: "dusk", Light: map[int]cue.Entry{sky: lit("", "3200 K"), strip: lit("30 %", "#ff6a1a")}},
		{Name: "torch", Light: map[int]cue.Entry{torch: lit("40 lx", "3200 K"), bulb: lit("20 %", "")}},
	}
	s.shoot.Cues = []cue.Cue{
		{
			Name: "bow", Azimuth: at(0),
			Timing: cue.Timing{Fade: &quantity.Duration{Seconds: 0.5}},
			Light: map[int]cue.Entry{
				sky: lit("40 %", ""), fine: lit("key -2 stops", "3200 K"), horizon: lit("20 %", "4300 K"), strip: lit("10 %", "5600 K"), tube: lit("-3 stops", "2700 K"),
			},
		},
		{
			Name: "beam", Azimuth: at(10), From: "bow",
			Exceptions: []cue.Exception{{Look: "dusk", Light: map[int]cue.Entry{sky: lit("20 %", "")}}},
			Light:      map[int]cue.Entry{stroke: lit("30 %", "3200 K"), strip: {Ramp: &cue.Ramp{Points: []cue.RampPoint{{At: 0, Level: lvl("5 %")}, {At: 1, Level: lvl("40 %")}}}}},
		},
		{
			Name: "stern", Azimuth: at(350),
			Cards: []cue.CardPlace{{Place: fixtures.Place{Azimuth: quantity.Degrees{Degrees: 90}, Known: true}}},
			Light: map[int]cue.Entry{sky: lit("90 %", "6500 K"), bulb: lit("50 %", "")},
		},
	}
	if faults := s.shoot.Resolve(s.renderer); slices.ContainsFunc(faults, func(f fixtures.Fault) bool { return !f.Warning }) {
		panic(fmt.Sprint(faults))
	}
	return s
}

// sway is a sweep between two lights, one turn of the table there and back.
type sway [2]colour.XYZ

func (w sway) At(azimuth float64, s *fixtures.State) {
	u := (1 - math.Cos(azimuth*math.Pi/180)) / 2
	mix := func(a, b colour.XYZ) colour.XYZ {
		return colour.XYZ{X: a.X*(1-u) + b.X*u, Y: a.Y*(1-u) + b.Y*u, Z: a.Z*(1-u) + b.Z*u}
	}
	for i := range s.Light {
		s.Cells[i] = s.Cells[i][:0]
		if i >= torch && len(s.Light) < 100 {
			s.Light[i] = colour.XYZ{}
			continue
		}
		s.Light[i] = mix(w[0], w[1])
		if i == strip && u > 0 && cap(s.Cells[i]) > 0 { // from plain light to a ramp
			s.Cells[i] = s.Cells[i][:cap(s.Cells[i])]
			for j := range s.Cells[i] {
				s.Cells[i][j] = mix(w[0], times(w[1], float64(j)/4))
			}
			s.Light[i] = fixtures.Mean(s.Cells[i])
		}
	}
}

// evenly is a motion at one speed, degrees a second.
type evenly struct {
	from, speed float64
	end         int64
}

func (m evenly) Azimuth(f int64) float64 { return m.from + m.speed*float64(min(f, m.end))/Rate }
func (m evenly) Speed(int64) float64     { return m.speed }
func (m evenly) End() int64              { return m.end }

var swaying = sway{kelvin(5600, 0.4), kelvin(3200, 0.1)}

// live is a command of any kind, drawn; its text tells a failure.
type live struct {
	k    int64
	text string
	give func(p *Player) []Notice
}

func drawLive(t *rapid.T, s *set, k int64) live {
	verb := rapid.SampledFrom([]string{
		"next", "back", "go", "hold", "resume", "dark", "dark off", "confirm", "confirm",
		"look", "look", "trim", "trim", "trim", "no trims", "alone", "without", "aim", "whole", "identify", "work", "here",
		"pace", "reload", "drive", "stream", "azimuth", "azimuth",
	}).Draw(t, "verb")
	n := len(s.shoot.Rig.Sources)
	source := rapid.IntRange(-1, n-1).Draw(t, "source")
	c := rapid.IntRange(0, len(s.shoot.Cues)-1).Draw(t, "cue")
	amount := rapid.SampledFrom([]float64{-2, -0.5, 0, 0.5, 3}).Draw(t, "amount")
	pace := rapid.SampledFrom([]float64{1 / 1.25, 1, 1.25}).Draw(t, "pace")
	on := rapid.Bool().Draw(t, "on")
	trim := lit(rapid.SampledFrom([]string{"", "off", "15 %", "60 %", "key -1 stop", "100 lx"}).Draw(t, "level"), rapid.SampledFrom([]string{"", "3200 K", "#ff6a1a"}).Draw(t, "colour"))
	set := func(how Timing, change func(l Layers) Layers) func(*Player) []Notice {
		return func(p *Player) []Notice { return p.Set(k, change(p.Layers()), how) }
	}
	look, quick := Timing{Fade: LookFade}, Timing{Fade: TrimFade}
	o := live{k: k, text: fmt.Sprintf("%d: %s source %d cue %d amount %g on %v trim %v %v", k, verb, source, c, amount, on, trim.Level, trim.Colour)}
	switch verb {
	case "look":
		o.give = set(look, func(l Layers) Layers { return l.WithLook(c%2, on) })
	case "trim":
		o.give = set(quick, func(l Layers) Layers {
			trims := map[int]cue.Entry{max(source, 0): trim}
			for i, e := range l.Trims[l.Cue] {
				if _, ok := trims[i]; !ok {
					trims[i] = e
				}
			}
			return l.WithTrims(trims)
		})
	case "no trims":
		o.give = set(quick, func(l Layers) Layers { return l.WithTrims(nil) })
	case "alone":
		o.give = set(look, func(l Layers) Layers { l.Alone = source; return l })
	case "without":
		o.give = set(look, func(l Layers) Layers { return l.WithSource(max(source, 0), on) })
	case "aim":
		o.give = set(look, func(l Layers) Layers { l.Aim = source; return l })
	case "whole":
		o.give = set(look, func(l Layers) Layers { l.Whole = amount; return l })
	case "identify":
		o.give = set(look, func(l Layers) Layers { l.Identify = source; return l })
	case "work":
		o.give = set(look, func(l Layers) Layers { l.Work = on; return l })
	case "here":
		o.give = set(look, func(l Layers) Layers { l.Here = &Here{Azimuth: amount + 20}; return l })
	case "pace":
		o.give = func(p *Player) []Notice { return p.Pace(k, pace) }
	case "reload":
		o.give = func(p *Player) []Notice { return p.Reload(k, s.shoot, s.renderer) }
	case "drive":
		o.give = func(p *Player) []Notice {
			at, _ := p.tableAt(p.own(k))
			return p.Drive(k, swaying, evenly{at, 10 * amount, 100}, look)
		}
	case "stream":
		o.give = func(p *Player) []Notice { return p.Drive(k, swaying, nil, look) }
	case "azimuth":
		o.give = func(p *Player) []Notice { return p.Azimuth(k, 10*amount) }
	default:
		o.give = order{k, verb, c}.give
	}
	return o
}

func drawLives(t *rapid.T, s *set, most int) []live {
	var k int64
	program := []live{{text: "0: go 0", give: order{0, "go", 0}.give}, {text: "0: confirm", give: order{0, "confirm", 0}.give}}
	for range rapid.IntRange(1, most).Draw(t, "commands") {
		k += rapid.SampledFrom([]int64{0, 1, 2, 5, 13, 22, 40, 90}).Draw(t, "frames later")
		program = append(program, drawLive(t, s, k))
	}
	return program
}

func drawWritten(t *rapid.T) *set { return written[rapid.IntRange(0, 1).Draw(t, "motor")]() }

// pictureOf is all of a state, to be compared.
func pictureOf(p *Player, k int64) (s *fixtures.State, st Status) {
	s = p.NewState()
	st = p.At(k, s)
	return s, st
}

// cellsOf is the light of a source, cell by cell of a strip.
func cellsOf(s *fixtures.State, layout fixtures.Layout, i int) []colour.XYZ {
	if len(s.Cells[i]) > 0 {
		return s.Cells[i]
	}
	return slices.Repeat([]colour.XYZ{s.Light[i]}, layout.Cells)
}

func offsetsOf(s *fixtures.State, layout fixtures.Layout, i int) []int {
	if len(s.Cells[i]) > 0 || layout.Cells == 1 {
		return s.Offset[i]
	}
	return spread(s.Offset[i], layout)
}

// farthest is how far apart two rows of light are in X, Y or Z.
func farthest(a, b []colour.XYZ) float64 {
	var most float64
	for j := range a {
		most = max(most, math.Abs(a[j].X-b[j].X), math.Abs(a[j].Y-b[j].Y), math.Abs(a[j].Z-b[j].Z))
	}
	return most
}

// fastest is the most of its full luminance that any light may change by in one
// frame here. The shortest fades are trims of 0.2 s, which a command may pace by
// quickest on their way; a swell is far slower.
const (
	quickest = 1.25 * 1.25
	fastest  = quickest/(TrimFade*Rate) + 1e-9
)

// Whatever is commanded, when: no light, no code and no table jumps in the frame of
// the command, and none moves faster than the shortest fade from then on.
func TestNothingJumps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawWritten(t)
		p := s.player()
		program := drawLives(t, s, 14)
		var k int64
		was, _ := pictureOf(p, 0)
		for n := range program {
			o := &program[n]
			for ; k < o.k; k++ {
				was = stepped(t, s, p, k, was)
			}
			before, _ := pictureOf(p, o.k)
			stepped(t, s, p, o.k, was)
			o.give(p)
			after, _ := pictureOf(p, o.k)
			tolerance := 0.0
			if p.pace != 1 {
				tolerance = 1e-5 // fades are cut to a millionth of a frame
			}
			for i := range s.shoot.Rig.Sources {
				layout := s.renderer.Layout(i)
				if d := farthest(cellsOf(before, layout, i), cellsOf(after, layout, i)); d > tolerance {
					t.Fatalf("%s: the light of source %d jumps by %g", o.text, i, d)
				}
				if a, b := offsetsOf(before, layout, i), offsetsOf(after, layout, i); !slices.Equal(a, b) {
					t.Fatalf("%s: the codes of source %d jump from %v to %v", o.text, i, a, b)
				}
			}
			if d := math.Abs(cue.Turn(before.Azimuth, after.Azimuth)); p.drive.motor && d > 1e-9 {
				t.Fatalf("%s: the table jumps by %g°", o.text, d)
			}
			was = after
		}
		for end := k + 150; k < end; k++ {
			was = stepped(t, s, p, k, was)
		}
	})
}

// stepped is frame k, compared with the one before.
func stepped(t *rapid.T, s *set, p *Player, k int64, was *fixtures.State) *fixtures.State {
	now, st := pictureOf(p, k)
	for i := range s.shoot.Rig.Sources {
		layout := s.renderer.Layout(i)
		a, b := cellsOf(was, layout, i), cellsOf(now, layout, i)
		if from, to := offsetsOf(was, layout, i), offsetsOf(now, layout, i); slices.Equal(a, b) && walk(from, to) > 1 {
			t.Fatalf("frame %d: source %d, whose light stands, is handed over by %d codes", k, i, walk(from, to))
		}
		for j := range a {
			if d := math.Abs(a[j].Y - b[j].Y); d > fastest {
				t.Fatalf("frame %d: cell %d of source %d steps by %g", k, j, i, d)
			}
		}
	}
	if p.drive.motor && len(p.hands) > 0 && (now.Speed != 0 || cue.Turn(was.Azimuth, now.Azimuth) != 0) && p.last < k {
		t.Fatalf("frame %d: the table turns while hands are on the set (%+v)", k, st)
	}
	return now
}

// The same layers give the same bytes once settled, by whatever way they were reached:
// so an earlier value put back, after anything, is what it was.
func TestSameLayersSameBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawWritten(t)
		p := s.player()
		seen := []Layers{}
		for _, o := range drawLives(t, s, 12) {
			o.give(p)
			if l := p.Layers(); l.Identify < 0 {
				seen = append(seen, l)
			}
		}
		back := rapid.SampledFrom(seen).Draw(t, "back to")
		k := p.last + rapid.Int64Range(0, 60).Draw(t, "frames later")
		p.Go(k, 2) // ends whatever follows the table
		p.Set(k, back, Timing{Fade: rapid.SampledFrom([]float64{0, 0.2, 1}).Draw(t, "fade")})
		got, st := s.render(p, settleRapid(t, p, k))

		direct := s.player()
		direct.Set(0, back, Timing{})
		want, stToo := s.render(direct, settleRapid(t, direct, 0))
		if st.Motion != stToo.Motion || st.Cue != stToo.Cue {
			t.Fatalf("%+v, directly %+v", st, stToo)
		}
		if back.Dark { // the table stands wherever it was
			for _, f := range [][][fixtures.UniverseSize]byte{got, want} {
				clear(f[0][40:43])
			}
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%+v by another way gives other bytes", back)
		}
		// And its light is exactly what is asked.
		state, _ := pictureOf(p, st.SettledAt)
		all, _ := p.targets(&back, p.scene, p.sentAs, lead{})
		for i := range all {
			if state.Light[i] != all[i].light {
				t.Fatalf("source %d ends at %v, asked is %v", i, state.Light[i], all[i].light)
			}
		}
	})
}

// The same commands give the same frames, asked in any order, of a clone, or
// after asking in between; and a clone's commands stay its own.
func TestLiveCommandsArePure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawWritten(t)
		program := drawLives(t, s, 10)
		p, again := s.player(), s.player()
		for _, o := range program {
			o.give(p)
		}
		for _, o := range program {
			again.At(o.k, again.NewState())
			again = again.Clone()
			o.give(again)
		}
		last := p.last
		asked := rapid.SliceOfN(rapid.Int64Range(last, last+300), 1, 12).Draw(t, "frames asked")
		var first [][][fixtures.UniverseSize]byte
		for _, k := range asked {
			frames, _ := s.render(p, k)
			first = append(first, frames)
		}
		strayed := p.Clone()
		drawLive(t, s, last).give(strayed)
		for _, q := range []*Player{p, p.Clone(), again} {
			for n := range slices.Backward(asked) {
				if frames, _ := s.render(q, asked[n]); !slices.Equal(frames, first[n]) {
					t.Fatalf("frame %d is not what it was", asked[n])
				}
			}
		}
	})
}
