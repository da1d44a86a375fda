package files

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"limn/fixtures/colour"
)

// approve approves a cue as it would be sent.
func approve(t testing.TB, f *Folder, name string) *Approval {
	t.Helper()
	s, r := f.Shoot(), f.Renderer()
	res := &s.Resolved[s.CueIndex(name)]
	frames, _ := still(s, res, r)
	a := NewApproval(s, res, r, frames)
	if err := f.Approve(a, By{Who: "mate", At: time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)}); err != nil {
		t.Fatal(err)
	}
	return a
}

func rewrite(t testing.TB, f *Folder, name, old, with string) {
	t.Helper()
	text := contents(t, f, name)
	if !strings.Contains(text, old) {
		t.Fatalf("%s does not say %q", name, old)
	}
	if err := os.WriteFile(filepath.Join(f.dir, name), []byte(strings.Replace(text, old, with, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
}

func texts2(ds []Difference) string {
	out := ""
	for _, d := range ds {
		out += d.Text + "\n"
	}
	return out
}

func TestApprove(t *testing.T) {
	f := onDisk(t)
	for _, name := range f.Shoot().CueNames() {
		approve(t, f, name)
	}
	s, r := f.Shoot(), f.Renderer()
	of, gone, err := f.Approvals()
	if err != nil || len(gone) > 0 || len(of) != len(s.Cues) {
		t.Fatalf("%v, %d gone, %d of %d cues", err, len(gone), len(of), len(s.Cues))
	}
	for i, a := range of {
		res := &s.Resolved[i]
		if d := a.Compare(s, res, r); len(d) > 0 {
			t.Errorf("%s: nothing has changed, but %s", a.Cue, texts2(d))
		}
		// As sent is what was sent, slot for slot.
		frames, _ := still(s, res, r)
		slots, missing := a.Slots(s)
		if len(missing) > 0 {
			t.Errorf("%s: no slots of %v", a.Cue, missing)
		}
		for u, n := range r.Universes() {
			if got := slots[n]; !bytes.Equal(got[:], frames[u][:]) {
				t.Errorf("%s: universe %d is not what was sent", a.Cue, n)
			}
		}
		if edits, short := a.SameLight(s, res, r); len(edits)+len(short) > 0 {
			t.Errorf("%s: there is nothing to mend, but %v, %v", a.Cue, edits, short)
		}
	}
	if _, problems := f.Reload(); len(problems) > 0 {
		t.Errorf("check warns: %v", problems)
	}
	a := of[0]
	if a.Cue != "bow" || *a.Azimuth != 35 || len(a.Cards) != 2 || a.Cards[0].Mark != "tape C" || a.Who != "mate" {
		t.Errorf("%+v", a)
	}
	if sky := a.source("sky"); math.Abs(*sky.Lux-s.Resolved[0].Light[0].Lux) > 0.01**sky.Lux || len(sky.Slots[0]) != 4 {
		t.Errorf("%+v", sky)
	}
}

// A panel that is measured again and gives 0.2 stop less than it did is told of, and
// both ways back to the approved light are open.
func TestCompareAfterCalibration(t *testing.T) {
	f := onDisk(t)
	if err := planned(t, f, SetLight{Cue: "bow", Source: "left stroke", Level: level("30 %")}).Write(By{}); err != nil {
		t.Fatal(err)
	}
	approve(t, f, "bow")
	rewrite(t, f, "rig.toml", `full     = "2400 lx"`, `full     = "2089 lx"`) // 2400 / 2^0.2
	shoot, problems := f.Reload()
	if want := `in cue "bow", left stroke differs by 0.2 stop (dimmer) from approved`; len(problems) != 1 || problems[0].What != want {
		t.Errorf("check says %v", problems)
	}
	r := f.Renderer()
	of, _, err := f.Approvals()
	if err != nil {
		t.Fatal(err)
	}
	a := of[0]
	as := a.AsSent(shoot, r)
	if len(as) != 1 || as[0].Source != "left stroke" || math.Abs(as[0].Stops+0.2) > 0.001 {
		t.Errorf("as sent: %+v", as)
	}
	edits, short := a.SameLight(shoot, &shoot.Resolved[0], r)
	if len(edits) != 1 || len(short) > 0 {
		t.Fatalf("%v, %v", edits, short)
	}
	p := planned(t, f, edits...)
	if d := a.Compare(p.Shoot(), &p.Shoot().Resolved[0], r); len(d) > 0 {
		t.Errorf("the same light: %s", texts2(d))
	}
	lux := p.Shoot().Resolved[0].Light[2].Lux
	if was := *a.source("left stroke").Lux; math.Abs(math.Log2(lux/was)) > 0.002 { // four digits of lux
		t.Errorf("%v lx, approved %v lx", lux, was)
	}
}

func TestCompareAfterAnEdit(t *testing.T) {
	f := onDisk(t)
	approve(t, f, "head on")
	before := f.Shoot().Resolved[f.Shoot().CueIndex("head on")]
	if err := planned(t, f, SetLight{Cue: "head on", Source: "fill", Level: level("key -3.7 stops"), Colour: tone("4800 K")},
		SetCueKey{"head on", "camera.shutter", "1/4 s"},
		SetCard{Cue: "head on", Card: "keel black", Mark: ptr("tape E")}).Write(By{}); err != nil {
		t.Fatal(err)
	}
	shoot, r := f.Shoot(), f.Renderer()
	i := shoot.CueIndex("head on")
	of, _, err := f.Approvals()
	if err != nil {
		t.Fatal(err)
	}
	got := texts2(of[i].Compare(shoot, &shoot.Resolved[i], r))
	for _, want := range []string{"fill differs by 0.2 stop (dimmer) and in colour by", "K lower", "camera: shutter is 1/4 s, approved it was 1/10 s\n", "card keel black stands at 0°, 0.42 m, mark tape E, approved it stood at 0°, 0.42 m, mark tape B\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in:\n%s", want, got)
		}
	}
	if shoot, problems := f.Reload(); shoot == nil || len(problems) != 4 || !problems[0].Warning {
		t.Errorf("check says %v", problems)
	}
	// The same light: written, it is what was approved.
	edits, short := of[i].SameLight(shoot, &shoot.Resolved[i], r)
	if len(edits) != 1 || len(short) > 0 {
		t.Fatalf("%v, %v", edits, short)
	}
	p := planned(t, f, edits...)
	back := p.Shoot().Resolved[i]
	for k := range back.Light {
		if was, is := before.Light[k].Asked, back.Light[k].Asked; was.Y > 0 && math.Abs(math.Log2(is.Y/was.Y)) > minStops {
			t.Errorf("%s: %v, approved %v", shoot.Rig.Sources[k].Name, is, was)
		}
	}
	if d := of[i].Compare(p.Shoot(), &back, r); slices.ContainsFunc(d, func(d Difference) bool { return d.Source != "" }) {
		t.Errorf("it is not the same light: %s", texts2(d))
	}
}

func TestApprovalSurvivesRenaming(t *testing.T) {
	f := onDisk(t)
	approve(t, f, "stern quarter")
	rewrite(t, f, CuesFile, `name  = "stern quarter"`, `name  = "transom"`)
	rewrite(t, f, CuesFile, `{ cue = "stern quarter"`, `{ cue = "transom"`)
	shoot, problems := f.Reload()
	if shoot == nil || len(problems) > 0 {
		t.Fatal(problems)
	}
	of, gone, err := f.Approvals()
	if i := shoot.CueIndex("transom"); err != nil || len(gone) > 0 || of[i] == nil {
		t.Errorf("%v, %v, %v", of, gone, err)
	}
	// Renamed and changed: nobody can know.
	rewrite(t, f, CuesFile, `"right stroke" = { level = "key -2/3 stop"`, `"right stroke" = { level = "key -1 stop"`)
	if _, problems = f.Reload(); len(problems) != 1 || !strings.Contains(problems[0].String(), `no cue is called "stern quarter", which was approved`) {
		t.Errorf("%v", problems)
	}
}

func TestAttach(t *testing.T) {
	f := onDisk(t)
	picture := filepath.Join(t.TempDir(), "set.JPG")
	if err := os.WriteFile(picture, []byte("a picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Attach("bow", SetPhoto, picture); err == nil || !strings.Contains(err.Error(), "approve it first") {
		t.Errorf("got %v", err)
	}
	approve(t, f, "bow")
	for range 2 { // twice is once
		p, err := f.Attach("bow", SetPhoto, picture)
		if err != nil {
			t.Fatal(err)
		}
		if b := contents(t, f, p.File); b != "a picture" || filepath.Ext(p.File) != ".jpg" || p.Name != "set.JPG" || p.SHA256 != hash([]byte("a picture")) {
			t.Errorf("%+v: %q", p, b)
		}
	}
	of, _, _ := f.Approvals()
	if len(of[0].Pictures) != 1 {
		t.Errorf("%+v", of[0].Pictures)
	}
	if _, err := f.Attach("bow", "set foto", picture); err == nil || !strings.Contains(err.Error(), `did you mean "set photo"?`) {
		t.Errorf("got %v", err)
	}
	if _, err := f.Attach("bow", SetPhoto, filepath.Dir(picture)); err == nil {
		t.Error("a folder was attached")
	}
	if left := stray(t, f); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	// Approving again keeps what was before.
	approve(t, f, "bow")
	if kept, err := filepath.Glob(filepath.Join(f.dir, earlierDir, "*.json")); err != nil || len(kept) != 1 {
		t.Errorf("%v, %v", kept, err)
	}
}

func TestRecall(t *testing.T) {
	f := onDisk(t)
	s, r := f.Shoot(), f.Renderer()
	need, known := warmUp(&s.Rig.Sources[0])
	if !known || need <= 0 {
		t.Fatalf("the sky's warm-up is %v, %v", need, known)
	}
	a := approve(t, f, "bow")
	var cards, warm []string
	for _, c := range Recall(s, &s.Resolved[0], a, map[int]time.Duration{0: 2 * time.Hour, 1: 3 * time.Minute}, r) {
		if strings.HasPrefix(c.Text, "card") {
			cards = append(cards, c.Text)
		}
		if strings.Contains(c.Text, " min") {
			warm = append(warm, c.Text)
		}
	}
	if want := []string{"card keel black: 90°, 0.40 m, mark tape C", "card bow white: 300°, 0.42 m, mark tape A"}; !slices.Equal(cards, want) {
		t.Errorf("got %q", cards)
	}
	if warm[0] != "sky: lit 120 min, warm" || warm[1] != "horizon: lit 3 min; its warm-up was not measured" {
		t.Errorf("got %q", warm)
	}
	if c := warmth(&s.Rig.Sources[0], 0); c.Done || !strings.Contains(c.Text, "lit 0 of ") {
		t.Errorf("%+v", c)
	}
}

func FuzzApproval(f *testing.F) {
	folder := kittiwake(f)
	s, r := folder.Shoot(), folder.Renderer()
	frames, _ := still(s, &s.Resolved[0], r)
	b, err := json.Marshal(NewApproval(s, &s.Resolved[0], r, frames))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte(`{"version":1,"cue":"bow","sources":[{"name":"sky","slots":[[1,2]],"addresses":[512],"asked":[0,0,0],"xyz":[1,1,1],"level":"","known":""}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		a, err := parseApproval(b)
		if err != nil {
			return
		}
		a.Slots(s)
		a.AsSent(s, r)
		a.lightDifferences(s, func(int) colour.XYZ { return colour.XYZ{Y: 0.5} })
		a.setDifferences(s, &s.Resolved[0])
	})
}
