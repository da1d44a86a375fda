package timeline

import (
	"fmt"
	"sync"
	"testing"

	"limn/cue"
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"

	"pgregory.net/rapid"
)

// The set that tests play on: one light of each kind that lands differently, a
// torch by hand, a card, and a table turned by hand or by a motor.
const (
	sky     = iota // 8-bit RGBW: lands far from the moving rule
	fine           // 16-bit RGBW
	horizon        // 8-bit bi-colour, with a master dimmer
	stroke         // dimmer and colour temperature, mixed by the light itself; a fixed slot
	bulb           // one 8-bit dimmer with a dim floor
	strip          // 8-bit RGB in five cells
	tube           // 8-bit RGBW in four cells under a master dimmer
	torch          // by hand
	table          // the motor, where there is one
)

// Chromaticities are typical of the trade; flux is round.
var (
	red   = fixtures.Emitter{Name: "red", XY: colour.XY{X: 0.69, Y: 0.31}, Flux: 280, Response: mix.Linear()}
	green = fixtures.Emitter{Name: "green", XY: colour.XY{X: 0.17, Y: 0.70}, Flux: 620, Response: mix.Linear()}
	blue  = fixtures.Emitter{Name: "blue", XY: colour.XY{X: 0.15, Y: 0.05}, Flux: 100, Response: mix.Linear()}
	white = fixtures.Emitter{Name: "white", XY: colour.XY{X: 0.3302, Y: 0.3430}, Flux: 900, Response: mix.Linear()}
	warm  = fixtures.Emitter{Name: "warm", XY: colour.XY{X: 0.4599, Y: 0.4106}, Flux: 800, Response: mix.Linear()}
)

// fixedAt is a slot of stroke that must always hold fixedValue.
const fixedAt, fixedValue = 33, 77

func emitterSlot(i, at, fineAt int) fixtures.Slot {
	return fixtures.Slot{Kind: fixtures.SlotEmitter, Emitter: i, At: at, Fine: fineAt}
}

func rig(motor bool) *fixtures.Rig {
	rgbw := []fixtures.Emitter{red, green, blue, white}
	r := &fixtures.Rig{Sources: []fixtures.Source{
		sky: {
			Name: "sky", Role: fixtures.Key, Universe: 1, Addresses: []int{1}, Full: 1850, Settle: 0.1,
			Profile: &fixtures.Profile{Name: "rgbw", Emitters: rgbw, Slots: []fixtures.Slot{
				emitterSlot(0, 1, 0), emitterSlot(1, 2, 0), emitterSlot(2, 3, 0), emitterSlot(3, 4, 0),
			}},
		},
		fine: {
			Name: "fine", Role: fixtures.Fill, Universe: 1, Addresses: []int{11}, Full: 900,
			Profile: &fixtures.Profile{Name: "rgbw-16", Emitters: rgbw, Slots: []fixtures.Slot{
				emitterSlot(0, 1, 2), emitterSlot(1, 3, 4), emitterSlot(2, 5, 6), emitterSlot(3, 7, 8),
			}},
		},
		horizon: {
			Name: "horizon", Role: fixtures.Background, Universe: 1, Addresses: []int{21}, Full: 700,
			Profile: &fixtures.Profile{Name: "bicolour", Settle: 0.3, Emitters: []fixtures.Emitter{warm, white}, Slots: []fixtures.Slot{
				{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Linear()}, emitterSlot(0, 2, 0), emitterSlot(1, 3, 0),
			}},
		},
		stroke: {
			Name: "stroke", Role: fixtures.Edge, Universe: 1, Addresses: []int{31}, Full: 700,
			Profile: &fixtures.Profile{Name: "cct", Emitters: []fixtures.Emitter{warm, white}, Slots: []fixtures.Slot{
				{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Square()},
				{Kind: fixtures.SlotCCT, At: 2, From: 2700, To: 5600, Law: fixtures.KelvinLaw},
				{Kind: fixtures.SlotFixed, At: 3, Value: fixedValue, Note: "strobe off"},
			}},
		},
		bulb: {
			Name: "bulb", Role: fixtures.Accent, Universe: 7, Addresses: []int{1}, Full: 120,
			Profile: &fixtures.Profile{Name: "dimmer", Emitters: []fixtures.Emitter{warm}, Slots: []fixtures.Slot{
				{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Linear(), Floor: 3},
			}},
		},
		strip: {
			Name: "strip", Role: fixtures.Background, Universe: 7, Addresses: []int{11}, Full: 300,
			Profile: &fixtures.Profile{Name: "strip", Cells: 5, Stride: 3, Emitters: []fixtures.Emitter{red, green, blue}, Slots: []fixtures.Slot{
				emitterSlot(0, 1, 0), emitterSlot(1, 2, 0), emitterSlot(2, 3, 0),
			}},
		},
		tube: {
			Name: "tube", Role: fixtures.Accent, Universe: 7, Addresses: []int{31}, Full: 400, Settle: 0.2,
			Profile: &fixtures.Profile{Name: "tube", Cells: 4, Stride: 4, Emitters: rgbw, Slots: []fixtures.Slot{
				{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Linear()},
				emitterSlot(0, 2, 0), emitterSlot(1, 3, 0), emitterSlot(2, 4, 0), emitterSlot(3, 5, 0),
			}},
		},
		torch: {Name: "torch", Role: fixtures.Accent, Hand: true, Full: 50},
	}}
	if motor {
		r.Sources = append(r.Sources, fixtures.Source{
			Name: "table", Universe: 1, Addresses: []int{41}, Settle: 0.5,
			Profile: &fixtures.Profile{Name: "motor", Slots: []fixtures.Slot{
				{Kind: fixtures.SlotAzimuth, At: 1, Fine: 2, To: 360},
				{Kind: fixtures.SlotSpeed, At: 3, From: -30, To: 30, Value: 128},
			}},
		})
	}
	return r
}

