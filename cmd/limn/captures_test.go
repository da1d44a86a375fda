//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"limn/cue/journal"
)

// passes is a sequence of light passes: each source alone, then both.
const passes = `
[[sequence]]
name = "passes"
by = "frame"
passes = true
steps = [{ cue = "bow" }]
`

// A command takes the pictures; where it fails the sequence stays where it is with its light, and goes on
// when the operator says so. All of it is in the log.
func TestCaptureByCommand(t *testing.T) {
	noLeak(t)
	b := newBand(t)
	dir := shootWith(t, artNetTo(b.address, "leave"))
	edit(t, dir, "cues.toml", "", passes)
	told := filepath.Join(t.TempDir(), "told")
	fire := filepath.Join(t.TempDir(), "fire.sh")
	script := fmt.Sprintf(`#!/bin/sh
echo "$LIMN_STEP/$LIMN_STEPS cue=$LIMN_CUE pass=$LIMN_PASS image=$LIMN_IMAGE name=$LIMN_NAME" >> %[1]s
if [ "$LIMN_STEP" = 2 ] && [ ! -e %[1]s.once ]; then touch %[1]s.once; echo "no card in the camera" >&2; exit 1; fi
`, told)
	if err := os.WriteFile(fire, []byte(script), 0o777); err != nil {
		t.Fatal(err)
	}
	desk := start(t, "run", dir, "--capture", fire, "--capture-timeout", "10s", "--first-image", "4711")
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("play passes")
	desk.out.says(t, "no picture: no card in the camera; resume takes it again, next leaves it out, stop ends")
	stands := b.take()
	if strings.Contains(desk.out.String(), "fire, confirm") {
		t.Error("hands are asked for what the command does")
	}
	desk.typed("status")
	desk.out.says(t, "bow: waiting")
	if more := b.take(); len(more) > 0 && more[len(more)-1] != stands[len(stands)-1] {
		t.Error("the light moved though the picture failed")
	}
	desk.typed("resume")
	desk.out.says(t, "the sequence is over")
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, desk.err)
	}
	text, err := os.ReadFile(told)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"1/3 cue=bow pass=sky image=4711", "2/3 cue=bow pass=lantern image=4712", "2/3 cue=bow pass=lantern image=4712",
		"3/3 cue=bow pass=all image=4713",
	}
	for i, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if i >= len(want) || !strings.HasPrefix(line, want[i]+" name=passes-") {
			t.Errorf("it was told %q, want %q", line, want)
		}
	}
	var log []string
	for _, e := range entries(t, dir, journal.KindCapture) {
		c := e.Capture
		log = append(log, fmt.Sprintf("%d of %d %s %d %s %q lit %d", c.Frame, c.Of, c.Pass, c.Number, c.Cue, c.Failure, len(c.Lights)))
		if c.By != fire || c.Slots == "" || c.Camera["white"] == "" {
			t.Errorf("%+v", c)
		}
	}
	if !slices.Equal(log, []string{
		`1 of 3 sky 4711 bow "" lit 1`, `2 of 3 lantern 4712 bow "no picture: no card in the camera" lit 1`,
		`2 of 3 lantern 4712 bow "" lit 1`, `3 of 3 all 4713 bow "" lit 2`,
	}) {
		t.Errorf("%q", log)
	}
	replays(t, dir)
}

