package files

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"limn/cue"
	"limn/testdata"
)

// spellings are files that say the same cues in all the ways that TOML has.
var spellings = []string{
	"[look.dusk]\nstrokes = { colour = \"3600 K\" }\nfill = { change = \"-1 stop\" }\n\n[[cue]]\nname = \"bow\"\nangle = 35\n[cue.light]\nsky     = \"80 %\"   # the key\nstrokes = { level = \"key -1 stop\", colour = \"5600 K\" }\nfill    = { level = \"90 lx\", delay = \"1 s\" }\n\n# at dusk\n[[cue]]\nname = \"dusk\"\nfrom = \"bow\"\nlooks = [\"dusk\"]\n\n[[cue]]\nname = \"beam\"\nfrom = \"dusk\"\n[cue.light]\nsky = \"-1 stop\"\n[cue.look.dusk]\nfill = \"40 %\"\n",
	"look.dusk.strokes.colour = '3600 K'\nlook.dusk.fill = {change='-1 stop'}\n[[cue]]\nname='bow'\nangle=35\nlight.sky='80 %'\nlight.strokes.level='key -1 stop'\nlight.strokes.colour='5600 K'\nlight.fill={level='90 lx',delay='1 s'}\n[[cue]]\nname='dusk'\nfrom='bow'\nlooks=['dusk']\n[[cue]]\nname='beam'\nfrom='dusk'\nlight.sky='-1 stop'\nlook.dusk.fill='40 %'\n",
	"cue = [\n  { name = \"bow\", angle = 35, light = { sky = \"80 %\", strokes = { level = \"key -1 stop\", colour = \"5600 K\" }, fill = { level = \"90 lx\", delay = \"1 s\" } } }, # one\n  { name = \"dusk\", from = \"bow\", looks = [\"dusk\"] },\n  { name = \"beam\", from = \"dusk\", light = { sky = \"-1 stop\" }, look = { dusk = { fill = \"40 %\" } } },\n]\n[look]\n[look.dusk]\nstrokes = { colour = \"3600 K\" }\nfill = { change = \"-1 stop\" }\n",
	"  [[cue]]\n  name = \"bow\"\n  angle = 35\n    [cue.light]\n    sky = \"80 %\"\n      [cue.light.strokes]\n      level = \"key -1 stop\"\n      colour = \"5600 K\"\n      [cue.light.fill]\n      level = \"90 lx\"\n      delay = \"1 s\"\n  [[cue]]\n  name = \"dusk\"\n  from = \"bow\"\n  looks = [\"dusk\"]\n  [[cue]]\n  name = \"beam\"\n  from = \"dusk\"\n    [cue.light]\n    sky = \"-1 stop\"\n    [cue.look.dusk]\n    fill = \"40 %\"\n[look.dusk]\n  [look.dusk.strokes]\n  colour = \"3600 K\"\n  [look.dusk.fill]\n  change = \"-1 stop\"\n",
}

const spellingRig = `[[output]]
name = "bench"
kind = "artnet"
to = "127.0.0.1"
universes = [1]
[[source]]
name = "sky"
role = "key"
profile = "bicolour-panel-16bit"
universe = 1
address = 1
full = "1800 lx"
[[source]]
name = "left stroke"
profile = "rgbcct-panel-16bit"
universe = 1
address = 11
full = "900 lx"
[[source]]
name = "right stroke"
profile = "rgbcct-panel-16bit"
universe = 1
address = 31
full = "850 lx"
[[source]]
name = "fill"
profile = "bicolour-panel"
universe = 1
address = 51
full = "700 lx"
[group]
strokes = ["left stroke", "right stroke"]
`

func aShoot(t *rapid.T) *Folder {
	i := rapid.IntRange(0, len(spellings)).Draw(t, "spelling")
	var f *Folder
	var shoot *cue.Shoot
	var problems []Problem
	if i == len(spellings) {
		f, shoot, problems = OpenFS("kittiwake", testdata.Kittiwake())
	} else {
		text := spellings[i]
		if rapid.Bool().Draw(t, "crlf") {
			text = strings.ReplaceAll(text, "\n", "\r\n")
		}
		if rapid.Bool().Draw(t, "mark") {
			text = "\xef\xbb\xbf" + text
		}
		if rapid.Bool().Draw(t, "no last newline") {
			text = strings.TrimRight(text, "\r\n")
		}
		f, shoot, problems = OpenFS("shoot", fstest.MapFS{RigFile: {Data: []byte(spellingRig)}, CuesFile: {Data: []byte(text)}})
	}
	if shoot == nil {
		t.Fatal(problems)
	}
	return f
}

