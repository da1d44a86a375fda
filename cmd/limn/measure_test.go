package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"

	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles"
	"limn/profiles/measure"
	"limn/profiles/measure/measuretest"
	"limn/profiles/tomlfile"
)

// fiveLights is a shoot of five panels of which nothing is known. Its cue asks for
// stops against the key, which nobody can tell yet.
func fiveLights(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	rig := "[[output]]\nname = \"bench\"\nkind = \"artnet\"\nto = \"127.0.0.1\"\nuniverses = [1]\n"
	for i, name := range []string{"sky", "fill", "left", "right", "lantern"} {
		rig += fmt.Sprintf("\n[[source]]\nname = %q\nprofile = \"bicolour-panel\"\nuniverse = 1\naddress = %d\n", name, 1+10*i)
		if i == 0 {
			rig += "role = \"key\"\n"
		}
	}
	writeText(t, filepath.Join(dir, "rig.toml"), rig)
	writeText(t, filepath.Join(dir, "cues.toml"), "[[cue]]\nname = \"bow\"\n[cue.light]\nsky = \"80 %\"\nfill = \"key -2 stops\"\n")
	return dir
}

func writeText(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// measureTyped runs a command line with what somebody types.
func measureTyped(t *testing.T, typed string, args ...string) (status int, out, said string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(t.Context(), args, stdio{In: strings.NewReader(typed), Out: &o, Err: &e})
	return status, o.String(), e.String()
}

// promptCount counts the questions in what was said.
func promptCount(said string) int { return strings.Count(said, " > ") }

// Five lights take at most 12 prompts, and then lux and key ratios work.
func TestMeasureQuickFiveLights(t *testing.T) {
	dir := fiveLights(t)
	if status, _, _ := measureTyped(t, "", "check", dir); status != statusFiles {
		t.Fatalf("a cue against a key without lux passes: %d", status)
	}
	status, out, said := measureTyped(t, "1850 lx 4200 K\n420 lx\n900 lx\n880 lx\n310 lx\n\n", "measure", dir)
	if status != 0 || promptCount(said) > 12 {
		t.Fatalf("status %d, %d prompts\n%s\n%s", status, promptCount(said), out, said)
	}
	t.Logf("%d prompts", promptCount(said))
	if !strings.Contains(out, "have none any more") || !strings.Contains(out, "wrote 5 calibrations") {
		t.Errorf("%s", out)
	}
	if status, out, _ := measureTyped(t, "", "check", dir); status != 0 {
		t.Errorf("afterwards: %d\n%s", status, out)
	}
	// What was typed is kept under its day.
	if m, err := filepath.Glob(filepath.Join(dir, ".limn", "measure", "quick.*.csv")); err != nil || len(m) != 1 {
		t.Errorf("%v %v", m, err)
	}
}

// Left in the middle, nothing is lost: each answer stands ready again.
func TestMeasureIsTakenUpAgain(t *testing.T) {
	dir := fiveLights(t)
	if status, _, said := measureTyped(t, "1850 lx 4200 K\n420 lx\nbright\nquit\n", "measure", dir); status != statusFailed || !strings.Contains(said, `"bright" is no lux`) {
		t.Fatalf("%d %s", status, said)
	}
	status, out, said := measureTyped(t, "\n\n900 lx\nback\n910 lx\n880 lx\n310 lx\n\n", "measure", dir)
	if status != 0 || !strings.Contains(said, "[1850 lx 4200 K]") || !strings.Contains(said, "[900 lx]") || !strings.Contains(out, "left: 910 lx") {
		t.Errorf("%d\n%s\n%s", status, out, said)
	}
}

// Kelvin in place of lux, two lights exchanged: asked for again, by name.
func TestMeasureAsksAgainForSlips(t *testing.T) {
	dir := fiveLights(t)
	if status, _, said := measureTyped(t, "1850 lx\n420 lx\n900 lx\n880 lx\n310 lx\n\n", "measure", dir); status != 0 {
		t.Fatal(said)
	}
	status, out, said := measureTyped(t, "1840\n430\n910\n890\n4200\n310\n\n", "measure", dir)
	if status != 0 || !strings.Contains(said, "may be kelvin") || !strings.Contains(out, "lantern: 310 lx") || promptCount(said) > 12 {
		t.Errorf("kelvin: %d\n%s\n%s", status, out, said)
	}
	status, out, said = measureTyped(t, "430\n1840\n910\n890\n310\n1845\n430\n\n", "measure", dir)
	if status != 0 || !strings.Contains(said, "look exchanged") || !strings.Contains(out, "sky: 1845 lx") || !strings.Contains(out, "fill: 430 lx") {
		t.Errorf("exchanged: %d\n%s\n%s", status, out, said)
	}
	// The older calibration lies beside the new one.
	if m, err := filepath.Glob(filepath.Join(dir, "calibrations", "sky.*.toml")); err != nil || len(m) != 2 {
		t.Errorf("%v %v", m, err)
	}
	// In a file nobody can be asked, so it is refused, and nothing changes.
	before := allFiles(t, dir)
	table := filepath.Join(t.TempDir(), "quick.csv")
	writeText(t, table, "source,lux\nsky,430\nfill,1840\n")
	if status, _, said := measureTyped(t, "", "measure", dir, "--readings", table); status != statusFiles || !strings.Contains(said, "look exchanged") {
		t.Errorf("in a file: %d %s", status, said)
	}
	if after := allFiles(t, dir); after != before {
		t.Error("a refused table changed the shoot")
	}
}

// allFiles is every file of a folder, for comparing.
func allFiles(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		src, err := os.ReadFile(name)
		fmt.Fprintf(&b, "%s\n%s\n", name, src)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// hiddenPanel is the truth of a panel that nobody is told.
func hiddenPanel() *measuretest.Light {
	return &measuretest.Light{Emitters: []measuretest.Emitter{
		{Name: "warm", XY: colour.White{Kelvin: 2810, Duv: -0.003}.XY(), Lux: 830, Gamma: 1.8},
		{Name: "cool", XY: colour.White{Kelvin: 6320, Duv: 0.004}.XY(), Lux: 1010, Gamma: 2.2},
	}}
}

// checkPanel compares a written calibration with the truth: 0.002 u'v', 2 % of level at
// every code down to so many stops.
func checkPanel(t *testing.T, dir string, light *measuretest.Light, stops float64) *fixtures.Calibration {
	t.Helper()
	name := filepath.Join(dir, "calibrations", "sky.toml")
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var ps tomlfile.Problems
	c, ok := profiles.ParseCalibration(name, src, &ps)
	if !ok {
		t.Fatal(ps.Sorted())
	}
	for i, e := range light.Emitters {
		m := c.Emitters[i]
		if m.Name != e.Name || m.XY.UV().Distance(e.XY.UV()) > 0.002 {
			t.Errorf("%s: %+v", e.Name, m.XY)
		}
		for code := 1.0; code <= 255; code++ {
			truth := e.Share(code / 255)
			if got := m.Response.Light(code / 255); truth > math.Exp2(-stops) && math.Abs(got/truth-1) > 0.02 {
				t.Errorf("%s at code %.0f: %.5f, truly %.5f", e.Name, code, got, truth)
				break
			}
		}
	}
	return c
}

// meterAnswers are what a meter shows, line by line, as it would be typed.
func meterAnswers(t *testing.T, light *measuretest.Light) []string {
	t.Helper()
	set := measuretest.New(3, map[string]*measuretest.Light{"sky": light})
	var ps tomlfile.Problems
	p, _ := profiles.Open(nil, "", &ps).Find("bicolour-panel")
	var lines []string
	for _, step := range measure.Plan("sky", p, measure.DefaultLevels) {
		if err := set.Set(step.Source, step.Control, step.Level); err != nil {
			t.Fatal(err)
		}
		lux, xy := set.Meter(0.002)
		line := fmt.Sprintf("%.4f lx", lux)
		if lux > 0.1 {
			line += fmt.Sprintf(" xy %.4f %.4f", xy.X, xy.Y)
		}
		lines = append(lines, line)
	}
	return lines
}

// Every reading typed, in two sittings.
func TestMeasureMeterTyped(t *testing.T) {
	dir, light := fiveLights(t), hiddenPanel()
	lines := meterAnswers(t, light)
	args := []string{"measure", dir, "--mode", "meter", "--source", "sky", "--instrument", "synthetic meter"}
	if status, _, said := measureTyped(t, strings.Join(lines[:9], "\n")+"\n", args...); status != statusFailed || !strings.Contains(said, "every answer is kept") {
		t.Fatalf("%d %s", status, said)
	}
	status, out, said := measureTyped(t, "\n"+strings.Join(lines[9:], "\n")+"\n\n", args...)
	if status != 0 || !strings.Contains(said, fmt.Sprintf("9 of %d readings are kept", len(lines))) {
		t.Fatalf("%d\n%s\n%s", status, out, said)
	}
	c := checkPanel(t, dir, light, 6)
	if c.Instrument != "synthetic meter" || math.Abs(c.Full/1840-1) > 0.01 {
		t.Errorf("%+v", c)
	}
	for _, want := range []string{"good to (lux at full): ", "good to (level against full): ", "steps from what it was taken to be", "its emitters add up to"} {
		if !strings.Contains(out, want) {
			t.Errorf("the report lacks %q:\n%s", want, out)
		}
	}
	for _, name := range []string{"sky.report.html", "sky.gamut.svg", "sky.response.svg"} {
		if src, err := os.ReadFile(filepath.Join(dir, "calibrations", name)); err != nil || len(src) < 1000 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The same from a table with headings of its own, asked for once and remembered.
func TestMeasureMeterTable(t *testing.T) {
	dir, light := fiveLights(t), hiddenPanel()
	set := measuretest.New(3, map[string]*measuretest.Light{"sky": light})
	var ps tomlfile.Problems
	p, _ := profiles.Open(nil, "", &ps).Find("bicolour-panel")
	text := "Instrument;S-1\nNr;Chan;Val;Reading;cx;cy\n"
	for i, step := range measure.Plan("sky", p, measure.MaxLevels) {
		if err := set.Set("sky", step.Control, step.Level); err != nil {
			t.Fatal(err)
		}
		lux, xy := set.Meter(0.002)
		code := fmt.Sprint(step.Code)
		control := step.Control
		if control == measure.Whole {
			code = ""
			if step.Level == 0 {
				control = measure.Dark
			}
		}
		text += strings.ReplaceAll(fmt.Sprintf("%d;%s;%s;%.4f;%.5f;%.5f\n", i+1, control, code, lux, xy.X, xy.Y), ".", ",")
	}
	table := filepath.Join(t.TempDir(), "export.csv")
	writeText(t, table, text)
	args := []string{"measure", dir, "--mode", "meter", "--source", "sky", "--readings", table}
	if status, _, said := measureTyped(t, "", append(args, "--yes")...); status != statusFiles || !strings.Contains(said, "no line of the table looks like a header") {
		t.Fatalf("unknown headings: %d %s", status, said)
	}
	args = append(args, "--column", "lux=Reading", "--column", "control=Chan", "--column", "level=Val", "--column", "x=cx", "--column", "y=cy")
	if status, out, said := measureTyped(t, "", args...); status != 0 {
		t.Fatalf("%d\n%s\n%s", status, out, said)
	}
	checkPanel(t, dir, light, 8)
	// The second table of that kind needs no telling.
	if status, _, said := measureTyped(t, "", args[:8]...); status != 0 {
		t.Errorf("headings were not remembered: %d %s", status, said)
	}
}

// Photographs, with exposures told in the sheet, and five lights that are known.
func TestMeasureCamera(t *testing.T) {
	dir, light := fiveLights(t), hiddenPanel()
	photos := t.TempDir()
	set := measuretest.New(11, map[string]*measuretest.Light{"sky": light})
	set.Ambient = colour.White{Kelvin: 4500}.XY().XYZ(1)
	cam := measuretest.NewCamera()
	sheet := "version = 1\ninstrument = \"synthetic camera\"\n"
	shoot := func(name string, s *measuretest.Set) string {
		cam.Exposure = 1
		v := cam.Values(s.Light())
		cam.Exposure = math.Exp2(min(math.Floor(math.Log2(0.5/max(v[0], v[1], v[2]))), -3))
		encodeTIFF(t, filepath.Join(photos, name), s.Shoot(cam))
		return fmt.Sprintf("file = %q\nshutter = \"%.10f s\"\naperture = \"f/1\"\niso = 1\n", name, cam.Exposure)
	}
	for i, xy := range []colour.XY{colour.White{Kelvin: 2700}.XY(), colour.White{Kelvin: 6500}.XY(), {X: 0.69, Y: 0.30}, {X: 0.18, Y: 0.70}, {X: 0.14, Y: 0.06}} {
		bench := measuretest.New(uint64(i), map[string]*measuretest.Light{"k": {Emitters: []measuretest.Emitter{{Name: "k", XY: xy, Lux: 700}}}})
		if err := bench.Set("k", measure.Whole, 1); err != nil {
			t.Fatal(err)
		}
		sheet += "\n[[known]]\n" + shoot(fmt.Sprintf("known%d.tif", i), bench) + fmt.Sprintf("lux = \"700 lx\"\ncolour = \"xy %.6f %.6f\"\n", xy.X, xy.Y)
	}
	var ps tomlfile.Problems
	p, _ := profiles.Open(nil, "", &ps).Find("bicolour-panel")
	for i, step := range measure.Plan("sky", p, measure.DefaultLevels) {
		if err := set.Set("sky", step.Control, step.Level); err != nil {
			t.Fatal(err)
		}
		sheet += fmt.Sprintf("\n[[photo]]\nsource = \"sky\"\ncontrol = %q\nlevel = \"%s %%\"\n", step.Control, plainNumber(100*step.Level)) + shoot(fmt.Sprintf("p%02d.tif", i), set)
	}
	file := filepath.Join(photos, "sheet.toml")
	writeText(t, file, sheet)
	status, out, said := measureTyped(t, "", "measure", dir, "--mode", "camera", "--source", "sky", "--readings", file)
	if status != 0 {
		t.Fatalf("%d\n%s\n%s", status, out, said)
	}
	if !strings.Contains(out, "absolute: the camera is fitted to 5 known lights") || !strings.Contains(said, "the card: ") {
		t.Errorf("%s\n%s", out, said)
	}
	checkPanel(t, dir, light, 6)

	// Without lights that are known it is relative, and says so.
	parts := strings.Split(sheet, "\n[[photo]]")
	relative := filepath.Join(photos, "relative.toml")
	writeText(t, relative, "version = 1\n\n[[photo]]"+strings.Join(parts[1:], "\n[[photo]]"))
	if status, out, said := measureTyped(t, "", "measure", dir, "--mode", "camera", "--source", "sky", "--readings", relative, "--dry-run"); status != 0 || !strings.Contains(out, "relative: no light is known") || !strings.Contains(said, "nothing was written") {
		t.Errorf("%d\n%s\n%s", status, out, said)
	}

	// One photograph whose exposure nobody tells; one of another place; one missing.
	before := allFiles(t, dir)
	for _, c := range []struct{ name, old, new, says string }{
		{"exposure", "file = \"p05.tif\"\nshutter", "file = \"p05.tif\"\n# shutter", "does not tell its exposure"},
		{"missing", "p05.tif", "p99.tif", "p99.tif: cannot be read"},
	} {
		bad := filepath.Join(photos, c.name+".toml")
		writeText(t, bad, strings.Replace(sheet, c.old, c.new, 1))
		if status, _, said := measureTyped(t, "", "measure", dir, "--mode", "camera", "--source", "sky", "--readings", bad); status != statusFiles || !strings.Contains(said, c.says) {
			t.Errorf("%s: %d %s", c.name, status, said)
		}
	}
	cam.Card = cam.Card.Add(image.Pt(12, 0))
	if err := set.Set("sky", "warm", 1); err != nil {
		t.Fatal(err)
	}
	cam.Exposure = 0.0004
	encodeTIFF(t, filepath.Join(photos, "p03.tif"), set.Shoot(cam))
	if status, _, said := measureTyped(t, "", "measure", dir, "--mode", "camera", "--source", "sky", "--readings", file); status != statusFiles || !strings.Contains(said, "card or camera was moved") {
		t.Errorf("moved: %d %s", status, said)
	}
	if allFiles(t, dir) != before {
		t.Error("a refused series changed the shoot")
	}
	// A folder with a picture too few.
	if status, _, said := measureTyped(t, "", "measure", dir, "--mode", "camera", "--source", "sky", "--photos", photos); status != statusFiles || !strings.Contains(said, "photographs, the plan has") {
		t.Errorf("folder: %d %s", status, said)
	}
}

// A folder of photographs in the order of the plan, whose exposures the files
// themselves tell, and known lights named by flag.
func TestMeasurePhotosInOrder(t *testing.T) {
	exiftool, err := exec.LookPath("exiftool")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("exiftool not found: apt-get install libimage-exiftool-perl")
		}
		t.Skip("exiftool not found: apt-get install libimage-exiftool-perl")
	}
	dir, light, photos := fiveLights(t), hiddenPanel(), t.TempDir()
	set := measuretest.New(12, map[string]*measuretest.Light{"sky": light})
	cam := measuretest.NewCamera()
	var told strings.Builder
	shoot := func(name string, s *measuretest.Set) {
		cam.Exposure = 1
		v := cam.Values(s.Light())
		stop := min(math.Floor(math.Log2(0.5/max(v[0], v[1], v[2]))), -2)
		// f/8 at ISO 100: t·100/64.
		cam.Exposure = math.Exp2(stop)
		encodeTIFF(t, name, s.Shoot(cam))
		fmt.Fprintf(&told, "-overwrite_original\n-ExposureTime=%.10f\n-FNumber=8\n-ISO=100\n-WhiteBalance=Manual\n%s\n-execute\n", cam.Exposure*0.64, name)
	}
	args := []string{"measure", dir, "--mode", "camera", "--source", "sky", "--levels", "9", "--photos", filepath.Join(photos, "card")}
	if err := os.MkdirAll(filepath.Join(photos, "card"), 0o777); err != nil {
		t.Fatal(err)
	}
	for i, xy := range []colour.XY{colour.White{Kelvin: 2700}.XY(), colour.White{Kelvin: 6500}.XY(), {X: 0.69, Y: 0.30}, {X: 0.18, Y: 0.70}, {X: 0.14, Y: 0.06}} {
		bench := measuretest.New(uint64(i), map[string]*measuretest.Light{"k": {Emitters: []measuretest.Emitter{{Name: "k", XY: xy, Lux: 700}}}})
		if err := bench.Set("k", measure.Whole, 1); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(photos, fmt.Sprintf("known%d.tif", i))
		shoot(name, bench)
		args = append(args, "--known", fmt.Sprintf("%s=700 lx xy %.6f %.6f", name, xy.X, xy.Y))
	}
	var ps tomlfile.Problems
	p, _ := profiles.Open(nil, "", &ps).Find("bicolour-panel")
	for i, step := range measure.Plan("sky", p, 9) {
		if err := set.Set("sky", step.Control, step.Level); err != nil {
			t.Fatal(err)
		}
		shoot(filepath.Join(photos, "card", fmt.Sprintf("p%02d.tif", i)), set)
	}
	orders := filepath.Join(photos, "orders")
	writeText(t, orders, told.String())
	if out, err := exec.Command(exiftool, "-q", "-@", orders).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	status, out, said := measureTyped(t, "", args...)
	if status != 0 {
		t.Fatalf("%d\n%s\n%s", status, out, said)
	}
	checkPanel(t, dir, light, 6)
}

// The lamp is asked for each step before its question.
func TestMeasureDrivesTheLamp(t *testing.T) {
	dir := fiveLights(t)
	shoot, _, err := openRig(dir, stdio{Err: io.Discard})
	if err != nil {
		t.Fatal(err)
	}
	var seen lampLog
	m := &measuring{
		measureFlags: &measureFlags{mode: modeMeter, levels: 9}, dir: dir, shoot: shoot, std: stdio{In: strings.NewReader("0 lx\n1800 lx\n"), Out: io.Discard, Err: io.Discard},
		lamp: &seen, bare: map[string]bool{}, lit: -1,
	}
	m.ask = newAsker(t.Context(), m.std)
	if _, err := m.askMeter([]int{0}); !errors.Is(err, errLeft) {
		t.Fatalf("%v", err)
	}
	if want := "sky all 0; sky all 1; sky warm 1; "; seen.String() != want {
		t.Errorf("shown: %s", seen.String())
	}
}

// lampLog is a lamp that writes down what it is asked to show.
type lampLog struct{ strings.Builder }

func (l *lampLog) Set(source, control string, level float64) error {
	fmt.Fprintf(l, "%s %s %v; ", source, control, level)
	return nil
}

// Answers that are damaged are put aside, not lost and not believed.
func TestMeasureDamagedAnswers(t *testing.T) {
	dir := fiveLights(t)
	writeText(t, filepath.Join(dir, ".limn", "measure", "quick.csv"), "not a table\n")
	if status, _, said := measureTyped(t, "1850 lx\n", "measure", dir); status != statusFailed || !strings.Contains(said, "lies now in") {
		t.Errorf("%d %s", status, said)
	}
	if m, err := filepath.Glob(filepath.Join(dir, ".limn", "measure", "quick.csv.damaged*")); err != nil || len(m) != 1 {
		t.Errorf("%v %v", m, err)
	}
}

func FuzzAnswerBook(f *testing.F) {
	f.Add("step,source,control,level,lux,x,y,after\n0,sky,all,100 %,1850,0.33,0.34,\n")
	f.Add("step,source,control,level,lux,x,y,after\n1,sky,warm,50.2 %,NaN,,,1e400\n")
	f.Fuzz(func(t *testing.T, text string) {
		j := &answerBook{path: filepath.Join(t.TempDir(), "quick.csv")}
		if err := j.read(strings.NewReader(text)); err != nil {
			return
		}
		before := len(j.rows)
		if err := j.write(); err != nil {
			t.Fatal(err)
		}
		src, err := os.ReadFile(j.path)
		if err != nil {
			t.Fatal(err)
		}
		again := &answerBook{path: j.path}
		if err := again.read(bytes.NewReader(src)); err != nil || len(again.rows) != before {
			t.Errorf("%v: %d of %d rows come back\n%s", err, len(again.rows), before, src)
		}
	})
}

func encodeTIFF(t *testing.T, name string, img image.Image) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := tiff.Encode(f, img, nil); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

// Spectra of both emitters: their colours, and how they compare.
func TestMeasureSpectrum(t *testing.T) {
	dir, lab := fiveLights(t), t.TempDir()
	var wants []colour.XYZ
	sheet := "version = 1\n"
	for name, kelvin := range map[string]float64{"warm": 2700, "cool": 6300} {
		s, err := colour.PlanckSpectrum(kelvin, 5)
		if err != nil {
			t.Fatal(err)
		}
		wants = append(wants, s.XYZ())
		writeText(t, filepath.Join(lab, name+".csv"), string(s.AppendCSV(nil)))
		sheet += fmt.Sprintf("[[spectrum]]\nsource = \"sky\"\ncontrol = %q\nfile = \"%s.csv\"\n", name, name)
	}
	file := filepath.Join(lab, "sheet.toml")
	writeText(t, file, sheet)
	status, out, said := measureTyped(t, "", "measure", dir, "--mode", "spectrum", "--source", "sky", "--readings", file)
	if status != 0 || !strings.Contains(out, "all at full: Ra ") || !strings.Contains(out, "warm alone: Ra 100, SSI[P2700] 100") {
		t.Fatalf("%d\n%s\n%s", status, out, said)
	}
	src, err := os.ReadFile(filepath.Join(dir, "calibrations", "sky.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var ps tomlfile.Problems
	c, ok := profiles.ParseCalibration("sky.toml", src, &ps)
	if !ok || len(c.Emitters) != 2 {
		t.Fatalf("%v\n%s", ps.Sorted(), src)
	}
	ratio := c.Emitters[0].Flux / c.Emitters[1].Flux
	if r := wants[0].Y / wants[1].Y; math.Abs(ratio/r-1) > 1e-5 && math.Abs(ratio*r-1) > 1e-5 {
		t.Errorf("warm over cool %.5f, want %.5f or its inverse", ratio, r)
	}
	if c.Emitters[0].XY.UV().Distance(colour.White{Kelvin: map[string]float64{"warm": 2700, "cool": 6300}[c.Emitters[0].Name]}.XY().UV()) > 1e-5 {
		t.Errorf("%+v", c.Emitters[0])
	}
}

// The names of spectrum files are kept and stand ready again.
func TestMeasureSpectrumTyped(t *testing.T) {
	dir := fiveLights(t)
	s, err := colour.PlanckSpectrum(2700, 5)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "warm.csv")
	writeText(t, file, string(s.AppendCSV(nil)))
	args := []string{"measure", dir, "--mode", "spectrum", "--source", "sky"}
	if status, _, said := measureTyped(t, "/nowhere\n"+file+"\nquit\n", args...); status != statusFailed || !strings.Contains(said, "cannot read /nowhere") {
		t.Fatalf("%d %s", status, said)
	}
	status, out, said := measureTyped(t, "\nskip\n\n", args...)
	if status != 0 || !strings.Contains(said, "["+file+"]") || !strings.Contains(out, "warm alone: Ra 100") || !strings.Contains(said, "cool was not read") {
		t.Errorf("%d\n%s\n%s", status, out, said)
	}
}

func TestMeasureUsage(t *testing.T) {
	dir := fiveLights(t)
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"--mode", "metre"}, statusUsage, "did you mean"},
		{[]string{"--levels", "3"}, statusUsage, "9 to 17"},
		{[]string{"--source", "skye"}, statusUsage, "did you mean"},
		{[]string{"--distance", "near"}, statusUsage, "--distance"},
		{[]string{"--mode", "camera"}, statusUsage, "--plan"},
		{[]string{"--readings", filepath.Join(dir, "none.csv")}, statusFailed, "none.csv"},
	} {
		status, _, said := measureTyped(t, "", append([]string{"measure", dir}, c.args...)...)
		if status != c.status || !strings.Contains(said, c.says) {
			t.Errorf("%v: %d %s", c.args, status, said)
		}
	}
	if status, out, _ := measureTyped(t, "", "measure", dir, "--mode", "meter", "--source", "sky", "--plan"); status != 0 || !strings.Contains(out, "  3  sky: warm at code 255 of 255 (100 %)") {
		t.Errorf("%d %s", status, out)
	}
}

// Ctrl-C at a question leaves every answer kept, and the status that shells expect.
func TestMeasureInterrupted(t *testing.T) {
	dir := fiveLights(t)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	in, typed := io.Pipe()
	done := make(chan int)
	go func() {
		done <- run(ctx, []string{"measure", dir}, stdio{In: in, Out: io.Discard, Err: io.Discard})
	}()
	for _, line := range []string{"1850 lx\n", "420 lx\n", "900 lx\n"} { // a third line is taken when two are kept
		if _, err := io.WriteString(typed, line); err != nil {
			t.Fatal(err)
		}
	}
	cancel()
	if status := <-done; status != statusInterrupted {
		t.Errorf("status %d", status)
	}
	typed.Close()
	src, err := os.ReadFile(filepath.Join(dir, ".limn", "measure", "quick.csv"))
	if err != nil || !strings.Contains(string(src), "sky,all,100 %,1850") {
		t.Errorf("%v\n%s", err, src)
	}
}
