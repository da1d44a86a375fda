package profiles

import (
	"strings"
	"testing"

	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// sound is a profile with most of what a file may hold.
const sound = `name = "sample"
title = "A sample"
settle = "400 ms"
max-power = "40 W"
standby = "1 W"

[[emitter]]
name = "warm"
colour = "2700 K tint +0.001"
flux = "1800 lm"
power = "18 W"
response = { gamma = 2.2 }
floor = 3

[[emitter]]
name = "cool"
peaks = [
  { at = "452 nm", width = "20 nm" },
  { at = "555 nm", width = "120 nm", power = 0.5 },
]
flux = "2000 lm"

[[slot]]
at = 1
fine = 4
emitter = "warm"

[[slot]]
at = 2
emitter = "cool"

[[slot]]
at = 3
value = 12
note = "strobe off"
`

// problems reads a text and gives what is wrong with it, a line each.
func problems(src string) (*fixtures.Profile, []string) {
	ps := new(tomlfile.Problems)
	p, ok := Parse("p.toml", []byte(src), ps)
	var lines []string
	for _, problem := range ps.Sorted() {
		lines = append(lines, problem.String())
	}
	if ok != (len(lines) == 0) {
		lines = append(lines, "ok does not fit the problems")
	}
	return p, lines
}

func TestParseSound(t *testing.T) {
	p, faults := problems(sound)
	if len(faults) > 0 {
		t.Fatalf("faults in a sound profile:\n%s", strings.Join(faults, "\n"))
	}
	if p.Name != "sample" || p.Title != "A sample" || p.Settle != 0.4 || p.MaxWatts != 40 || p.Standby != 1 {
		t.Errorf("head read as %+v", p)
	}
	warm := p.Emitters[0]
	if warm.Flux != 1800 || warm.Watts != 18 || warm.Floor != 3 || warm.Response.IsLinear() || warm.Spectrum != nil {
		t.Errorf("warm read as %+v", warm)
	}
	if w, ok := warm.XY.White(); !ok || diff(w.Kelvin, 2700) > 0.5 || diff(w.Duv, 0.001) > 1e-5 {
		t.Errorf("warm is %v", w)
	}
	cool := p.Emitters[1]
	if cool.Spectrum == nil || diff(cool.Spectrum.XYZ().Y, 2000) > 1e-6 {
		t.Errorf("the spectrum of cool does not give its flux")
	}
	if got := p.Slots[0]; got.At != 1 || got.Fine != 4 || got.Kind != fixtures.SlotEmitter || got.Emitter != 0 {
		t.Errorf("slot 1 read as %+v", got)
	}
	if got := p.Slots[2]; got.Kind != fixtures.SlotFixed || got.Value != 12 || got.Note != "strobe off" {
		t.Errorf("slot 3 read as %+v", got)
	}
	if p.Footprint() != 4 {
		t.Errorf("footprint %d", p.Footprint())
	}
}

func diff(a, b float64) float64 { return max(a-b, b-a) }

// whites is a light that mixes its white itself; %s is its cct slot.
const whites = `name = "w"
flux = "100 lm"
[[slot]]
at = 1
dimmer = true
[[slot]]
at = 2
%s
`

func cct(line string) string { return strings.Replace(whites, "%s", line, 1) }

func TestParseFaults(t *testing.T) {
	change := func(old, now string) string {
		if !strings.Contains(sound, old) {
			t.Fatalf("the sample has no %q", old)
		}
		return strings.Replace(sound, old, now, 1)
	}
	for _, c := range []struct {
		name, src string
		want      []string
	}{
		{"no name", change("name = \"sample\"\n", ""), []string{`p.toml: name is missing`}},
		{"name is no text", change(`"sample"`, "7"), []string{`p.toml:1:8: name is `}},
		{"key slip", change("settle", "setle"), []string{`p.toml:3:1: unknown key setle`}},
		{"unit slip", change(`"400 ms"`, `"400 W"`), []string{`p.toml:3:10: settle: "400 W" is a power, a time is wanted; write for example "400 s" or "400 ms"`}},
		{"too slow", change(`"400 ms"`, `"400 s"`), []string{`p.toml:3:10: settle is 400 s; settle lies in 0..60 s`}},
		{"flux without unit", change(`"1800 lm"`, `1800`), []string{`p.toml:10:8: flux: "1800" has no unit; write "1800 lm"`}},
		{"flux in other unit", change(`"1800 lm"`, `"1800 lx"`), []string{`p.toml:10:8: flux: "1800 lx" is not in lm, as a luminous flux is; write for example "1800 lm"`}},
		{"flux of nothing", change(`"1800 lm"`, `"0 lm"`), []string{`p.toml:10:8: emitter "warm" has no flux; leave out an emitter that gives no light`}},
		{"flux missing", change("flux = \"1800 lm\"\n", ""), []string{`p.toml:7:1: flux is missing in [[emitter]]; write its lumens at full drive, as flux = "800 lm"`}},
		{"y of 0", change(`"2700 K tint +0.001"`, `"xy 0.3 0"`), []string{`p.toml:9:10: colour: `}},
		{"camera white", change(`"2700 K tint +0.001"`, `"white"`), []string{`p.toml:9:10: "white" depends on the camera; write one of its own, as "3200 K" or "xy 0.69 0.31"`}},
		{"no colour", change("colour = \"2700 K tint +0.001\"\n", ""), []string{`p.toml:7:1: emitter "warm" has no colour; write colour = "3200 K", colour = "xy 0.69 0.31" or peaks`}},
		{"both", change("flux = \"2000 lm\"", "flux = \"2000 lm\"\ncolour = \"5600 K\""), []string{`p.toml:17:1: emitter "cool" has both a colour and peaks; keep the colour or the peaks: peaks have a colour of their own`}},
		{"peak out of range", change(`"452 nm"`, `"45 nm"`), []string{`p.toml:18:10: at: "45 nm" is out of range; a wavelength lies in 380..780 nm`}},
		{"negative peak", change(`power = 0.5`, `power = -0.5`), []string{`p.toml:19:46: a power of -0.5; powers are relative to each other, as power = 0.4`}},
		{"response name", change(`{ gamma = 2.2 }`, `"sqare"`), []string{`p.toml:12:12: there is no response "sqare"; write "linear", "square", "s"`}},
		{"gamma out of range", change(`gamma = 2.2`, `gamma = 22`), []string{`p.toml:12:22: gamma is 22; gamma lies in 0.2..5`}},
		{"response without content", change(`gamma = 2.2`, ``), []string{`p.toml:12:12: a response is either a gamma or a table`}},
		{"table falls", change(`{ gamma = 2.2 }`, `{ table = [[0, 0], [0.5, 0.6], [0.7, 0.5], [1, 1]] }`), []string{`p.toml:12:49: 0.5 does not rise above 0.6; codes and light both rise from line to line`}},
		{"table does not end", change(`{ gamma = 2.2 }`, `{ table = [[0, 0], [0.5, 0.6]] }`), []string{`p.toml:12:`}},
		{"table of words", change(`{ gamma = 2.2 }`, `{ table = [[0, "a"]] }`), []string{`p.toml:12:27: a text in a response table`}},
		{"negative floor", change("floor = 3", "floor = -3"), []string{`p.toml:13:9: a floor of -3`}},
		{"unknown emitter", change(`emitter = "cool"`, `emitter = "coool"`), []string{`p.toml:30:11: there is no emitter "coool"; did you mean "cool"?`}},
		{"slots overlap", change("at = 3", "at = 2"), []string{`p.toml:33:6: emitter "cool" and the fixed value "strobe off" both use slot 2; give each value slots of its own`}},
		{"slot beyond", change("at = 3", "at = 513"), []string{`p.toml:33:6: there is no slot 513; slots count from 1 to 512`}},
		{"fine of 0", change("fine = 4", "fine = 0"), []string{`p.toml:25:8: there is no fine slot 0; slots count from 1; leave fine out of an 8 bit value`}},
		{"emitter without slot", change("[[slot]]\nat = 2\nemitter = \"cool\"\n", ""), []string{`p.toml:16:8: emitter "cool" has no slot; add a [[slot]] with emitter = "cool"`}},
		{"idle slot", change("value = 12\n", ""), []string{`p.toml:32:1: a slot without anything to do; write one of emitter, dimmer`}},
		{"slip in what a slot does", change(`emitter = "cool"`, `emiter = "cool"`), []string{`p.toml:30:1: unknown key emiter; did you mean "emitter"?`}},
		{"busy slot", change("value = 12", "value = 12\ndimmer = true"), []string{`p.toml:34:1: one slot with dimmer and value; write a [[slot]] for each`}},
		{"value too high", change("value = 12", "value = 256"), []string{`p.toml:33:6: the value 256 does not fit slot 3; it lies in 0..255`}},
		{"dimmer = false", change("value = 12", "dimmer = false"), []string{`p.toml:34:10: dimmer = false; write true, or take the slot out`}},
		{"stride alone", change("standby", "stride = 3\nstandby"), []string{`p.toml:5:1: a stride without cells; add the number of cells, as cells = 40`}},
		{"no cells", change("standby", "cells = 0\nstandby"), []string{`p.toml:5:9: 0 cells; a strip has 1 to 512`}},
		{"cct as one", cct(`cct = "2700 K"`), []string{`p.toml:8:7: cct is a text, a pair is wanted; write what the lowest and the highest code give, as cct = ["2700 K", "6500 K"]`}},
		{"cct as numbers", cct(`cct = [2700, 6500]`), []string{
			`p.toml:8:8: cct: "2700" has no unit; write "2700 K"`, `p.toml:8:14: cct: "6500" has no unit; write "6500 K"`,
		}},
		{"cct out of range", cct(`cct = ["200 K", "6500 K"]`), []string{`p.toml:8:8: cct: "200 K" is out of range; a colour temperature lies in 1000..25000 K`}},
		{"law", cct("cct = [\"2700 K\", \"6500 K\"]\nlaw = \"mird\""), []string{`p.toml:9:7: law`}},
		{"cct table too short", cct(`cct = [{ at = 0, white = "2700 K" }]`), []string{`p.toml:8:7: a cct table of 1 lines`}},
		{"cct table without white", cct(`cct = [{ at = 0, white = "#ff0000" }, { at = 1, white = "5600 K" }]`), []string{`p.toml:8:26: the colour has no colour temperature`}},
		{"cct table unfinished", cct(`cct = [{ at = 0, white = "2700 K" }, { at = 0.9, white = "5600 K" }]`), []string{`p.toml:7:6: the table of slot 2 does not run from 0 to 1`}},
		{"tint as words", cct("cct = [\"2700 K\", \"6500 K\"]\n[[slot]]\nat = 3\ntint = [\"green\", 0.02]"), []string{`p.toml:11:9: a text is no Duv`}},
		{
			"speed without stop", "name = \"t\"\n[[slot]]\nat = 1\nazimuth = [\"0 deg\", \"360 deg\"]\n[[slot]]\nat = 2\nspeed = [\"-3 deg/s\", \"3 deg/s\"]\n",
			[]string{`p.toml:5:1: stop is missing in [[slot]]; write the code that stands still, as stop = 128`},
		},
		{"not TOML", "name = \n", []string{`p.toml:1:`}},
		{"empty", "", []string{`p.toml: name is missing`, `p.toml: the profile has no slots`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got := problems(c.src)
			fits := len(got) == len(c.want)
			for i := range min(len(got), len(c.want)) {
				fits = fits && strings.HasPrefix(got[i], c.want[i])
			}
			if !fits {
				t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(c.want, "\n"))
			}
		})
	}
}