// lightEdit is any change of light that a trim may come to.
func lightEdit(t *rapid.T, s *cue.Shoot) SetLight {
	e := SetLight{
		Cue:    rapid.SampledFrom(s.CueNames()).Draw(t, "cue"),
		Source: s.Rig.Sources[rapid.IntRange(0, len(s.Rig.Sources)-1).Draw(t, "source")].Name,
		Where:  rapid.SampledFrom([]Where{Here, AtOrigin}).Draw(t, "where"),
	}
	if rapid.IntRange(0, 4).Draw(t, "in a look") == 0 {
		e.Look = s.Looks[rapid.IntRange(0, len(s.Looks)-1).Draw(t, "look")].Name
		if rapid.Bool().Draw(t, "everywhere") {
			e.Cue = ""
		}
	}
	kind := rapid.IntRange(0, 3).Draw(t, "kind")
	if kind != 1 && kind != 3 {
		e.Level = level(rapid.SampledFrom([]string{"35 %", "-2 1/3 stops", "120 lx", "61.5 %"}).Draw(t, "level"))
	}
	if kind == 1 || kind == 2 {
		e.Colour = tone(rapid.SampledFrom([]string{"5200 K", "white -20 mired", "xy 0.41 0.39", "4300 K tint +0.002"}).Draw(t, "colour"))
	}
	if kind == 3 {
		e.Change = stops(rapid.SampledFrom([]string{"-1/2 stop", "-1 stop", "+1/3 stop"}).Draw(t, "change"))
	}
	return e
}

// Whatever is edited in whatever file: every other cue's own words stay, the files
// read again resolve to what was planned, what is asked is there, and what was
// there before can be had back to the byte.
func TestPlanRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := aShoot(t)
		start := f.Shoot()
		e := lightEdit(t, start)
		p, err := f.Plan([]Edit{e})
		if err != nil {
			if _, refused := err.(*RefusedError); refused {
				return // a level against the key that was switched off, or the like
			}
			t.Fatalf("%+v: %v", e, err)
		}
		after := map[string][]byte{}
		for _, c := range p.Changes() {
			after[c.Path] = c.After
			if c.Path != CuesFile {
				t.Fatalf("%s has changed", c.Path)
			}
			if before, now := mark(c.Before), mark(c.After); before != now {
				t.Fatalf("line endings or mark: %s, %s", before, now)
			}
		}
		again, _, problems := load(f.name, f.state().seen.with(after))
		if again == nil {
			t.Fatal(problems)
		}
		for i := range again.Resolved {
			if !sameSet(&again.Resolved[i], &p.Shoot().Resolved[i]) {
				t.Fatalf("%s resolves to something else when it is read", again.Cues[i].Name)
			}
		}
		if e.Look == "" {
			holds(t, start, again, e)
		}
		if e.Where == Here && e.Look == "" {
			for _, name := range p.Cues() { // the cue, and what comes from it
				if !comesFrom(again, name, e.Cue) {
					t.Fatalf("%s has changed, and does not come from %s", name, e.Cue)
				}
			}
		}
		backAgain(t, f, p, e)
	})
}

func mark(b []byte) string {
	return fmt.Sprint(bytes.HasPrefix(b, []byte("\xef\xbb\xbf")), bytes.Contains(b, []byte("\r\n")), bytes.Count(b, []byte("\n")) == bytes.Count(b, []byte("\r\n")))
}

func comesFrom(s *cue.Shoot, name, ancestor string) bool {
	for name != ancestor {
		if name = s.Cues[s.CueIndex(name)].From; name == "" {
			return false
		}
	}
	return true
}

// holds checks that the cue gives what was asked.
func holds(t *rapid.T, before, after *cue.Shoot, e SetLight) {
	c, i := after.CueIndex(e.Cue), after.Rig.Index(e.Source)
	got := &after.Resolved[c].Light[i]
	if got.Cells != nil || before.Resolved[c].Light[i].Cells != nil {
		return // TestPlan has ramps
	}
	if e.Level != nil && e.Where == Here && got.Level != e.Level.String() {
		t.Fatalf("%s in %s is %s, asked %s", e.Source, e.Cue, got.Level, e.Level)
	}
	if e.Colour != nil && got.Colour != e.Colour.String() {
		t.Fatalf("%s in %s is %s, asked %s", e.Source, e.Cue, got.Colour, e.Colour)
	}
}

