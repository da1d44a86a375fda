package timeline_test

import (
	"fmt"

	"limn/cue"
	"limn/cue/timeline"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// A lantern that cue "dusk" raises in a second, played from frame 0; then a
// command in the middle of it.
func ExamplePlayer() {
	amber := fixtures.Emitter{Name: "amber", XY: colour.XY{X: 0.57, Y: 0.42}, Flux: 100, Response: mix.Linear()}
	shoot := &cue.Shoot{
		Camera: cue.Camera{White: colour.White{Kelvin: 5600}},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{{
			Name: "lantern", Role: fixtures.Accent, Universe: 1, Addresses: []int{1},
			Profile: &fixtures.Profile{
				Name: "dimmer", Emitters: []fixtures.Emitter{amber},
				Slots: []fixtures.Slot{{Kind: fixtures.SlotDimmer, At: 1, Response: mix.Linear()}},
			},
		}}},
		Resolved: []cue.Resolved{{Name: "dusk", Light: []cue.Light{{Asked: amber.XY.XYZ(0.8), Fade: 1}}}},
	}
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	player := timeline.New(shoot, renderer)
	state := player.NewState()
	tell := func(k int64) {
		st := player.At(k, state)
		fmt.Printf("frame %3d: %-7s Y %.2f\n", k, st.Motion, state.Light[0].Y)
	}

	player.Next(0)
	tell(0)
	tell(22)
	tell(44)
	player.Dark(100)
	tell(111)
	player.DarkOff(111) // from the light of that instant
	tell(111)
	tell(155)
	for _, n := range player.Next(200) {
		fmt.Println(n.Text)
	}
	// Output:
	// frame   0: fading  Y 0.00
	// frame  22: fading  Y 0.40
	// frame  44: settled Y 0.80
	// frame 111: fading  Y 0.60
	// frame 111: fading  Y 0.60
	// frame 155: settled Y 0.80
	// "dusk" is the last cue; it stays
}

// A trim is other layers; its undo is the layers there were.
func ExamplePlayer_Set() {
	white := fixtures.Emitter{Name: "white", XY: colour.White{Kelvin: 5600}.XY(), Flux: 1000, Response: mix.Linear()}
	level := func(text string) *cue.Level {
		l, err := cue.ParseLevel(text)
		if err != nil {
			panic(err)
		}
		return &l
	}
	shoot := &cue.Shoot{
		Camera: cue.Camera{White: colour.White{Kelvin: 5600}},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{{
			Name: "sky", Role: fixtures.Key, Universe: 1, Addresses: []int{1},
			Profile: &fixtures.Profile{
				Name: "panel", Emitters: []fixtures.Emitter{white},
				Slots: []fixtures.Slot{{Kind: fixtures.SlotEmitter, At: 1, Fine: 2}},
			},
		}}},
		Cues: []cue.Cue{{Name: "bow", Light: map[int]cue.Entry{0: {Level: level("80 %")}}}},
	}
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	shoot.Resolve(renderer)
	player := timeline.New(shoot, renderer)
	state := player.NewState()
	tell := func(k int64) {
		player.At(k, state)
		fmt.Printf("frame %3d: Y %.2f, %s kept, %s now\n", k, state.Light[0].Y, shoot.Resolved[0].Light[0].Level, player.Scene().Light[0].Level)
	}

	player.Next(0)
	kept := player.Layers()
	trim := timeline.Timing{Fade: timeline.TrimFade}
	player.Set(200, kept.WithTrims(map[int]cue.Entry{0: {Level: level("60 %")}}), trim)
	tell(200)
	tell(209)
	player.Set(300, kept, trim)
	tell(309)
	// Output:
	// frame 200: Y 0.80, 80 % kept, 60 % now
	// frame 209: Y 0.60, 80 % kept, 60 % now
	// frame 309: Y 0.80, 80 % kept, 80 % now
}
