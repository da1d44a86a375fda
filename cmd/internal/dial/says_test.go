package dial

import (
	"strings"
	"testing"

	"limn/cue"
)

// What the picture says in words, at the moments of a day.
func TestWhatIsSaid(t *testing.T) {
	shoot := kittiwake(t)
	all := moments(t)
	for name, want := range map[string][]string{
		"before":  {"not begun", "no light is sent yet", "nobody has told how the table stands", "turn to 35°: bow", "turn the model to 35°: bow toward the camera and right"},
		"hands":   {"waiting", "3 things to do by hand", "turn to 80°: beam", "take away bow white", "counter-clockwise 45: bow goes"},
		"settled": {"settled", "trims not kept", "trimmed from key -1 stop", "−1/3", "starboard quarter", "lights: deck", "lights: backdrop"},
		"fading":  {"fading", "39 %", "turn to 0°: head on"},
		"dark":    {"dark", "the lights are told to be dark"},
		"dusk":    {"alone", "287 lx", "by hand"},
	} {
		svg := string(draw(t, shoot, all[name], Options{}))
		text := Text(shoot, all[name], 160, 50, false)
		for _, w := range want {
			if !strings.Contains(svg, w) {
				t.Errorf("%s: the picture does not say %q", name, w)
			}
			if !strings.Contains(text, w) {
				t.Errorf("%s: the characters do not say %q", name, w)
			}
		}
	}
}

// A table that moves is said and shown, with the caution.
func TestMovingTable(t *testing.T) {
	shoot := kittiwake(t)
	snap := moments(t)["waiting"]
	for speed, want := range map[float64]string{4: "table at 35°, turning counter-clockwise at 4°/s: keep clear", -2.5: "table at 35°, turning clockwise at 2.5°/s: keep clear"} {
		snap.Speed = speed
		svg := draw(t, shoot, snap, Options{})
		checkSVG(t, svg)
		if !strings.Contains(string(svg), want) || strings.Count(string(svg), `class="moving"`) != 2 {
			t.Errorf("at %v the picture does not say %q", speed, want)
		}
		if text := Text(shoot, snap, 160, 40, false); !strings.Contains(text, want) {
			t.Errorf("at %v the characters do not say %q", speed, want)
		}
	}
}

// Each state has a word and a shape of its own.
func TestStatesDiffer(t *testing.T) {
	shoot := kittiwake(t)
	shapes, words := map[shape]cue.Motion{}, map[string]cue.Motion{}
	for _, m := range []cue.Motion{cue.Waiting, cue.Fading, cue.Settled, cue.Held, cue.Dark} {
		s := newView(shoot, &cue.Snapshot{Motion: m, Cue: 0}).state
		if was, ok := shapes[s.shape]; ok {
			t.Errorf("%s has the shape of %s", m, was)
		}
		if was, ok := words[s.word]; ok {
			t.Errorf("%s has the word of %s", m, was)
		}
		shapes[s.shape], words[s.word] = m, m
	}
}

// The table waits elsewhere than it is to stand: the strip and the ring say which
// angle stands and which comes.
func TestAnglesNowAndDue(t *testing.T) {
	v := newView(kittiwake(t), moments(t)["hands"])
	for _, a := range v.angles {
		if (a.name == "bow three-quarter") != a.now || (a.name == "beam") != a.due {
			t.Errorf("%s: now %v, due %v", a.name, a.now, a.due)
		}
	}
	if !v.turning || v.turnTo != 80 {
		t.Errorf("turning %v to %v", v.turning, v.turnTo)
	}
}

// A page takes the picture in under a strict content policy, finds its parts and
// dresses them anew.
func TestForPages(t *testing.T) {
	svg := string(draw(t, kittiwake(t), moments(t)["settled"], Options{ID: "phone", Width: 390}))
	for _, want := range []string{`id="phone-title"`, `data-source="2"`, `data-angle="1" data-at="35"`, `class="needle"`, `class="plan" data-azimuth="35"`, `role="img"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("there is no %s", want)
		}
	}
	for _, not := range []string{"<style", "style=", "<script", "href"} {
		if strings.Contains(svg, not) {
			t.Errorf("there is %s", not)
		}
	}
}

// The exposure ruler: needle, kept tick, headroom, and beyond its ends.
func TestRulerCells(t *testing.T) {
	for _, c := range []struct {
		gauge cue.Gauge
		want  string
	}{
		{cue.Gauge{Now: -2, Kept: -1, Most: -0.5}, "╵·╵·╵·╵·▼▒┬▒│·╵·╵"},
		{cue.Gauge{Now: 0, Kept: 0, Most: 9}, "╵·╵·╵·╵·╵·╵·▼▒▒▒▒"},
		{cue.Gauge{Now: -8, Kept: -6, Most: -7}, "◂·╵·╵·╵·╵·╵·│·╵·╵"},
		{cue.Gauge{Now: 3, Kept: 1, Most: 3}, "╵·╵·╵·╵·╵·╵·│·┬·▸"},
	} {
		if got := rulerCells(&lamp{gauge: c.gauge}, 2); got != c.want {
			t.Errorf("%+v is %s, not %s", c.gauge, got, c.want)
		}
	}
}
