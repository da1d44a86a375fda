package main

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// A run that broke off while a motor table turned does not turn it by itself when it is taken
// up: the table stands where it was last told to be, the light stays, and it goes on at a word.
func TestATakenUpRunNeverTurnsTheTable(t *testing.T) {
	if testing.Short() {
		t.Skip("starts processes")
	}
	b := newBand(t)
	dir := shootWith(t, artNetTo(b.address, "leave"))
	edit(t, dir, "rig.toml", "", `
[turntable]
drive = "table"
speed = "5 deg/s"

[[source]]
name = "table"
profile = "motor-turntable"
universe = 1
address = 21
`)
	edit(t, dir, "cues.toml", `name = "bow"`, "name = \"bow\"\nangle = 5")
	edit(t, dir, "cues.toml", `name = "beam"`, "name = \"beam\"\nangle = 40")
	p := startTyping(t, "run", dir)
	p.err.says(t, "nothing is sent before the first command")
	fmt.Fprintln(p.in, "next")
	p.out.says(t, "put the bow toward the camera")
	fmt.Fprintln(p.in, "confirm")
	p.out.says(t, "bow: settled")
	fmt.Fprintln(p.in, "go beam")
	turning := time.After(patience)
	for at := 0.0; at < 15; {
		select {
		case <-turning:
			t.Fatalf("the table only comes to %g°", at)
		case <-time.After(10 * time.Millisecond):
		}
		if frames := b.take(); len(frames) > 0 {
			at = tableAt(frames[len(frames)-1])
		}
	}
	p.Process.Kill()
	p.ended()
	b.take()

	desk := startTyping(t, "run", dir)
	desk.err.says(t, "the table was turning, so the run is held")
	desk.out.says(t, "beam: held")
	<-time.After(500 * time.Millisecond) // long enough for 2.5° at its speed
	frames := b.take()
	if len(frames) == 0 {
		t.Fatal("nothing is sent")
	}
	stood := tableAt(frames[0])
	if stood < 12 || stood > 39 {
		t.Errorf("the table stands at %g°, want where it was last told to be", stood)
	}
	for _, f := range frames {
		if math.Abs(tableAt(f)-stood) > 0.01 {
			t.Fatalf("the table goes from %g° to %g° by itself", stood, tableAt(f))
		}
	}
	fmt.Fprintln(desk.in, "resume")
	desk.out.says(t, "beam: settled")
	frames = b.take()
	if at := tableAt(frames[len(frames)-1]); math.Abs(at-40) > 0.1 {
		t.Errorf("the table stands at %g°, want 40", at)
	}
	fmt.Fprintln(desk.in, "quit")
	if st := desk.ended(); st.ExitStatus() != statusDone {
		t.Errorf("status %v\n%s", st, desk.err)
	}
	replays(t, dir)
}
