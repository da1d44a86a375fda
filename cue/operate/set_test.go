package operate_test

import (
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// Sources of the set that tests play on.
const (
	sky = iota
	bulb
	torch
)

var white = colour.White{Kelvin: 5600}

// shoot is a table turned by hand, two lights and a torch, and cues of the
// given names: each dimmer than the one before, at angles 10° apart.
func shoot(names ...string) *cue.Shoot {
	warm := fixtures.Emitter{Name: "warm", XY: colour.XY{X: 0.4599, Y: 0.4106}, Flux: 800, Response: mix.Linear()}
	cool := fixtures.Emitter{Name: "cool", XY: colour.XY{X: 0.3302, Y: 0.3430}, Flux: 900, Response: mix.Linear()}
	s := &cue.Shoot{
		Camera:    cue.Camera{White: white},
		Turntable: cue.Turntable{Hand: true},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{
			sky: {
				Name: "sky", Role: fixtures.Key, Universe: 1, Addresses: []int{1}, Full: 1000,
				Profile: &fixtures.Profile{Name: "cct", Emitters: []fixtures.Emitter{warm, cool}, Slots: []fixtures.Slot{
					{Kind: fixtures.SlotDimmer, At: 1, Fine: 2, Response: mix.Linear()},
					{Kind: fixtures.SlotCCT, At: 3, From: 2700, To: 5600},
				}},
			},
			bulb: {
				Name: "bulb", Role: fixtures.Fill, Universe: 4, Addresses: []int{100}, Full: 250, Settle: 0.25,
				Profile: &fixtures.Profile{Name: "dimmer", Emitters: []fixtures.Emitter{warm}, Slots: []fixtures.Slot{
					{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Linear()},
				}},
			},
			torch: {Name: "torch", Role: fixtures.Accent, Hand: true},
		}},
	}
	for i, name := range names {
		y := 0.5 / float64(1+i)
		s.Cues = append(s.Cues, cue.Cue{Name: name})
		s.Resolved = append(s.Resolved, cue.Resolved{
			Name: name, HasAngle: true, Azimuth: float64(10 * i),
			Light: []cue.Light{
				sky:   {Asked: white.XY().XYZ(y), Fade: 1},
				bulb:  {Asked: warm.XY.XYZ(y), Fade: 0.5, Delay: 0.25},
				torch: {},
			},
		})
	}
	return s
}

// frames makes room for a frame of each universe.
func frames(n int) [][fixtures.UniverseSize]byte { return make([][fixtures.UniverseSize]byte, n) }