var studioWhite = colour.White{Kelvin: 5600}

func kelvin(k, y float64) colour.XYZ { return colour.White{Kelvin: k}.XY().XYZ(y) }

// A set is a shoot with its renderer.
type set struct {
	shoot    *cue.Shoot
	renderer *fixtures.Renderer
	landings *landings
}

// sets are made once: what lands where is then worked out once for all tests.
var sets = [2]func() *set{
	sync.OnceValue(func() *set { return newSet(false) }),
	sync.OnceValue(func() *set { return newSet(true) }),
}

func newSet(motor bool) *set {
	shoot := &cue.Shoot{
		Rig:       rig(motor),
		Camera:    cue.Camera{White: studioWhite},
		Turntable: cue.Turntable{Hand: !motor},
		Cards:     []cue.Card{{Name: "keel black", Kind: cue.CardBlack}},
	}
	if motor {
		shoot.Turntable.Drive = "table"
	}
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		panic(err)
	}
	return &set{shoot, r, newLandings(r)}
}

// with is the set with these cues; what lands is shared.
func (s *set) with(cues ...cue.Resolved) *set {
	shoot := *s.shoot
	shoot.Resolved = cues
	shoot.Cues = make([]cue.Cue, len(cues))
	for i := range cues {
		cues[i].Name = fmt.Sprintf("cue %d", i+1)
		shoot.Cues[i].Name = cues[i].Name
	}
	return &set{&shoot, s.renderer, s.landings}
}

func (s *set) player() *Player {
	p := New(s.shoot, s.renderer)
	p.landings = s.landings
	return p
}

// frames makes room for one frame of each universe.
func (s *set) frames() [][fixtures.UniverseSize]byte {
	return make([][fixtures.UniverseSize]byte, len(s.renderer.Universes()))
}

// render is the slots of frame k.
func (s *set) render(p *Player, k int64) ([][fixtures.UniverseSize]byte, Status) {
	state := p.NewState()
	st := p.At(k, state)
	frames := s.frames()
	s.renderer.Render(state, frames)
	return frames, st
}

// lights are what sources are asked in tests: few, so that each is landed once.
// The 5600 K ones come first, at falling levels.
var lights = []colour.XYZ{
	kelvin(5600, 0.40), kelvin(5600, 0.20), kelvin(5600, 0.02),
	kelvin(3200, 0.30), kelvin(2700, 0.05), kelvin(6500, 0.15),
	colour.White{Kelvin: 4300, Duv: -0.01}.XY().XYZ(0.1),
	colour.XY{X: 0.55, Y: 0.38}.XYZ(0.08), colour.XY{X: 0.20, Y: 0.15}.XYZ(0.03),
	colour.XY{X: 0.70, Y: 0.29}.XYZ(0.12), // beyond what any of them can make
	{},
	{},
}

// ramps are what strips are asked in tests beside plain light, by their number of
// cells: from one of the lights to another, with a dark end among them.
var ramps = map[int][][]colour.XYZ{
	4: {ramp(4, lights[0], lights[3]), ramp(4, lights[8], lights[2]), ramp(4, colour.XYZ{}, lights[1])},
	5: {ramp(5, lights[0], lights[3]), ramp(5, lights[7], colour.XYZ{}), ramp(5, lights[5], lights[9])},
}

func ramp(n int, from, to colour.XYZ) []colour.XYZ {
	f := fade.New(fade.Linear, fade.Auto, from, to, studioWhite.XY().UV())
	cells := make([]colour.XYZ, n)
	for i := range cells {
		cells[i] = f.At(float64(i) / float64(n-1))
	}
	return cells
}