// Several mistakes are told at once.
func TestParseTellsAll(t *testing.T) {
	src := strings.NewReplacer(`"1800 lm"`, `"1800"`, `"18 W"`, `"18 V"`, "value = 12", "value = 300").Replace(sound)
	if _, got := problems(src); len(got) != 3 {
		t.Errorf("%d problems, want 3:\n%s", len(got), strings.Join(got, "\n"))
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(sound))
	f.Add([]byte(cct(`cct = ["2700 K", "6500 K"]`)))
	f.Add([]byte(cct(`cct = [{ at = 0, white = "2700 K" }, { at = 1, white = "5600 K tint -0.01" }]`)))
	entries, err := generic.ReadDir(genericDir)
	if err != nil {
		f.Fatal(err)
	}
	for _, e := range entries {
		src, err := generic.ReadFile(genericDir + "/" + e.Name())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		ps := new(tomlfile.Problems)
		p, ok := Parse("p.toml", src, ps)
		if p == nil {
			t.Fatal("no profile")
		}
		if ok == ps.Failed() {
			t.Fatalf("ok is %v with problems %v", ok, ps.Sorted())
		}
		p.Footprint()
		if !ok {
			return
		}
		// What is taken as sound compiles, or says why not.
		if _, err := fixtures.NewHead(p, 0); err != nil && err.Error() == "" {
			t.Fatal("an error without words")
		}
	})
}
