package profiles

import (
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/fixtures/mix"
	"limn/fixtures/quantity"
	"limn/profiles/tomlfile"
)

// measured is a calibration with all that a file may hold of a light whose
// emitters have slots of their own.
const measured = `version = 1
profile = "bicolour-panel-16bit"
instrument = "hand spectrometer"
date = "2026-11-20"
note = "warm for half an hour; \"sky\""
distance = "0.55 m"
full = "3420 lx"
warm-up = [
  { after = "5 min", loss = "2.5 %" },
  { after = "1800 s", loss = "4 %" },
]

[[emitter]]
name = "warm"
colour = "xy 0.4573 0.4089"
lux = "1610 lx"
response = { table = [[0, 0], [0.5, 0.46], [1, 1]] }
floor = 40
dimmed = [
  { level = "50 %", colour = "xy 0.4561 0.4079" },
  { level = "10 %", colour = "2731 K tint -0.004" },
]

[[emitter]]
name = "cool"
colour = "6410 K tint +0.0031"
lux = "1840 lx"
response = { gamma = 1.1 }
`

// mixed is one of a light that mixes for itself.
const mixed = `version = 1
drift = [{ level = "10 %", mired = 6, tint = -0.004 }]
cct = [
  { at = 0, white = "2650 K tint +0.002", flux = "92 %" },
  { at = 1, white = "6700 K" },
]
[dimmer]
response = "square"
floor = 3
`

// calibration reads a text and gives what is wrong with it, a line each.
func calibration(src string) (*fixtures.Calibration, []string) {
	ps := new(tomlfile.Problems)
	c, ok := ParseCalibration("c.toml", []byte(src), ps)
	var lines []string
	for _, problem := range ps.Sorted() {
		lines = append(lines, problem.String())
	}
	if ok == ps.Failed() {
		lines = append(lines, "ok does not fit the problems")
	}
	return c, lines
}

func soundCalibration(t testing.TB, src string) *fixtures.Calibration {
	t.Helper()
	c, faults := calibration(src)
	if len(faults) > 0 {
		t.Fatalf("faults in a sound calibration:\n%s", strings.Join(faults, "\n"))
	}
	return c
}

func TestParseCalibration(t *testing.T) {
	c := soundCalibration(t, measured)
	if c.Path != "c.toml" || c.Profile != "bicolour-panel-16bit" || c.Instrument != "hand spectrometer" || c.Date != "2026-11-20" ||
		c.Note != `warm for half an hour; "sky"` || c.Distance.Metres != 0.55 || c.Full != 3420 {
		t.Errorf("head read as %+v", c)
	}
	if want := []fixtures.WarmUp{{After: 300, Loss: 0.025}, {After: 1800, Loss: 0.04}}; !slices.Equal(c.WarmUp, want) {
		t.Errorf("warm-up read as %v", c.WarmUp)
	}
	warm, cool := &c.Emitters[0], &c.Emitters[1]
	if warm.Name != "warm" || warm.XY != (colour.XY{X: 0.4573, Y: 0.4089}) || warm.Lux != 1610 || warm.Flux != 0 || warm.Floor != 40 ||
		warm.Response.Name() != "table" || warm.Response.Light(0.5) != 0.46 || warm.Origin.Line != 14 {
		t.Errorf("warm read as %+v", warm)
	}
	if d := warm.Dimmed; len(d) != 2 || d[0].Level != 0.5 || d[0].XY != (colour.XY{X: 0.4561, Y: 0.4079}) || d[1].Level != 0.1 ||
		d[1].XY != (colour.White{Kelvin: 2731, Duv: -0.004}).XY() || d[1].Line != 21 {
		t.Errorf("warm dims as %+v", d)
	}
	if cool.XY != (colour.White{Kelvin: 6410, Duv: 0.0031}).XY() || cool.Response.Exponent() != 1.1 || cool.Dimmed != nil {
		t.Errorf("cool read as %+v", cool)
	}
	self := soundCalibration(t, mixed)
	if len(self.CCT.Table) != 2 || self.CCT.Table[0].Flux != 0.92 || self.CCT.Line != 3 || self.Dimmer.Response.Name() != "square" || self.Dimmer.Floor != 3 {
		t.Errorf("read as %+v", self)
	}
	if d := self.Drift; len(d) != 1 || d[0].Level != 0.1 || d[0].Mired != 6 || d[0].Duv != -0.004 {
		t.Errorf("drift read as %+v", d)
	}
}