// light is one source's share of a cue: faded evenly, without a delay.
func light(asked colour.XYZ, fade float64) cue.Light {
	return cue.Light{Level: "50 %", Colour: "5600 K", Asked: asked, Fade: fade}
}

// plain is a cue that asks the same of all lights.
func (s *set) plain(asked colour.XYZ, fade float64) cue.Resolved {
	r := cue.Resolved{Light: make([]cue.Light, len(s.shoot.Rig.Sources))}
	for i := range r.Light {
		if i < torch {
			r.Light[i] = light(asked, fade)
		}
	}
	return r
}

func drawCue(t *rapid.T, s *set, label string) cue.Resolved {
	r := cue.Resolved{Light: make([]cue.Light, len(s.shoot.Rig.Sources))}
	for i := range r.Light {
		r.Light[i] = cue.Light{
			Level:  "50 %",
			Colour: "5600 K",
			Asked:  rapid.SampledFrom(lights).Draw(t, label+" light"),
			Fade:   rapid.SampledFrom([]float64{0, 0.01, 0.2, 0.5, 1, 2}).Draw(t, label+" fade"),
			Delay:  rapid.SampledFrom([]float64{0, 0, 0.03, 0.25, 0.7}).Draw(t, label+" delay"),
			Curve:  rapid.SampledFrom([]fade.Curve{fade.Linear, fade.Ease, fade.Stops}).Draw(t, label+" curve"),
			Path:   rapid.SampledFrom([]fade.Path{fade.Auto, fade.White, fade.Straight, fade.Around, fade.Glow}).Draw(t, label+" path"),
		}
		if i == table {
			r.Light[i].Asked = colour.XYZ{}
		}
		if i == strip || i == tube {
			if k := rapid.IntRange(-2, 2).Draw(t, label+" ramp"); k >= 0 {
				r.Light[i].Cells = ramps[s.renderer.Layout(i).Cells][k]
				r.Light[i].Asked = fixtures.Mean(r.Light[i].Cells)
			}
		}
	}
	r.Azimuth = rapid.SampledFrom([]float64{0, 3, 10, 350, 355}).Draw(t, label+" azimuth")
	r.HasAngle = rapid.IntRange(0, 9).Draw(t, label+" angle") > 0
	if rapid.Bool().Draw(t, label+" card") {
		r.Cards = []cue.CardPlace{{Place: fixtures.Place{
			Azimuth:  quantity.Degrees{Degrees: rapid.SampledFrom([]float64{90, 270}).Draw(t, label+" card azimuth")},
			Distance: quantity.Length{Metres: 0.22},
			Known:    true,
		}}}
	}
	return r
}

// drawSet is a small random shoot.
func drawSet(t *rapid.T) *set {
	s := sets[rapid.IntRange(0, 1).Draw(t, "motor")]()
	cues := make([]cue.Resolved, rapid.IntRange(1, 4).Draw(t, "cues"))
	for i := range cues {
		cues[i] = drawCue(t, s, "cue")
	}
	return s.with(cues...)
}

// An order is a command of a program and its frame.
type order struct {
	k    int64
	verb string
	cue  int
}

func (o order) String() string { return fmt.Sprintf("%d:%s %d", o.k, o.verb, o.cue) }

func (o order) give(p *Player) []Notice {
	switch o.verb {
	case "next":
		return p.Next(o.k)
	case "back":
		return p.Back(o.k)
	case "go":
		return p.Go(o.k, o.cue)
	case "hold":
		return p.Hold(o.k)
	case "resume":
		return p.Resume(o.k)
	case "dark":
		return p.Dark(o.k)
	case "dark off":
		return p.DarkOff(o.k)
	case "confirm":
		return p.Confirm(o.k)
	}
	panic("no such order: " + o.verb)
}

// drawProgram is any orders at any times, close upon each other or not.
func drawProgram(t *rapid.T, s *set, most int) []order {
	verbs := []string{"next", "next", "back", "go", "go", "hold", "resume", "dark", "dark off", "confirm", "confirm"}
	program := make([]order, rapid.IntRange(1, most).Draw(t, "orders"))
	var k int64
	for i := range program {
		k += rapid.SampledFrom([]int64{0, 1, 2, 5, 13, 22, 40, 90, 180}).Draw(t, "frames later")
		program[i] = order{
			k:    k,
			verb: rapid.SampledFrom(verbs).Draw(t, "verb"),
			cue:  rapid.IntRange(0, len(s.shoot.Resolved)-1).Draw(t, "cue"),
		}
	}
	return program
}

// settle does what hands must do and returns the first settled frame.
func settle(t testing.TB, p *Player, k int64) int64 {
	t.Helper()
	p.Resume(k)
	p.Confirm(k)
	st := p.At(k, p.NewState())
	if st.SettledAt < 0 {
		t.Fatalf("nothing is left to do, and yet it will not settle: %+v", st)
	}
	return max(st.SettledAt, k)
}
