package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"flag"
	"image"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/plan"
	"limn/fixtures/reflect"

	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files anew")

func kittiwake(t testing.TB) *cue.Shoot {
	t.Helper()
	s, problems := files.Load("kittiwake", os.DirFS("../../../testdata/kittiwake"))
	if s == nil {
		t.Fatal(problems)
	}
	return s
}

func sheetOf(t testing.TB, s *cue.Shoot) *plan.Sheet {
	t.Helper()
	out, err := plan.NewSheet(s, plan.SheetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func pageOf(t testing.TB, s *plan.Sheet, pictures []Page, opt Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, s, pictures, opt); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var tags = regexp.MustCompile(`<(/?)([a-z0-9]+)[^>]*>`)

// skeleton is the structure of a page: its tags, and texts of its headings.
func skeleton(page string) string {
	body := page[strings.Index(page, "<body>"):]
	var b strings.Builder
	for _, m := range regexp.MustCompile(`<(table class="page[^"]*"|h[123][^>]*|span class="mark")>([^<]*)`).FindAllStringSubmatch(body, -1) {
		b.WriteString(strings.TrimSpace(m[1] + " " + m[2]))
		b.WriteByte('\n')
	}
	return b.String()
}

// The parts of the sheet and their order.
func TestPartsOfTheSheet(t *testing.T) {
	got := skeleton(pageOf(t, sheetOf(t, kittiwake(t)), nil, Options{Revision: "A", Source: "from the files", Slots: true}))
	name := filepath.Join("testdata", "kittiwake.golden")
	if *update {
		if err := errors.Join(os.MkdirAll("testdata", 0o777), os.WriteFile(name, []byte(got), 0o666)); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Every page bears name, scale and revision, above all else and again on every sheet
// it runs over to.
func TestEveryPageIsMarked(t *testing.T) {
	page := pageOf(t, sheetOf(t, kittiwake(t)), nil, Options{Revision: "B, 2 May", Source: "from the files", Slots: true})
	parts := strings.Split(page, `<table class="page`)[1:]
	if len(parts) != 2+8+3 {
		t.Errorf("%d pages", len(parts))
	}
	for i, p := range parts {
		head, _, _ := strings.Cut(p, "</thead>")
		if !strings.Contains(head, "Kittiwake  1:12") || !strings.Contains(head, "revision B, 2 May") {
			t.Errorf("page %d begins %q", i, head)
		}
	}
	if !strings.Contains(page, "display: table-header-group") {
		t.Error("heads do not repeat")
	}
	for _, outside := range []string{"http://", "https://", "<script", "<link", "@import", "url("} {
		if strings.Contains(page, outside) {
			t.Errorf("the page holds %q", outside)
		}
	}
}

// Figures on the page are those of the report.
func TestPageOfACue(t *testing.T) {
	s := sheetOf(t, kittiwake(t))
	page := pageOf(t, s, []Page{{Camera: []byte("<svg id=\"one\"></svg>"), Boat: []byte("<svg id=\"two\"></svg>"), Picture: &Image{"image/png", []byte{1, 2, 3}, `A "picture" & more`}}}, Options{Revision: "A"})
	for _, want := range []string{
		`<svg id="one"></svg>`, `<svg id="two"></svg>`, `src="data:image/png;base64,AQID"`, `alt="A &#34;picture&#34; &amp; more"`,
		`<span class="mark">A-dusk</span>`, "tape C (90°, level, 0.40 m)", "key -1 2/3 stops", "1600 lx", "f/16, 1/10 s, ISO 400", "turn the model from 35° to 80°",
		"0.9 stop under the settings", "universe 1, slots 1 to 4", "revision A",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(page, "appendix: slots") {
		t.Error("slots nobody asked for")
	}
	for _, bad := range []string{"NaN", "Inf", "%!", "<nil>", "ZgotmplZ"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if err := HTML(io.Discard, s, []Page{{Frame: &Image{Type: "image/svg+xml"}}}, Options{}); err == nil {
		t.Error("an image that may hold a script was taken")
	}
	broken := errors.New("no more paper")
	if err := HTML(failing{broken}, s, nil, Options{}); !errors.Is(err, broken) {
		t.Errorf("a writer that fails: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// Whatever texts a shoot holds, the page's tags are those of the same page with plain
// texts, and it can be read to its end.
func TestHostileNames(t *testing.T) {
	s := kittiwake(t)
	plain := tags.FindAllString(pageOf(t, sheetOf(t, s), nil, Options{Slots: true, Revision: "A", Source: "x"}), -1)
	sheet := sheetOf(t, s) // every draw sets the same texts anew
	rapid.Check(t, func(t *rapid.T) {
		hostile := rapid.SampledFrom([]string{
			`</style><script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "</table></td><h1>", `<!--`, `]]>`, "\u202egnp.exe", "a\x00b\xff\n", "{{.}}", "'\"`", "=1+1", strings.Repeat("W", 300),
		})
		sheet.Name = hostile.Draw(t, "name")
		for i := range sheet.Cues {
			c := &sheet.Cues[i]
			c.Slate, c.Name, c.Camera, c.Timing = hostile.Draw(t, "slate"), hostile.Draw(t, "cue"), hostile.Draw(t, "camera"), hostile.Draw(t, "timing")
			for k := range c.Light {
				c.Light[k].Name, c.Light[k].Level = hostile.Draw(t, "source"), hostile.Draw(t, "level")
			}
			for k := range c.Hands {
				c.Hands[k] = hostile.Draw(t, "hands")
			}
			for k := range c.Cards {
				c.Cards[k].Name, c.Cards[k].Mark = hostile.Draw(t, "card"), hostile.Draw(t, "mark")
			}
		}
		for i := range sheet.Sources {
			sheet.Sources[i].Name, sheet.Sources[i].Place = hostile.Draw(t, "source"), hostile.Draw(t, "place")
		}
		revision := hostile.Draw(t, "revision")
		var b bytes.Buffer
		if err := HTML(&b, sheet, nil, Options{Slots: true, Revision: revision, Source: "x"}); err != nil {
			t.Fatal(err)
		}
		page := b.String()
		if got := tags.FindAllString(page, -1); !slices.Equal(got, plain) {
			t.Fatalf("the tags differ: %d, plain %d", len(got), len(plain))
		}
		if strings.ContainsAny(page, "\x00\u202e") {
			t.Fatal("what hides or turns text came through")
		}
		d := xml.NewDecoder(strings.NewReader(page[strings.Index(page, "<body>"):strings.Index(page, "</html>")]))
		d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		var table bytes.Buffer
		if err := CSV(&table, sheet); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&table).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			for _, cell := range r {
				if strings.HasPrefix(cell, "=") {
					t.Fatalf("a formula: %q", cell)
				}
			}
		}
	})
}

func TestCSV(t *testing.T) {
	var b bytes.Buffer
	if err := CSV(&b, sheetOf(t, kittiwake(t))); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(rows[0], csvHead) {
		t.Errorf("head %q", rows[0])
	}
	want := []string{"A", "bow", "35°", "source", "left stroke", "key -1 stop", "-1 stop", "810 lx", "5600 K", "no tint", "0.3302 0.3391", "280°, 15° up, 0.70 m", "", "fade 2.5 s, after 0.4 s"}
	if !slices.ContainsFunc(rows, func(r []string) bool { return slices.Equal(r, want) }) {
		t.Errorf("no row %q in\n%q", want, rows[:8])
	}
}

func TestPlainCells(t *testing.T) {
	for cell, want := range map[string]string{
		"": "", "sky": "sky", "=1+1": "'=1+1", "+0.3 stop": "+0.3 stop", "-1.7 stops": "-1.7 stops", "-1+cmd|x": "'-1+cmd|x", "@sum": "'@sum", "-": "'-", "+A1": "'+A1",
	} {
		if got := plain(cell); got != want {
			t.Errorf("%q is written %q, want %q", cell, got, want)
		}
	}
}

// Slots written in short can be read back.
func TestSlotsInShort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.IntRange(0, 255), 0, 8).Draw(t, "group")
		var all []int
		for range rapid.IntRange(0, 40).Draw(t, "times") {
			all = append(all, values...)
		}
		all = append(all, rapid.SliceOfN(rapid.IntRange(0, 3), 0, 30).Draw(t, "rest")...)
		text := slotsText(plan.SheetSlots{Values: all})
		if got := readSlots(t, text); !slices.Equal(got, all) {
			t.Fatalf("%v is written %q, read %v", all, text, got)
		}
	})
	cells := make([]int, 0, 120)
	for range 40 {
		cells = append(cells, 98, 97, 62)
	}
	if got := slotsText(plan.SheetSlots{Values: cells}); got != "40x(98 97 62)" {
		t.Errorf("a strip is written %q", got)
	}
}

var group = regexp.MustCompile(`(?:(\d+)x)?\(([\d ]*)\)|(\d+)`)

func readSlots(t *rapid.T, text string) []int {
	var out []int
	number := func(s string) int {
		n := 0
		for _, r := range s {
			n = n*10 + int(r-'0')
		}
		return n
	}
	for _, m := range group.FindAllStringSubmatch(text, -1) {
		if m[3] != "" {
			out = append(out, number(m[3]))
			continue
		}
		for range number(m[1]) {
			for _, w := range strings.Fields(m[2]) {
				out = append(out, number(w))
			}
		}
	}
	return out
}

// A shoot that tells next to nothing still gives a sheet, which names what it lacks.
func TestSheetOfABareShoot(t *testing.T) {
	s, problems := files.Load("bare", fstest.MapFS{
		"rig.toml":  {Data: []byte("[subject]\nname = \"Kittiwake\"\n[[output]]\nname = \"bench\"\nkind = \"artnet\"\nto = \"127.0.0.1\"\nuniverses = [1]\n[[source]]\nname = \"lamp\"\nprofile = \"rgb-light\"\nuniverse = 1\naddress = 1\n")},
		"cues.toml": {Data: []byte("[[cue]]\nname = \"one\"\n[cue.light]\nlamp = \"50 %\"\n")},
	})
	if s == nil {
		t.Fatal(problems)
	}
	page := pageOf(t, sheetOf(t, s), nil, Options{Slots: true})
	for _, want := range []string{"not known", "the table stays as it stands", "not written", "There are none."} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, bad := range []string{"NaN", "Inf", "%!"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
}

func TestContact(t *testing.T) {
	size := reflect.Size{Width: 96, Height: 64}
	frames := []Frame{
		{Picture: image.NewRGBA(image.Rect(0, 0, 96, 64)), Slate: "A   bow", Lines: []string{strings.Repeat("a long line ", 200), "\u202e\x00"}},
		{Why: `[camera] focal, as focal = "50 mm", and more words than go on one line`, Slate: "B"},
	}
	img, err := Contact(frames, size)
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() < 96 || b.Dy() < 64 {
		t.Errorf("the sheet is %v", b)
	}
	ink, empty := 0, 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			switch c := img.RGBAAt(x, y); {
			case math.Abs(float64(c.R)-float64(contactInk.Y)) < 12:
				ink++
			case c.R == contactEmpty.Y:
				empty++
			}
		}
	}
	if ink == 0 || empty < 96*64/2 {
		t.Errorf("%d pixels of letters, %d of an empty frame", ink, empty)
	}
	if img, err := Contact(nil, size); err != nil || !img.Bounds().Empty() {
		t.Errorf("a sheet of nothing: %v, %v", img.Bounds(), err)
	}
}

func BenchmarkHTML50Cues(b *testing.B) {
	s := sheetOf(b, kittiwake(b))
	for len(s.Cues) < 50 {
		s.Cues = append(s.Cues, s.Cues...)
	}
	s.Cues = s.Cues[:50]
	b.ReportAllocs()
	for b.Loop() {
		if err := HTML(io.Discard, s, nil, Options{Slots: true}); err != nil {
			b.Fatal(err)
		}
	}
}
