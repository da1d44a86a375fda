package dial_test

import (
	"fmt"
	"os"
	"strings"

	"limn/cmd/internal/dial"
	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

func ExampleText() {
	shoot := &cue.Shoot{
		Rig:       &fixtures.Rig{Sources: []fixtures.Source{{Name: "sky", Role: fixtures.Key}, {Name: "left stroke", Role: fixtures.Edge}}},
		Turntable: cue.Turntable{Hand: true},
		Camera:    cue.Camera{White: colour.White{Kelvin: 5600}},
		Resolved: []cue.Resolved{
			{Name: "bow", Azimuth: 35, HasAngle: true, Light: []cue.Light{{KeyStops: 0}, {KeyStops: -2}}},
			{Name: "beam", Azimuth: 80, HasAngle: true, Light: make([]cue.Light, 2)},
		},
	}
	white := shoot.Camera.White.XY()
	snap := &cue.Snapshot{
		Cue: 0, CueName: "bow", Next: 1, Motion: cue.Settled, Azimuth: 35, Alone: -1, Aim: -1, Identify: -1,
		Sources: []cue.SourceSnapshot{
			{Asked: white.XYZ(0.5), Reached: white.XYZ(0.5), Headroom: 1},
			{Asked: white.XYZ(0.2), Reached: white.XYZ(0.2), KeyStops: -2, Headroom: 2.3},
		},
	}
	fmt.Println(dial.Text(shoot, snap, 50, 8, false))
	// Output:
	// bow                                    ● settled
	//  bow, 35°
	//  Next: turn to 80°: beam
	//    turn the model counter-clockwise 45: bow goes…
	//  ↘ 35° now   → 80° next
	//  sky         ╵·╵·╵·╵·╵·╵·▼▒▒·╵     key
	//  left stroke ╵·╵·╵·╵·▼▒▒▒▒▒╵·╵      −2
}

func ExampleSVG() {
	shoot := &cue.Shoot{Rig: &fixtures.Rig{}, Subject: cue.Subject{Name: "Kittiwake"}}
	snap := &cue.Snapshot{Cue: -1, CueName: "bow", Next: -1, Motion: cue.Settled, Alone: -1, Aim: -1, Identify: -1}
	var svg strings.Builder
	if err := dial.SVG(&svg, shoot, snap, dial.Options{Theme: dial.Ink, Width: 390}); err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	for _, line := range strings.Split(svg.String(), "\n")[1:2] {
		fmt.Println(line)
	}
	// Output:
	// <title id="dial-title">Kittiwake: bow, settled</title>
}
