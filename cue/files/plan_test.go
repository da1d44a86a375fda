package files

import (
	"os"
	"strings"
	"testing"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/quantity"
	"limn/testdata"
)

func level(text string) *cue.Level {
	l, err := cue.ParseLevel(text)
	if err != nil {
		panic(err)
	}
	return &l
}

func tone(text string) *colour.Spec {
	c, err := colour.ParseSpec(text)
	if err != nil {
		panic(err)
	}
	return &c
}

func stops(text string) *quantity.Stops {
	q, err := quantity.ParseStops(text)
	if err != nil {
		panic(err)
	}
	return &q
}

func kittiwake(t testing.TB) *Folder {
	f, shoot, problems := OpenFS("kittiwake", testdata.Kittiwake())
	if shoot == nil {
		t.Fatal(problems)
	}
	return f
}

// lineDiff is what changed between two texts line by line, a line to be found
// only once: "-old" and "+new".
func lineDiff(before, after []byte) string {
	a, b := strings.SplitAfter(string(before), "\n"), strings.SplitAfter(string(after), "\n")
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	a, b = a[n:], b[n:]
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	out := ""
	for _, l := range a {
		out += "-" + l
	}
	for _, l := range b {
		out += "+" + l
	}
	return out
}

func TestPlan(t *testing.T) {
	for _, c := range []struct {
		name  string
		edits []Edit
		diff  string
		cues  string
		said  string
	}{
		{
			"a level where it stands",
			[]Edit{SetLight{Cue: "bow", Source: "sky", Level: level("64 %")}},
			"-sky            = \"72 %\"\n+sky            = \"64 %\"\n", "bow, bow at dusk, beam, stern quarter, port bow by moonlight, head on", "",
		},
		{
			"a colour beside a level alone",
			[]Edit{SetLight{Cue: "bow", Source: "sky", Colour: tone("5400 K")}},
			"-sky            = \"72 %\"\n+sky            = { level = \"72 %\", colour = \"5400 K\" }\n", "bow, bow at dusk, beam, stern quarter, port bow by moonlight, head on", "",
		},
		{
			"what was inherited is written",
			[]Edit{SetLight{Cue: "head on", Source: "sky", Level: level("64 %")}},
			"+sky     = \"64 %\"\n", "head on", "",
		},
		{
			"where it comes from",
			[]Edit{SetLight{Cue: "head on", Source: "sky", Level: level("64 %"), Where: AtOrigin}},
			"-sky            = \"72 %\"\n+sky            = \"64 %\"\n", "bow, bow at dusk, beam, stern quarter, port bow by moonlight, head on", "",
		},
		{
			"a look it comes from",
			[]Edit{SetLight{Cue: "bow at dusk", Source: "lantern", Level: level("key -1 stop"), Colour: tone("2300 K"), Where: AtOrigin}},
			"-lantern     = { level = \"key -1.5 stops\", colour = \"2200 K\" }\n+lantern     = { level = \"key -1 stop\", colour = \"2300 K\" }\n", "bow at dusk", "",
		},
		{
			"a change at its origin",
			[]Edit{SetLight{Cue: "bow at dusk", Source: "sky", Change: stops("-1/2 stop"), Where: AtOrigin}},
			"-sky         = { change = \"-1 stop\" }\n+sky         = { change = \"-1.5 stops\" }\n", "bow at dusk", "",
		},
		{
			"one of a group",
			[]Edit{SetLight{Cue: "head on", Source: "left stroke", Level: level("key -2 stops")}},
			"+\"left stroke\" = \"key -2 stops\"\n", "head on", "left stroke is written for itself now, beside strokes; the others of strokes stay as they are",
		},
		{
			"both of a group",
			[]Edit{SetLight{Cue: "beam", Source: "strokes", Level: level("key -2 stops")}},
			"-strokes        = \"key -1 1/3 stops\"      # broadside both sides count the same\n+strokes        = \"key -2 stops\"      # broadside both sides count the same\n", "beam", "",
		},
		{
			"a ramp, point by point",
			[]Edit{SetLight{Cue: "beam", Source: "horizon", Change: stops("+1/2 stop")}},
			`-horizon        = { level = "key -1.5 stops", colour = "6500 K", ramp = [
-  { at = 0, level = "key -2 stops" },    # darker behind the stern,
+horizon        = { level = "key -1 stop", colour = "6500 K", ramp = [
+  { at = 0, level = "key -1.5 stops" },    # darker behind the stern,
`, "beam, stern quarter", "",
		},
		{
			"over a ramp that is inherited",
			[]Edit{SetLight{Cue: "stern quarter", Source: "horizon", Change: stops("+1/2 stop")}},
			"+horizon        = { change = \"+1/2 stop\" }\n", "stern quarter", "",
		},
		{
			"an exception to a look",
			[]Edit{SetLight{Cue: "bow at dusk", Look: "dusk", Source: "lantern", Level: level("key -1 stop")}},
			"+[cue.look.dusk]\n+lantern = \"key -1 stop\"\n", "bow at dusk", "",
		},
		{
			"a new cue with what differs",
			[]Edit{
				NewCue{Name: "bow, late", From: "bow", Angle: "beam"},
				SetLight{Cue: "bow, late", Source: "sky", Level: level("40 %")},
				SetLight{Cue: "bow, late", Source: "fill", Level: level("off")},
			},
			"+name  = \"bow, late\"\n+from  = \"bow\"\n+angle = \"beam\"\n+[cue.light]\n+sky            = \"40 %\"\n+fill           = \"off\"\n+\n+[[cue]]\n", "bow, late", "",
		},
		{
			"a new angle and a cue there",
			[]Edit{
				NewAngle{"square", 90},
				NewCue{Name: "square", From: "beam", After: "head on", Angle: "square"},
			},
			"", "square", "",
		},
		{
			"a card moved",
			[]Edit{SetCard{Cue: "bow", Card: "bow white", Place: &fixtures.Place{Known: true, Azimuth: quantity.Degrees{Degrees: 310}, Distance: quantity.Length{Metres: 0.42}}}},
			"-place = { azimuth = 300, distance = \"0.42 m\" }\n+place = { azimuth = 310, distance = \"0.42 m\" }\n", "bow, bow at dusk, beam, stern quarter, port bow by moonlight, head on", "",
		},
		{
			"a card taken away",
			[]Edit{SetCard{Cue: "bow", Card: "bow white", Out: ptr(true)}},
			"-place = { azimuth = 300, distance = \"0.42 m\" }\n-mark  = \"tape A\"\n+out = true\n", "", "",
		},
		{
			"a key of the cue",
			[]Edit{SetCueKey{"bow", "camera.shutter", "1 s"}},
			"", "", "",
		},
		{
			"what is there already",
			[]Edit{SetLight{Cue: "bow", Source: "sky", Level: level("72 %")}},
			"", "", "",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := kittiwake(t)
			p, err := f.Plan(c.edits)
			if err != nil {
				t.Fatal(err)
			}
			diff := ""
			for _, ch := range p.Changes() {
				diff += lineDiff(ch.Before, ch.After)
			}
			if c.diff != "" && diff != c.diff {
				t.Errorf("got:\n%s\nwant:\n%s", diff, c.diff)
			}
			if got := strings.Join(p.Cues(), ", "); c.cues != "" && got != c.cues {
				t.Errorf("cues: %s\nwant: %s", got, c.cues)
			}
			if got := strings.Join(p.Said(), "\n"); got != c.said {
				t.Errorf("said: %s", got)
			}
			if os.Getenv("SHOW") != "" {
				t.Log("\n" + diff)
			}
		})
	}
}

func ptr[T any](v T) *T { return &v }