// A response that was not measured is told from one that is linear.
func TestUnmeasuredResponse(t *testing.T) {
	c := soundCalibration(t, "version = 1\n[[emitter]]\nname = \"a\"\nlux = \"1 lx\"\n[[emitter]]\nname = \"b\"\nresponse = \"linear\"\n")
	if c.Emitters[0].Response != nil || c.Emitters[1].Response == nil {
		t.Errorf("%+v", c.Emitters)
	}
}

func TestCalibrationFaults(t *testing.T) {
	change := func(old, now string) string {
		if !strings.Contains(measured, old) {
			t.Fatalf("the sample has no %q", old)
		}
		return strings.Replace(measured, old, now, 1)
	}
	for _, c := range []struct {
		name, src string
		want      []string
	}{
		{"no version", change("version = 1\n", ""), []string{`c.toml: version is missing; write version = 1`}},
		{"a version to come", change("version = 1\n", "version = 2\n"), []string{`c.toml:1:11: the calibration has version 2; this program reads version 1`}},
		{"version as text", change("version = 1\n", "version = \"1\"\n"), []string{`c.toml:1:11: version is the text "1", a whole number is wanted; write version = 1`}},
		{"unknown key", change("instrument", "instrumnet"), []string{`c.toml:3:1: unknown key instrumnet; did you mean "instrument"?`}},
		{"unknown key of an emitter", change("floor", "flor"), []string{`c.toml:18:1: unknown key flor; did you mean "floor"?`}},
		{"no date", change("2026-11-20", "20.11.2026"), []string{`c.toml:4:8: "20.11.2026" is no date; write year, month and day, as date = "2026-11-20"`}},
		{"a bare date", change(`"2026-11-20"`, `2026-11-20`), []string{`c.toml:4:8: date is the date 2026-11-20, a text is wanted; write date = "2026-11-20"`}},
		{"distance of nothing", change("0.55 m", "0 m"), []string{`c.toml:6:12: a distance of nothing`}},
		{"full in another unit", change("3420 lx", "3420 lm"), []string{`c.toml:7:8: full: `}},
		{"full of nothing", change("3420 lx", "0 lx"), []string{`c.toml:7:8: full is nought; measure with the light at full, or leave it out`}},
		{"warm-up back in time", change("1800 s", "2 min"), []string{`c.toml:10:13: after 2 min does not come later than the line before; write the times in order`}},
		{"warm-up without loss", change(`, loss = "4 %"`, ""), []string{`c.toml:10:3: loss is missing; write loss = "4 %"`}},
		{"no name", change("name = \"cool\"\n", ""), []string{`c.toml:24:1: name is missing in [[emitter]]; write name = "warm", as the profile names it`}},
		{"the camera's white", change("6410 K tint +0.0031", "white"), []string{`c.toml:26:10: "white" depends on the camera`}},
		{"no light", change("1840 lx", "0 lx"), []string{`c.toml:27:7: lux is nought`}},
		{"flux in lux", change(`lux = "1840 lx"`, `flux = "1840 lx"`), []string{`c.toml:27:8: flux: "1840 lx" is not in lm, as a luminous flux is`}},
		{"response falls", change("[0.5, 0.46]", "[0.5, 1.46]"), []string{`c.toml:17:48: 1 does not rise above 1.46; codes and light both rise from line to line`}},
		{"dimmed to full", change("50 %", "100 %"), []string{`c.toml:20:13: a level of 100 %; levels lie in 0.01 %..99.9 %; what holds at full stands by itself`}},
		{"dimmed without colour", change(`, colour = "xy 0.4561 0.4079"`, ""), []string{`c.toml:20:3: colour is missing; write colour = "xy 0.45 0.41", what it is at that level`}},
		{"emitters as one", change("[[emitter]]\nname = \"cool\"", "[emitter]\nname = \"cool\""), []string{`c.toml:`}},
		{"drift of nothing", strings.Replace(mixed, ", mired = 6, tint = -0.004", "", 1), []string{`c.toml:2:10: a drift of nothing; write mired = 6 (+ warmer) or tint = -0.004 (- pinker), against what it is at full`}},
		{"drift too far", strings.Replace(mixed, "mired = 6,", "mired = 600,", 1), []string{`c.toml:2:36: mired is 600; mired lies in -200..200`}},
		{"cct table too short", strings.Replace(mixed, "  { at = 1, white = \"6700 K\" },\n", "", 1), []string{`c.toml:3:7: a cct table of 1 lines`}},
		{"nothing of an emitter", "version = 1\n[[emitter]]\nname = \"warm\"\n", []string{`c.toml:2:1: warning: nothing is measured of emitter "warm"; write its colour and lux, or take it out`}},
		{"not TOML", "version = \n", []string{`c.toml:1:`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, got := calibration(c.src)
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

// More rows than a light can have are told once and cost nothing.
func TestCalibrationLimits(t *testing.T) {
	src := "version = 1\n" + strings.Repeat("[[emitter]]\nname = \"a\"\nlux = \"1 lx\"\nwrong = 1\n", mix.MaxEmitters+3)
	_, got := calibration(src)
	if n := mix.MaxEmitters + 1; len(got) != n {
		t.Fatalf("%d messages, want %d:\n%s", len(got), n, strings.Join(got, "\n"))
	}
	if want := "c.toml:50:1: emitter has 15 entries, more than 12; take some out"; got[mix.MaxEmitters] != want {
		t.Errorf("%q, want %q", got[mix.MaxEmitters], want)
	}
}

// What is printed reads back as the same figures, and prints the same again.
func TestFormatCalibration(t *testing.T) {
	for _, src := range []string{measured, mixed, "version = 1\n"} {
		c := soundCalibration(t, src)
		text := string(FormatCalibration(c))
		again := soundCalibration(t, text)
		if got := string(FormatCalibration(again)); got != text {
			t.Errorf("printed again:\n%s\nat first:\n%s", got, text)
		}
		same(t, again, c)
	}
}

// The printed file is one that a person would write.
func TestFormatCalibrationReads(t *testing.T) {
	want, err := os.ReadFile("testdata/calibration.toml")
	if err != nil {
		t.Fatal(err)
	}
	c := soundCalibration(t, string(want))
	if got := FormatCalibration(c); string(got) != string(want) {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

// same compares two calibrations but for places in files, to the digits that are
// printed.
func same(t interface {
	Helper()
	Fatalf(string, ...any)
}, got, want *fixtures.Calibration,
) {
	t.Helper()
	near := func(what string, a, b, most float64) {
		t.Helper()
		if !(math.Abs(a-b) <= most) {
			t.Fatalf("%s: %v, want %v", what, a, b)
		}
	}
	part := func(what string, a, b float64) {
		t.Helper()
		near(what, a, b, 5e-6*math.Abs(b)) // half of the sixth digit
	}
	xy := func(what string, a, b colour.XY) {
		t.Helper()
		part(what+" x", a.X, b.X)
		part(what+" y", a.Y, b.Y)
	}
	if got.Profile != want.Profile || got.Instrument != want.Instrument || got.Date != want.Date || got.Note != want.Note ||
		len(got.Emitters) != len(want.Emitters) || len(got.CCT.Table) != len(want.CCT.Table) ||
		len(got.Drift) != len(want.Drift) || !slices.Equal(got.WarmUp, want.WarmUp) {
		t.Fatalf("%+v, want %+v", got, want)
	}
	part("distance", got.Distance.Metres, want.Distance.Metres)
	part("full", got.Full, want.Full)
	response := func(what string, a, b *mix.Response) {
		t.Helper()
		if (a == nil) != (b == nil) || a != nil && !reflect.DeepEqual(*a, *b) {
			t.Fatalf("response of %s: %v, want %v", what, a, b)
		}
	}
	response("dimmer", got.Dimmer.Response, want.Dimmer.Response)
	near("dimmer's floor", float64(got.Dimmer.Floor), float64(want.Dimmer.Floor), 0)
	for i, w := range want.CCT.Table {
		g := got.CCT.Table[i]
		part("at", g.Share, w.Share)
		near("kelvin", g.White.Kelvin, w.White.Kelvin, 0.051)
		near("Duv", g.White.Duv, w.White.Duv, 6e-6)
		part("flux", g.Flux, w.Flux)
	}
	for i, w := range want.Drift {
		g := got.Drift[i]
		part("level", g.Level, w.Level)
		part("mired", g.Mired, w.Mired)
		part("tint", g.Duv, w.Duv)
	}
	for i := range want.Emitters {
		g, w := &got.Emitters[i], &want.Emitters[i]
		if g.Name != w.Name || g.Floor != w.Floor || len(g.Dimmed) != len(w.Dimmed) {
			t.Fatalf("emitter %+v, want %+v", g, w)
		}
		xy(w.Name, g.XY, w.XY)
		part("lux", g.Lux, w.Lux)
		part("flux", g.Flux, w.Flux)
		response(w.Name, g.Response, w.Response)
		for k, d := range w.Dimmed {
			part("level", g.Dimmed[k].Level, d.Level)
			xy("dimmed", g.Dimmed[k].XY, d.XY)
		}
	}
}

// Any calibration that a program may put together comes back.
func TestFormatCalibrationOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCalibration(t)
		text := FormatCalibration(c)
		ps := new(tomlfile.Problems)
		again, ok := ParseCalibration("c.toml", text, ps)
		if !ok {
			t.Fatalf("%v in\n%s", ps.Sorted(), text)
		}
		same(t, again, c)
		if got := FormatCalibration(again); string(got) != string(text) {
			t.Fatalf("printed again:\n%s\nat first:\n%s", got, text)
		}
	})
}

func drawCalibration(t *rapid.T) *fixtures.Calibration {
	positive := func(what string, most float64) float64 {
		return math.Pow(10, rapid.Float64Range(-2, math.Log10(most)).Draw(t, what))
	}
	maybe := func(what string) bool { return rapid.Bool().Draw(t, what) }
	level := func() float64 {
		return rapid.Float64Range(fixtures.MinDimmedLevel, fixtures.MaxDimmedLevel).Draw(t, "level")
	}
	xy := func() colour.XY {
		light := colour.XYZ{}
		for _, diode := range []colour.XY{{X: 0.7, Y: 0.29}, {X: 0.17, Y: 0.72}, {X: 0.14, Y: 0.05}} {
			light = light.Add(diode.XYZ(rapid.Float64Range(0.001, 1).Draw(t, "diode")))
		}
		c, _ := light.XY()
		return c
	}
	response := func() *mix.Response {
		if maybe("response") {
			return nil
		}
		table, err1 := mix.Table([][2]float64{{0, 0}, {rapid.Float64Range(1e-9, 0.99).Draw(t, "code"), rapid.Float64Range(1e-9, 0.99).Draw(t, "light")}, {1, 1}})
		gamma, err2 := mix.Gamma(rapid.Float64Range(MinGamma, MaxGamma).Draw(t, "gamma"))
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		r := rapid.SampledFrom([]mix.Response{mix.Linear(), mix.Square(), mix.SCurve(), gamma, table}).Draw(t, "curve")
		return &r
	}
	text := rapid.StringN(0, 40, -1)
	c := &fixtures.Calibration{Profile: text.Draw(t, "profile"), Instrument: text.Draw(t, "instrument"), Note: text.Draw(t, "note")}
	if maybe("dated") {
		c.Date = "2026-02-28"
	}
	if maybe("at a distance") {
		c.Distance = quantity.Length{}.With(positive("distance", 100))
	}
	if maybe("whole") {
		c.Full = positive("full", 1e5)
	}
	for range rapid.IntRange(0, 4).Draw(t, "emitters") {
		m := fixtures.Measured{Name: "n" + text.Draw(t, "name"), Response: response(), Floor: rapid.IntRange(0, 300).Draw(t, "floor")}
		if maybe("colour") {
			m.XY = xy()
		}
		if maybe("lux") {
			m.Lux = positive("lux", 1e5)
		} else {
			m.Flux = positive("flux", 1e5)
		}
		for range rapid.IntRange(0, 3).Draw(t, "levels") {
			m.Dimmed = append(m.Dimmed, fixtures.Dimmed{Level: level(), XY: xy()})
		}
		c.Emitters = append(c.Emitters, m)
	}
	c.Dimmer.Response = response()
	for range rapid.IntRange(0, 3).Draw(t, "drifts") {
		c.Drift = append(c.Drift, fixtures.WhiteDrift{
			Level: level(), Mired: rapid.Float64Range(-200, 200).Draw(t, "mired"), Duv: rapid.Float64Range(-0.05, 0.05).Draw(t, "tint"),
		})
	}
	if maybe("cct") {
		for k := range 3 {
			c.CCT.Table = append(c.CCT.Table, fixtures.WhitePoint{
				Share: float64(k) / 2, Flux: rapid.Float64Range(0.01, 1).Draw(t, "flux"),
				White: colour.White{
					Kelvin: rapid.Float64Range(1500, 20000).Draw(t, "kelvin"), Duv: rapid.Float64Range(-0.02, 0.02).Draw(t, "Duv"),
				},
			})
		}
	}
	after := 0.0
	for range rapid.IntRange(0, 3).Draw(t, "warm-ups") {
		after += rapid.SampledFrom([]float64{1, 30, 60, 600, 0.25}).Draw(t, "after")
		c.WarmUp = append(c.WarmUp, fixtures.WarmUp{After: after, Loss: float64(rapid.IntRange(0, 100).Draw(t, "loss")) / 100})
	}
	return c
}

func FuzzCalibration(f *testing.F) {
	f.Add([]byte(measured))
	f.Add([]byte(mixed))
	f.Add([]byte("version = 1\nemitter = [{ name = 'a', lux = '1 fc', dimmed = [{ level = '5 %', colour = '#ff0000' }] }]"))
	library := Open(nil, "", new(tomlfile.Problems))
	var makes []*fixtures.Profile
	for _, name := range []string{"bicolour-panel-16bit", "bicolour-panel-cct", "white-panel-table", "hsi-panel", "tungsten-dimmer", "motor-turntable"} {
		p, ok := library.Find(name)
		if !ok {
			f.Fatalf("no profile %q", name)
		}
		makes = append(makes, p)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		ps := new(tomlfile.Problems)
		c, ok := ParseCalibration("c.toml", src, ps)
		if c == nil {
			t.Fatal("no calibration")
		}
		if ok == ps.Failed() {
			t.Fatalf("ok is %v with problems %v", ok, ps.Sorted())
		}
		if !ok {
			return
		}
		text := FormatCalibration(c)
		again, ok := ParseCalibration("c.toml", text, ps)
		if !ok {
			t.Fatalf("%v in\n%s", ps.Sorted(), text)
		}
		same(t, again, c)
		for _, p := range makes {
			own, err := c.Apply(p)
			if err != nil {
				continue
			}
			if h, err := fixtures.NewHead(own, mix.Even); err != nil {
				t.Fatalf("passed for %q, but: %v", p.Name, err)
			} else if lux := c.MostLux(p); !(lux >= 0) || !(h.Lumens() >= 0) {
				t.Fatalf("%g lx, %g lm", lux, h.Lumens())
			}
		}
	})
}

// Whoever names the wrong file is told so once, and not of every key in it.
func TestAnotherFileIsNoCalibration(t *testing.T) {
	for text, kind := range map[string]string{
		"[subject]\nname = \"Kittiwake\"\n[[source]]\nname = \"sky\"\n": "a rig file",
		"[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"60 %\"\n":        "a file of cues",
		"name = \"x\"\n[[slot]]\nkind = \"dimmer\"\n":                   "a profile",
	} {
		var ps tomlfile.Problems
		if _, ok := ParseCalibration("calibrations/sky.toml", []byte(text), &ps); ok {
			t.Errorf("%q was read", text)
		}
		got := ps.Sorted()
		if len(got) != 1 || !strings.Contains(got[0].What, kind) {
			t.Errorf("%q: %v, want one fault that names %s", text, got, kind)
		}
	}
}
