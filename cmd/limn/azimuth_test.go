package main

import (
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"limn/cue/journal"
)

// turning is a sequence whose light follows the angle that the table tells.
const turning = `
[[sequence]]
name = "turn"
by = "angle"
drive = "stream"
steps = [{ cue = "bow" }, { cue = "beam" }]
`

// turningShoot has two cues at angles.
func turningShoot(t *testing.T, address string) string {
	dir := shootWith(t, artNetTo(address, "leave"))
	edit(t, dir, "cues.toml", `name = "bow"`, "name = \"bow\"\nangle = 0")
	edit(t, dir, "cues.toml", `name = "beam"`, "name = \"beam\"\nangle = 90")
	edit(t, dir, "cues.toml", "", turning)
	return dir
}

// follow plays the sequence while angles are told, until the light of beam has been reached.
func follow(t *testing.T, b *band, desk *session, command func(string), tell func(string)) {
	t.Helper()
	_ = command
	for degrees := 0.0; degrees <= 90; degrees += 3 {
		tell(fmt.Sprintf("%g", degrees))
		<-time.After(15 * time.Millisecond) // the table turns
	}
	desk.err.says(t, "warning: the table has told no angle for 0.5 s")
	frames := b.take()
	if len(frames) < 10 {
		t.Fatalf("%d frames", len(frames))
	}
	first, last := int(frames[len(frames)/4][0])<<8|int(frames[len(frames)/4][1]), int(frames[len(frames)-1][0])<<8|int(frames[len(frames)-1][1])
	if last >= first {
		t.Errorf("the light did not follow from bow to beam: %d, then %d", first, last)
	}
}

// Angles by UDP turn the light; silence holds it and is said; the log has the angles, and plays them again.
func TestAzimuthByUDP(t *testing.T) {
	noLeak(t)
	b := newBand(t)
	dir := turningShoot(t, b.address)
	free, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := free.LocalAddr().String()
	free.Close()
	desk := start(t, "run", dir, "--azimuth", "udp:"+at)
	desk.err.says(t, "nothing is sent before the first command")
	conn, err := net.Dial("udp", at)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	tell := func(text string) {
		if _, err := conn.Write([]byte(text + "\n")); err != nil {
			t.Fatal(err)
		}
	}
	tell("0")
	desk.out.says(t, "the table tells its angle by udp "+at+": 0°")
	tell("north")
	desk.err.says(t, "there are lines that are no angle")
	desk.typed("next")
	desk.out.says(t, "bow: waiting for hands")
	desk.typed("confirm")
	desk.out.says(t, "bow: settled")
	desk.typed("play turn")
	desk.out.says(t, "rolling?")
	desk.typed("")
	desk.out.says(t, "say rolling once the camera runs")
	desk.typed("rolling")
	desk.out.says(t, "rolling; say cut when it is over")
	b.take()
	follow(t, b, desk, desk.typed, tell)
	desk.typed("cut")
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, desk.err)
	}
	if n := len(entries(t, dir, journal.KindAzimuth)); n < 10 {
		t.Errorf("%d angles are on record", n)
	}
	replays(t, dir)

	for _, from := range []string{"north", "udp:0.0.0.0:9", "udp:127.0.0.1:notaport"} {
		s := start(t, "run", dir, "--azimuth", from)
		if status := s.wait(); status != statusUsage || !strings.Contains(s.err.String(), "--azimuth") {
			t.Errorf("%s: status %d, %s", from, status, s.err)
		}
	}
}

// On standard input angles come in place of commands; the program has those.
func TestAzimuthOnStandardInput(t *testing.T) {
	noLeak(t)
	b := newBand(t)
	dir := turningShoot(t, b.address)
	desk := start(t, "run", dir, "--azimuth", "-", "--do", "0s next; 0.1s confirm; 0.8s play turn; 1.2s rolling", "--for", "4s")
	desk.typed("0")
	desk.out.says(t, "the table tells its angle by standard input: 0°")
	desk.out.says(t, "rolling; say cut when it is over")
	b.take()
	follow(t, b, desk, nil, desk.typed)
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, desk.err)
	}
	replays(t, dir)
}
