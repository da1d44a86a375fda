package files

import (
	"slices"
	"strings"
	"testing"
)

func TestOrigin(t *testing.T) {
	f := kittiwake(t)
	fromBow := []string{"bow", "bow at dusk", "beam", "stern quarter", "port bow by moonlight", "head on"}
	for _, c := range []struct {
		cue, source string
		part        Part
		want        Origin
		line        string
	}{
		{"bow", "sky", PartLevel, Origin{Own: true, Cue: "bow", Cues: fromBow}, `sky            = "72 %"`},
		{"head on", "sky", PartLevel, Origin{Cue: "bow", Cues: fromBow}, `sky            = "72 %"`},
		{"head on", "left stroke", PartLevel, Origin{Own: true, Cue: "head on", Group: "strokes", Cues: []string{"head on"}}, `strokes = "key -1 stop"`},
		{"bow at dusk", "lantern", PartColour, Origin{Look: "dusk", Cues: []string{"bow at dusk"}}, `lantern     = { level = "key -1.5 stops", colour = "2200 K" }`},
		{"bow at dusk", "sky", PartLevel, Origin{Look: "dusk", Cues: []string{"bow at dusk"}}, `sky         = { change = "-1 stop" }`},
		{"bow at dusk", "horizon", PartColour, Origin{Look: "dusk", Cues: []string{"bow at dusk"}}, `horizon     = { ramp = [                    # where the sun went down it is brighter and redder`},
		{"bow", "sky", PartColour, Origin{}, ""},
		{"bow", "lantern", PartLevel, Origin{}, ""},
	} {
		got, err := f.Origin(c.cue, c.source, c.part)
		if err != nil {
			t.Fatal(err)
		}
		line := ""
		if got.Line > 0 {
			line = strings.Split(string(f.state().seen.files[CuesFile]), "\n")[got.Line-1]
		}
		if line != c.line || got.Own != c.want.Own || got.Cue != c.want.Cue || got.Look != c.want.Look || got.Group != c.want.Group || !slices.Equal(got.Cues, c.want.Cues) {
			t.Errorf("%s in %s: %+v\n%s", c.source, c.cue, got, line)
		}
	}
	if _, err := f.Origin("bow", "skye", PartLevel); err == nil || !strings.Contains(err.Error(), `did you mean "sky"?`) {
		t.Errorf("got %v", err)
	}
	if f.Shoot().Resolved[0].Light[0].Level != "72 %" {
		t.Error("asking has changed the shoot")
	}
}

// The exception that a cue makes of a look is where its light comes from.
func TestOriginInAnException(t *testing.T) {
	f := kittiwake(t)
	planned(t, f, SetLight{Cue: "bow at dusk", Look: "dusk", Source: "lantern", Level: level("key -1 stop")}).Adopt()
	got, err := f.Origin("bow at dusk", "lantern", PartLevel)
	if err != nil || got.Own || got.Cue != "bow at dusk" || got.Look != "dusk" || !slices.Equal(got.Cues, []string{"bow at dusk"}) {
		t.Errorf("%v %+v", err, got)
	}
	p := planned(t, f, SetLight{Cue: "bow at dusk", Source: "lantern", Level: level("key -2 stops"), Where: AtOrigin})
	if d := lineDiff(p.Changes()[0].Before, p.Changes()[0].After); d != "-lantern = \"key -1 stop\"\n+lantern = \"key -2 stops\"\n" {
		t.Errorf("got %s", d)
	}
}

// What is wrong is said in words, and there is no plan.
func TestPlanRefuses(t *testing.T) {
	f := kittiwake(t)
	for want, edits := range map[string][]Edit{
		`no cue is called "bo"; did you mean "bow"?`:                  {SetLight{Cue: "bo", Source: "sky", Level: level("1 %")}},
		`no source is called "ski"; did you mean "sky"?`:              {SetLight{Cue: "bow", Source: "ski", Level: level("1 %")}},
		`no look is called "dsk"; did you mean "dusk"?`:               {SetLight{Look: "dsk", Source: "sky", Level: level("1 %")}},
		`nothing is said of "sky"; give a level or a colour`:          {SetLight{Cue: "bow", Source: "sky"}},
		`there is a cue called "beam" already`:                        {NewCue{Name: "beam", From: "bow"}},
		`no angle is called "beem"; did you mean "beam"?`:             {NewCue{Name: "x", From: "bow", Angle: "beem"}},
		`no card is called "keel"; did you mean "keel black"?`:        {SetCard{Cue: "bow", Card: "keel", Out: ptr(true)}},
		`"name" of a cue cannot be set; write it by hand`:             {SetCueKey{"bow", "name", "x"}},
		`it would leave the shoot with an error`:                      {SetCueKey{"bow", "fade", "fast"}},
		`the light of "bow" is its own already`:                       {CopyLight{From: "bow", To: "bow"}},
		`counts from the key, but the key "sky" is off`:               {SetLight{Cue: "bow", Source: "sky", Level: level("off")}},
		`there is an angle called "beam" already`:                     {NewAngle{"beam", 3}},
		`is given a level and a change of level; give one of the two`: {SetLight{Cue: "bow", Source: "sky", Level: level("1 %"), Change: stops("-1 stop")}},
	} {
		p, err := f.Plan(edits)
		if p != nil || err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %s\ngot %v", want, err)
		}
	}
}
