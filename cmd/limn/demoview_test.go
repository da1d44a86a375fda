package main

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/fixtures/colour"
)

var update = flag.Bool("update", false, "write the golden files and the outputs of the scripts anew")

// golden compares a text with testdata/NAME.golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; go test -run %s -update writes it anew.\ngot:\n%s\nwant:\n%s", path, t.Name(), got, want)
	}
}

func aScene() *scene {
	white := func(kelvin, duv, y float64) colour.XYZ { return colour.White{Kelvin: kelvin, Duv: duv}.XY().XYZ(y) }
	return &scene{
		subject: "Kittiwake", scale: 12, where: "127.0.0.1:41234",
		cue: "bow", angle: "bow three-quarter", next: "beam", azimuth: 35,
		motion: cue.Fading, progress: 0.62,
		hands: []string{"turn the table to 35°: counter-clockwise 45: bow goes camera right"},
		rows: []sceneRow{
			{name: "sky", role: "key", key: true, asked: white(5600, 0, 0.8), read: white(5599, 0.00004, 0.8), level: 0.8},
			{name: "horizon", role: "background", stops: -2, asked: colour.XY{X: 0.5436, Y: 0.3697}.XYZ(0.2), read: colour.XY{X: 0.5440, Y: 0.3693}.XYZ(0.2), level: 0.35},
			{name: "left stroke", role: "edge", stops: -0.96, asked: white(5600, 0, 0.4), read: white(5580, -0.0021, 0.4), level: 0.402},
			{name: "right stroke", role: "edge", stops: math.Inf(-1)},
			{name: "lantern", role: "accent", stops: -7.5, asked: white(2200, 0, 0.1), read: white(2700, 0.001, 0.1), level: 0.1},
			{name: "torch", role: "fill", hand: true, stops: -3, asked: white(3200, 0, 0.3)},
			{name: "a name far too long for its column", role: "fill", stops: math.NaN(), asked: white(5600, 0, 0.01), read: white(5600, 0, 0.01), level: math.NaN()},
		},
		limits: []string{"lantern cannot make 2200 K; it gives the nearest, 2700 K green 0.001, 38.2 steps off"},
		sent:   132, received: 131, lost: 1,
	}
}

func TestSceneView(t *testing.T) {
	for _, w := range []int{120, 90, 60} {
		golden(t, fmt.Sprintf("scene-%d", w), aScene().view(w, 0))
	}
	settled := aScene()
	settled.motion, settled.hands, settled.limits, settled.next = cue.Settled, nil, nil, ""
	golden(t, "scene-settled", settled.view(100, 0))
}

// A low screen leaves out what matters least, and says how much more there is.
func TestSceneViewOnALowScreen(t *testing.T) {
	for _, c := range []struct{ width, height int }{{120, 40}, {80, 24}, {60, 15}, {40, 10}} {
		s := aScene()
		s.hands = append(s.hands, "move keel black on the camera side (10°), 0.36 m from the middle, mark tape D",
			"switch off torch", "camera: shutter 1/10 s, now 1/5 s")
		s.limits = append(s.limits, "left stroke cannot make 5600 K: nearest 5580 K pink 0.0021, 2.4 steps off",
			"sky cannot make 5600 K: nearest 5599 K, 0.2 steps off, not to be seen")
		golden(t, fmt.Sprintf("scene-%dx%d", c.width, c.height), s.view(c.width, c.height))
	}
}

// However low the screen, the picture leaves a line free; and as long as there
// is room for three lines, they hold the title, the cue and the counts.
func TestSceneViewHeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := aScene()
		s.hands = rapid.SliceOfN(rapid.String(), 0, 8).Draw(t, "hands")
		s.limits = rapid.SliceOfN(rapid.String(), 0, 8).Draw(t, "limits")
		s.rows = s.rows[:rapid.IntRange(0, len(s.rows)).Draw(t, "rows")]
		w, h := rapid.IntRange(40, 200).Draw(t, "width"), rapid.IntRange(1, 40).Draw(t, "height")
		text := s.view(w, h)
		n := strings.Count(text, "\n")
		if n >= h {
			t.Fatalf("%d lines in a height of %d", n, h)
		}
		if h <= 3 {
			return
		}
		lines := strings.Split(text, "\n")
		if lines[0] != "Kittiwake, 1:12" || !strings.Contains(text, "\n  cue   bow  ") ||
			!strings.Contains(lines[n-1], "sent 132, received 131, lost 1") {
			t.Fatalf("title, cue or counts are missing at %dx%d:\n%s", w, h, text)
		}
		// Nothing is left out that there was room for.
		if full := strings.Count(s.view(w, 0), "\n"); full < h && n != full {
			t.Fatalf("%d lines of %d in a height of %d", n, full, h)
		}
	})
}

func TestWrappedLines(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  int
	}{
		{"", 10, 0},
		{"\n", 10, 1},
		{"0123456789\n", 10, 1},
		{"0123456789·\n\nabc\n", 10, 4},
		{"0123456789\n", 3, 4},
	} {
		if got := wrappedLines(c.text, c.width); got != c.want {
			t.Errorf("%q in %d: %d lines, want %d", c.text, c.width, got, c.want)
		}
	}
}

// However narrow the terminal, no line is wider, or the picture would be drawn
// over the wrong lines; and no text out of a file moves the cursor.
func TestSceneViewFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := aScene()
		s.cue = rapid.String().Draw(t, "cue")
		s.rows[0].name = rapid.String().Draw(t, "name")
		s.rows[0].stops = rapid.Float64().Draw(t, "stops")
		w := rapid.IntRange(1, 200).Draw(t, "width")
		text := s.view(w, rapid.IntRange(0, 60).Draw(t, "height"))
		if strings.ContainsAny(text, "\x1b\r\t") {
			t.Fatalf("control characters in %q", text)
		}
		for _, line := range strings.Split(text, "\n") {
			if n := utf8.RuneCountInString(line); n > w {
				t.Fatalf("a line of %d in a width of %d: %q", n, w, line)
			}
		}
	})
}

func TestRuler(t *testing.T) {
	for _, c := range []struct {
		stops float64
		hand  bool
		want  string
	}{
		{0, false, "············●····"},
		{-6, false, "●···········│····"},
		{2, false, "············│···●"},
		{-1.5, true, "·········○··│····"},
		{-6.3, false, "◂···········│····"},
		{5, false, "············│···▸"},
		{math.Inf(-1), false, "············│····"},
		{math.NaN(), false, "············│····"},
	} {
		if got := ruler(c.stops, c.hand); got != c.want {
			t.Errorf("%g stops: %q, want %q", c.stops, got, c.want)
		}
	}
}

func TestBar(t *testing.T) {
	for _, c := range []struct {
		share float64
		want  string
	}{
		{0, "····················"},
		{0.5, "██████████··········"},
		{1, "████████████████████"},
		{1.5, "████████████████████"},
		{0.51, "██████████▎·········"},
		{-1, "····················"},
	} {
		if got := bar(c.share); got != c.want {
			t.Errorf("%g: %q, want %q", c.share, got, c.want)
		}
	}
}
