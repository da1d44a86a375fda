package screen

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

var sizes = [][2]int{{80, 24}, {120, 40}, {200, 60}}

// scenes of a day: the stage as it stands, and what is open on the screen.
var scenes = []struct {
	name string
	set  func(l *live)
	keys []string
	wide bool // at every size; the others at the smallest
}{
	{"before", func(*live) {}, nil, true},
	{"hands", func(l *live) { l.do("go bow", 3) }, nil, true},
	{"trimmed", func(l *live) { settle(l, "go bow"); l.do("trim left stroke up 2/3 stop", 2) }, []string{"tab", "tab"}, true},
	{"question", func(l *live) {
		settle(l, "go bow").do("trim in bow, beam left stroke up 1/3 stop", 0.1)
	}, []string{"tab", "tab"}, true},
	{"typing", func(l *live) { settle(l, "go bow") }, []string{"t", "t", "r", "i", "m", " ", "l"}, true},
	{"wrong", func(l *live) { settle(l, "go bow") }, []string{"t", "t", "r", "i", "m", " ", "s", "k", "i", " ", "u", "p", " ", "1", "enter"}, false},
	{"looks", func(l *live) { settle(l, "go bow"); l.do("look dusk on", 2) }, []string{"l"}, false},
	{"cues", func(l *live) { settle(l, "go bow") }, []string{"c"}, false},
	{"sequence", func(l *live) { settle(l, "go bow"); l.do("play round the boat", 1) }, []string{"s"}, false},
	{"help", func(l *live) { settle(l, "go bow") }, []string{"?", "end"}, true},
	{"once", func(l *live) { settle(l, "go bow") }, []string{"d"}, false},
	{"dark", func(l *live) { settle(l, "go bow"); l.do("dark", 3) }, nil, false},
	{"end", func(l *live) { settle(l, "go bow") }, []string{"q"}, false},
	{"aimed", func(l *live) { settle(l, "go bow"); l.do("aim sky", 2).do("work light on", 2) }, nil, false},
}

func TestViews(t *testing.T) {
	for _, s := range scenes {
		l := start(t)
		s.set(l)
		for _, size := range sizes {
			if !s.wide && size != sizes[0] {
				continue
			}
			b := at(t, l, size[0], size[1])
			b.keys(s.keys...)
			text := b.View().Content
			golden(t, fmt.Sprintf("%s-%dx%d.txt", s.name, size[0], size[1]), ansi.Strip(text))
		}
	}
	b := at(t, settle(start(t), "go bow"), 80, 24)
	golden(t, "colour-80x24.txt", b.View().Content)
}

// escapes are those that set colour and weight; no other may be in a view.
var escapes = regexp.MustCompile("\x1b\\[[0-9;:]*m")

// Whatever the size and whatever is open, a view stays within the screen, and is the same again.
func TestViewsStayWithinTheScreen(t *testing.T) {
	var stages []*live
	for _, s := range scenes {
		l := start(t)
		s.set(l)
		stages = append(stages, l)
	}
	hostile := start(t)
	shoot := hostile.Shoot()
	shoot.Rig.Sources[0].Name = "sky\x1b[2J\u202e 灯光 ̈̈"
	shoot.Cues[0].Name = strings.Repeat("very long ", 60)
	stages = append(stages, hostile)
	rapid.Check(t, func(rt *rapid.T) {
		i := rapid.IntRange(0, len(stages)-1).Draw(rt, "stage")
		width, height := rapid.IntRange(1, 220).Draw(rt, "width"), rapid.IntRange(1, 70).Draw(rt, "height")
		b := at(t, stages[i], width, height)
		for _, k := range rapid.SliceOfN(rapid.SampledFrom([]string{
			"tab", "up", "l", "c", "s", "m", "?", "esc", "t", "n", "d", "q", "end", "x", "i", "left",
		}), 0, 6).Draw(rt, "keys") {
			b.keys(k)
		}
		view := b.View()
		again := b.View()
		if view.Content != again.Content {
			rt.Fatal("the same screen is drawn in two ways")
		}
		lines := strings.Split(view.Content, "\n")
		if len(lines) > height {
			rt.Fatalf("%d lines of %d", len(lines), height)
		}
		for _, line := range lines {
			if n := columns(line); n > width {
				rt.Fatalf("%d columns of %d: %q", n, width, line)
			}
			if rest := escapes.ReplaceAllString(line, ""); strings.ContainsFunc(rest, func(r rune) bool { return r < ' ' || r == 0x202e }) {
				rt.Fatalf("control characters: %q", rest)
			}
		}
		if c := view.Cursor; c != nil && (c.X >= width || c.Y >= height || c.X < 0 || c.Y < 0) {
			rt.Fatalf("the cursor is at %d, %d", c.X, c.Y)
		}
	})
}

// Work light and dark stand in the same place, whatever is open and whatever the light does.
func TestWorkLightAndDarkKeepTheirPlace(t *testing.T) {
	for _, size := range sizes {
		places := map[int][]string{}
		for _, s := range scenes {
			l := start(t)
			s.set(l)
			b := at(t, l, size[0], size[1])
			b.keys(s.keys...)
			lines := strings.Split(ansi.Strip(b.View().Content), "\n")
			last := lines[len(lines)-1]
			if len(lines) != size[1] {
				t.Errorf("%s: %d lines of %d", s.name, len(lines), size[1])
			}
			i := strings.Index(last, "work light")
			if i < 0 || !strings.Contains(last, "dark") && !strings.Contains(last, "light again") {
				t.Errorf("%s: %q has no work light, or no dark", s.name, last)
				continue
			}
			cell := columns(last[:i])
			if b.line != nil {
				cell -= len("Esc ")
			}
			places[cell] = append(places[cell], s.name)
		}
		if len(places) != 1 {
			t.Errorf("%v: work light stands in several places: %v", size, places)
		}
	}
}

// Without colour there is not one escape that sets any.
func TestNoColour(t *testing.T) {
	for _, s := range scenes {
		l := start(t)
		s.set(l)
		b := at(t, l, 120, 40)
		b.plain = true
		b.keys(s.keys...)
		for _, e := range escapes.FindAllString(b.View().Content, -1) {
			if !slices.Contains([]string{strong, quiet, turned, normal}, e) {
				t.Errorf("%s: %q", s.name, e)
			}
		}
	}
}
