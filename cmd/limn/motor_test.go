package main

import (
	"math"
	"strings"
	"testing"

	"limn/cue/journal"
	"limn/dmx"
)

// A motor table in run: nothing moves before somebody has said where it stands and that it may; then it turns
// as fast as the files say, arrives exactly, and a moving shot goes through its marks with the light following.
func TestMotorTable(t *testing.T) {
	noLeak(t)
	b := newBand(t)
	dir := shootWith(t, artNetTo(b.address, "leave"))
	edit(t, dir, "rig.toml", "", `
[turntable]
drive = "table"
speed = "20 deg/s"
ramp = "0.2 s"
backlash = "1 deg"

[[source]]
name = "table"
profile = "motor-turntable"
universe = 1
address = 21
`)
	edit(t, dir, "cues.toml", `name = "bow"`, "name = \"bow\"\nangle = 10")
	edit(t, dir, "cues.toml", `name = "beam"`, "name = \"beam\"\nangle = 30")
	edit(t, dir, "cues.toml", "", `
[[sequence]]
name = "turn"
by = "angle"
drive = "motor"
speed = "10 deg/s"
from = 10
to = 30
pre-roll = "0.3 s"
return = true
steps = [{ cue = "bow" }, { cue = "beam" }]
`)
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	n := -1
	waits := func(words string) {
		t.Helper()
		_, n = desk.out.line(t, n+1, words, func(l string) bool { return strings.Contains(l, words) })
	}
	desk.typed("next")
	waits("put the bow toward the camera (0°); once you confirm, the table turns to 10°: keep fingers and cables clear")
	for _, f := range b.take() {
		if a := tableAt(f); a != 0 {
			t.Fatalf("the table is told %g° before anybody confirmed", a)
		}
	}
	desk.typed("confirm")
	waits("bow: settled")
	turns(t, "to bow", b.take(), 0, 10, 20)
	desk.typed("play turn")
	waits("the table moves to the first mark: keep fingers and cables clear; confirm")
	if frames := b.take(); len(frames) > 0 && tableAt(frames[len(frames)-1]) != tableAt(frames[0]) {
		t.Error("the table moves before it may")
	}
	desk.typed("confirm")
	waits("take 1: rolling?")
	b.take()
	desk.typed("rolling")
	waits("the end is held; cut?")
	run := b.take()
	turns(t, "the shot", run, tableAt(run[0]), tableAt(run[len(run)-1]), 10)
	if a := tableAt(run[len(run)-1]); a < 29.9 {
		t.Errorf("it ends at %g°", a)
	}
	// The light follows: sky goes down from bow to beam, and never up but for the code that rounding may take.
	for i := 1; i < len(run); i++ {
		if tableAt(run[i-1]) >= 10 && sky(run[i]) > sky(run[i-1])+1 {
			t.Errorf("sky goes up at %g°: %d, %d", tableAt(run[i]), sky(run[i-1]), sky(run[i]))
			break
		}
	}
	if sky(run[0]) <= sky(run[len(run)-1]) {
		t.Error("sky does not follow the table")
	}
	desk.typed("cut")
	waits("the table moves back to the first mark: keep fingers and cables clear; confirm")
	desk.typed("confirm")
	waits("the shot is over; say again for another take")
	if back := b.take(); math.Abs(tableAt(back[len(back)-1])-10) > 10 {
		t.Errorf("it came back to %g°", tableAt(back[len(back)-1]))
	}
	desk.typed("quit")
	desk.wait()
	if len(entries(t, dir, journal.KindAzimuth)) > 0 {
		t.Error("a table that is driven from here has its angles from the commands")
	}
	takes := entries(t, dir, journal.KindCapture)
	if len(takes) != 1 || takes[0].Capture.Image != "turn, take 1" || takes[0].Capture.Take != 1 {
		t.Errorf("the log has the takes %v", takes)
	}
	replays(t, dir)
}

// tableAt is the azimuth that a frame tells the table.
func tableAt(f dmx.Frame) float64 { return float64(int(f[20])<<8|int(f[21])) / 65535 * 360 }

// sky is the light of sky's warm emitter.
func sky(f dmx.Frame) int { return int(f[0])<<8 | int(f[1]) }

// turns checks that frames turn the table from one azimuth to another, no faster than so many degrees a second.
func turns(t *testing.T, what string, frames []dmx.Frame, from, to, speed float64) {
	t.Helper()
	if len(frames) < 10 {
		t.Fatalf("%s: %d frames", what, len(frames))
	}
	if got := tableAt(frames[len(frames)-1]); math.Abs(got-to) > 360.0/65535 {
		t.Errorf("%s: it ends at %g°, not at %g°", what, got, to)
	}
	for i := 1; i < len(frames); i++ {
		// A frame that this machine was too busy for makes one step of two.
		if step := math.Abs(tableAt(frames[i]) - tableAt(frames[i-1])); step > 4*speed/44 {
			t.Errorf("%s: a step of %g° from one frame to the next", what, step)
		}
	}
	if from >= to {
		t.Errorf("%s: from %g° to %g°", what, from, to)
	}
}