// backAgain edits a value that was there back to what it was.
func backAgain(t *rapid.T, f *Folder, p *Plan, e SetLight) {
	if e.Where != Here || e.Look != "" || e.Colour != nil || e.Level == nil || len(p.Changes()) == 0 {
		return
	}
	was, own := p.before.shoot.Cues[p.before.shoot.CueIndex(e.Cue)].Light[p.before.shoot.Rig.Index(e.Source)]
	if !own || was.Level == nil || was.Ramp != nil || was.Change != nil {
		return
	}
	p.Adopt()
	e.Level = was.Level
	back, err := f.Plan([]Edit{e})
	if err != nil {
		t.Fatal(err)
	}
	first, last := p.Changes()[0].Before, back.Changes()[0].After
	if inGroup(p.before.shoot, e.Source) && !bytes.Equal(first, last) {
		return // an entry of its own was written beside the group's, and stays
	}
	if !bytes.Equal(first, last) {
		t.Fatalf("edited back, it is\n%s\nand was\n%s", last, first)
	}
}

func inGroup(s *cue.Shoot, source string) bool {
	return slices.ContainsFunc(s.Groups, func(g cue.Group) bool { return slices.Contains(g.Members, s.Rig.Index(source)) })
}

// A copy is the same light, whatever it is copied from and to.
func TestCopyRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := aShoot(t)
		names := f.Shoot().CueNames()
		from, to := rapid.SampledFrom(names).Draw(t, "from"), rapid.SampledFrom(names).Draw(t, "to")
		if from == to {
			return
		}
		p, err := f.Plan([]Edit{CopyLight{From: from, To: to}})
		if err != nil {
			t.Fatalf("%s to %s: %v", from, to, err)
		}
		s := p.Shoot()
		b := &s.Resolved[s.CueIndex(to)]
		before := &f.Shoot().Resolved[s.CueIndex(from)]
		for i := range b.Light {
			if !near(b.Light[i].Asked, before.Light[i].Asked) {
				t.Fatalf("%s: %v in %s, %v in %s", s.Rig.Sources[i].Name, before.Light[i].Asked, from, b.Light[i].Asked, to)
			}
		}
	})
}

// A plan of many edits at once is all of them, and every cue of a hundred takes
// its own in one go.
func TestPlanMany(t *testing.T) {
	files := folder(map[string]string{RigFile: smallRig, CuesFile: manyCues(100)})
	f, shoot, problems := OpenFS("shoot", files)
	if shoot == nil {
		t.Fatal(problems)
	}
	var edits []Edit
	for _, name := range shoot.CueNames() {
		edits = append(edits, SetLight{Cue: name, Source: "sky", Change: stops("-1/3 stop")}, SetLight{Cue: name, Source: "torch", Level: level("20 lx")})
	}
	p := planned(t, f, edits...)
	if len(p.Cues()) != 100 {
		t.Errorf("%d cues change", len(p.Cues()))
	}
	torch := shoot.Rig.Index("torch")
	for i := range p.Shoot().Resolved {
		if got := p.Shoot().Resolved[i].Light[torch].Level; got != "20 lx" {
			t.Fatalf("%s: %s", shoot.Cues[i].Name, got)
		}
	}
}

func FuzzPlan(f *testing.F) {
	for _, text := range spellings {
		f.Add(text, uint8(0), uint8(0), uint8(0))
		f.Add(text, uint8(1), uint8(1), uint8(7))
	}
	levels, colours := []string{"35 %", "-2 stops", "90 lx"}, []string{"5200 K", "xy 0.41 0.39"}
	f.Fuzz(func(t *testing.T, text string, c, s, what uint8) {
		in, shoot, _ := OpenFS("shoot", fstest.MapFS{RigFile: {Data: []byte(spellingRig)}, CuesFile: {Data: []byte(text)}})
		if shoot == nil || len(shoot.Cues) == 0 {
			return
		}
		e := SetLight{Cue: shoot.Cues[int(c)%len(shoot.Cues)].Name, Source: shoot.Rig.Sources[int(s)%len(shoot.Rig.Sources)].Name, Where: Where(what & 1)}
		if what&2 == 0 {
			e.Level = level(levels[int(what>>2)%len(levels)])
		}
		if what&2 != 0 || what&32 != 0 {
			e.Colour = tone(colours[int(what>>2)%len(colours)])
		}
		p, err := in.Plan([]Edit{e})
		if err != nil {
			if _, refused := err.(*RefusedError); !refused {
				t.Fatalf("%+v: %v\n%s", e, err, text)
			}
			return
		}
		for _, ch := range p.Changes() {
			if string(ch.Before) != text {
				t.Fatal("what was before is not what was read")
			}
		}
	})
}
