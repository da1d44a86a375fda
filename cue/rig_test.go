package cue

import (
	"math"
	"testing"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
)

// A rig whose most light can be told by hand: the key is a plain white panel,
// the strip has three colours, the torch no control.
const (
	testKey   = 0
	testPanel = 1
	testStrip = 2
	testTorch = 3
)

var (
	warm  = colour.White{Kelvin: 2700}.XY()
	cool  = colour.White{Kelvin: 6500}.XY()
	noon  = colour.White{Kelvin: 5600}.XY()
	red   = colour.XY{X: 0.69, Y: 0.31}
	green = colour.XY{X: 0.19, Y: 0.72}
	blue  = colour.XY{X: 0.14, Y: 0.05}
)

// emitters is a profile with a 16-bit slot for each emitter.
func emitters(name string, flux []float64, at ...colour.XY) *fixtures.Profile {
	p := &fixtures.Profile{Name: name}
	for i, xy := range at {
		e := fixtures.Emitter{Name: string(rune('a' + i)), XY: xy, Flux: flux[i], Response: mix.Linear()}
		p.Emitters = append(p.Emitters, e)
		p.Slots = append(p.Slots, fixtures.Slot{Kind: fixtures.SlotEmitter, At: 2*i + 1, Fine: 2*i + 2, Emitter: i})
	}
	return p
}

func testRig() *fixtures.Rig {
	return &fixtures.Rig{Sources: []fixtures.Source{
		testKey: {
			Name: "key", Role: fixtures.Key, Profile: emitters("white", []float64{1000}, noon),
			Universe: 1, Addresses: []int{1}, Full: 2000,
		},
		testPanel: {
			Name: "panel", Role: fixtures.Fill, Profile: emitters("bicolour", []float64{1000, 1000}, warm, cool),
			Universe: 1, Addresses: []int{11}, Full: 1600,
		},
		testStrip: {
			Name: "strip", Role: fixtures.Background, Profile: emitters("rgb", []float64{220, 490, 80}, red, green, blue),
			Universe: 1, Addresses: []int{21}, Full: 400,
		},
		testTorch: {Name: "torch", Hand: true, Full: 250},
	}}
}

func testShoot(cues ...Cue) *Shoot {
	return &Shoot{
		Rig:       testRig(),
		Camera:    Camera{White: colour.White{Kelvin: 5600}},
		Turntable: Turntable{Hand: true},
		Cues:      cues,
	}
}

// resolve resolves a shoot against its own rig and expects no error.
func resolve(t testing.TB, s *Shoot) []fixtures.Fault {
	t.Helper()
	faults := s.Resolve(renderer(t, s))
	for _, f := range faults {
		if !f.Warning {
			t.Fatalf("unexpected: %s", f)
		}
	}
	return faults
}

func renderer(t testing.TB, s *Shoot) *fixtures.Renderer {
	t.Helper()
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func level(text string) *Level {
	l, err := ParseLevel(text)
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

func seconds(s float64) *quantity.Duration { return &quantity.Duration{Seconds: s} }

func change(s float64) *quantity.Stops { return &quantity.Stops{Stops: s} }

func at35() *float64 { a := 35.0; return &a }

// lit is an entry of a level and, if not empty, a colour.
func lit(l, c string) Entry {
	e := Entry{}
	if l != "" {
		e.Level = level(l)
	}
	if c != "" {
		e.Colour = hue(c)
	}
	return e
}

// near compares lights and figures: sums of a handful of products and quotients
// of numbers near one differ by a few units in the last place.
func near(a, b float64) bool {
	return a == b || math.Abs(a-b) <= 1e-12*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
}