// A person is asked by default, an Enter a picture; a command that hangs is called off by the operator's missed.
func TestCaptureByHand(t *testing.T) {
	noLeak(t)
	dir := shootWith(t, artNetTo(deaf(t), "leave"))
	edit(t, dir, "cues.toml", "", passes)
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("play passes")
	for _, what := range []string{"frame 1 of 3, sky alone", "frame 2 of 3, lantern alone", "frame 3 of 3, all lights"} {
		_, n := desk.out.line(t, 0, what, func(l string) bool { return strings.Contains(l, what+": fire, confirm") })
		_ = n
		desk.typed("confirm")
	}
	desk.out.says(t, "the sequence is over")
	desk.typed("quit")
	desk.wait()
	var log []string
	for _, e := range entries(t, dir, journal.KindCapture) {
		log = append(log, e.Capture.Pass+" "+e.Capture.By)
	}
	if !slices.Equal(log, []string{"sky hand", "lantern hand", "all hand"}) {
		t.Errorf("%q", log)
	}

	desk = start(t, "run", dir, "--capture", "sleep 600")
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("play passes")
	desk.out.says(t, "picture 1 of 3: ")
	desk.typed("confirm")
	desk.err.says(t, "the picture is still being taken")
	desk.typed(`missed "the mirror was down"`)
	desk.out.says(t, "the mirror was down; resume takes it again")
	desk.typed("stop")
	desk.out.says(t, "passes is stopped")
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d", status)
	}

	for _, args := range [][]string{
		{"--capture", "true", "--capture-dry"}, {"--capture-timeout", "3s"}, {"--capture", "true", "--capture-timeout", "0s"}, {"--first-image", "-3"},
	} {
		s := start(t, append([]string{"run", dir}, args...)...)
		if status := s.wait(); status != statusUsage {
			t.Errorf("%v: status %d", args, status)
		}
	}
}

// flashes is a sequence that jumps between two lights as fast as pictures are taken.
const flashes = `
[[sequence]]
name = "strobe"
by = "frame"
steps = [{ cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" },
  { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" },
  { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" },
  { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" }, { cue = "bow" }, { cue = "beam" }]
`

// A sequence that turns out to flash too often is stopped, unless the files allow it; an operator's own keys
// are warned of and go on.
func TestFlashGuard(t *testing.T) {
	noLeak(t)
	shoot := func() string {
		dir := shootWith(t, artNetTo(deaf(t), "leave"))
		edit(t, dir, "cues.toml", `fade = "0.2 s"`, `fade = "0 s"`)
		edit(t, dir, "rig.toml", "bicolour-panel-16bit", "rgb-light") // which has no smoothing of its own
		edit(t, dir, "cues.toml", "", flashes)
		return dir
	}
	dir := shoot()
	desk := start(t, "run", dir, "--capture-dry")
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("play strobe")
	desk.err.says(t, "more than 3 times a second; strobe is stopped, the light stays. This flashes more than three times a second.")
	desk.out.says(t, "strobe is stopped at step ")
	desk.typed("quit")
	desk.wait()
	if len(entries(t, dir, journal.KindWarning)) == 0 {
		t.Error("the log does not say so")
	}
	replays(t, dir)

	dir = shoot()
	rig, err := os.ReadFile(filepath.Join(dir, "rig.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "rig.toml"), append([]byte("allow-flashing = true\n"), rig...), 0o666); err != nil {
		t.Fatal(err)
	}
	desk = start(t, "run", dir, "--capture-dry")
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("play strobe")
	desk.err.says(t, "more than 3 times a second in strobe. This flashes")
	desk.out.says(t, "the sequence is over")
	desk.typed("quit")
	desk.wait()

	dir = shoot()
	desk = start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	n := -1
	for changes := 0; !strings.Contains(desk.err.String(), "more than 3 times a second. This flashes"); changes++ {
		if changes == 200 {
			t.Fatal("an operator's own flashes are not warned of")
		}
		to := []string{"bow", "beam"}[changes%2]
		desk.typed("go " + to)
		_, n = desk.out.line(t, n+1, to, func(l string) bool { return strings.Contains(l, to+": settled") })
	}
	desk.typed("status")
	desk.out.line(t, n+1, "the state", func(l string) bool { return strings.Contains(l, ": settled") })
	desk.typed("quit")
	desk.wait()
	if strings.Contains(desk.err.String(), "stopped") {
		t.Error(desk.err)
	}
}
