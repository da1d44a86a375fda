package cue_test

import (
	"fmt"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
)

// A lamp that is one white emitter, so that 100 % is Y = 1.
func lamp() *fixtures.Profile {
	return &fixtures.Profile{
		Name:     "lamp",
		Emitters: []fixtures.Emitter{{Name: "white", XY: colour.White{Kelvin: 5600}.XY(), Flux: 1000, Response: mix.Linear()}},
		Slots:    []fixtures.Slot{{Kind: fixtures.SlotEmitter, At: 1}},
	}
}

func level(text string) *cue.Level {
	l, err := cue.ParseLevel(text)
	if err != nil {
		panic(err)
	}
	return &l
}

func ExampleShoot_Resolve() {
	shoot := &cue.Shoot{
		Camera: cue.Camera{White: colour.White{Kelvin: 5600}},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{
			{Name: "sky", Role: fixtures.Key, Profile: lamp(), Universe: 1, Addresses: []int{1}, Full: 2000},
			{Name: "fill", Role: fixtures.Fill, Profile: lamp(), Universe: 1, Addresses: []int{2}, Full: 800},
		}},
		Cues: []cue.Cue{
			{Name: "bow", Light: map[int]cue.Entry{0: {Level: level("80 %")}, 1: {Level: level("key -2 stops")}}},
			{Name: "stern", From: "bow", Light: map[int]cue.Entry{0: {Level: level("-1 stop")}}},
		},
	}
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, fault := range shoot.Resolve(renderer) {
		fmt.Println(fault)
	}
	for _, r := range shoot.Resolved {
		for i, l := range r.Light {
			fmt.Printf("%s: %s at %s is %.0f lx\n", r.Name, shoot.Rig.Sources[i].Name, l.Level, l.Lux)
		}
	}
	// Output:
	// bow: sky at 80 % is 1600 lx
	// bow: fill at key -2 stops is 400 lx
	// stern: sky at -1 stop is 1000 lx
	// stern: fill at key -2 stops is 250 lx
}

func ExampleShoot_Hands() {
	shoot := &cue.Shoot{
		Turntable: cue.Turntable{Hand: true},
		Rig:       &fixtures.Rig{},
		Cards:     []cue.Card{{Name: "bow white", Kind: cue.CardWhite}},
	}
	bow := &cue.Resolved{Azimuth: 35, HasAngle: true, Cards: []cue.CardPlace{{Card: 0}}}
	beam := &cue.Resolved{Azimuth: 80, HasAngle: true}
	for _, prompt := range shoot.Hands(bow, beam) {
		fmt.Println(prompt)
	}
	// Output:
	// take away bow white
	// turn the model from 35° to 80°, counter-clockwise 45: bow goes camera right
}

// Trims are laid over a cue that stays as it is written; what counts from the key
// follows a trim of the key.
func ExampleShoot_Compose() {
	shoot := &cue.Shoot{
		Camera: cue.Camera{White: colour.White{Kelvin: 5600}},
		Rig: &fixtures.Rig{Sources: []fixtures.Source{
			{Name: "sky", Role: fixtures.Key, Profile: lamp(), Universe: 1, Addresses: []int{1}, Full: 2000},
			{Name: "fill", Role: fixtures.Fill, Profile: lamp(), Universe: 1, Addresses: []int{2}, Full: 800},
		}},
		Cues: []cue.Cue{{Name: "bow", Light: map[int]cue.Entry{0: {Level: level("80 %")}, 1: {Level: level("key -2 stops")}}}},
	}
	renderer, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	shoot.Resolve(renderer)
	trimmed, short := shoot.Compose(renderer, 0, &cue.Over{Trims: map[int]cue.Entry{
		0: {Level: level("-1 stop")},
		1: {Level: level("key -1 stop")},
	}})
	for i, l := range trimmed.Light {
		fmt.Printf("%s at %s is %.0f lx\n", shoot.Rig.Sources[i].Name, l.Level, l.Lux)
	}
	fmt.Println(len(short), "sources fall short; together", trimmed.TotalLux().Lux, "lx")
	// Output:
	// sky at -1 stop is 1000 lx
	// fill at key -1 stop is 500 lx
	// 0 sources fall short; together 1500 lx
}
