package operate_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/files"
	"limn/fixtures"
	"limn/fixtures/colour"

	"pgregory.net/rapid"
)

// again plays a cue of the folder as it lies on disk, from nothing.
func (l *live) again(name string) [][fixtures.UniverseSize]byte {
	l.t.Helper()
	folder, shoot, problems, err := files.Open(l.dir)
	if err != nil || shoot == nil {
		l.t.Fatalf("%v %v", err, problems)
	}
	fresh := &live{t: l.t, folder: folder, k: -1, engine: mustEngine(l.t, shoot)}
	fresh.out = make([][fixtures.UniverseSize]byte, len(fresh.engine.Universes()))
	fresh.do("go " + name)
	return fresh.settle()
}

// What was kept plays the same bytes, now and when the folder is read again; no
// other cue changes where it is kept here.
func TestKeepPlaysTheSameBytes(t *testing.T) {
	root := t.TempDir()
	first := kittiwake(t)
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "shoot")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		l := goLive(t, dir, true)
		s := l.engine.Shoot()
		name := rapid.SampledFrom(s.CueNames()).Draw(t, "cue")
		l.do("go " + name)
		for range rapid.IntRange(1, 4).Draw(t, "trims") {
			l.try("trim " + drawTrim(t))
		}
		played := slices.Clone(l.settle())
		if !l.snapshot().Trimmed {
			return
		}
		r := l.try("keep here")
		if r.Refused {
			t.Fatalf("keep here: %v", r.Notices)
		}
		told := ""
		if r.Ask != nil {
			told = r.Ask.Question()
			if r = l.try("apply"); r.Refused {
				t.Fatalf("apply: %v", r.Notices)
			}
		}
		l.k++
		l.engine.Fill(l.k, l.out)
		if !slices.Equal(l.out, played) {
			t.Fatal("keep moves the light")
		}
		if !slices.Equal(l.settle(), played) || l.snapshot().Trimmed {
			t.Fatal("what was kept plays other bytes")
		}
		if !slices.Equal(l.again(name), played) {
			t.Fatalf("the files play other bytes:\n%s", l.file("cues.toml"))
		}
		for other := range moved(t, first, l.engine.Shoot()) {
			if other != name && !strings.Contains(told, "in "+other) {
				t.Fatalf("%s plays other bytes once %s was kept", other, name)
			}
		}
	})
}

// moved names the cues that settle on other slots in another version of a shoot.
func moved(t failer, was, is *cue.Shoot) map[string]bool {
	r, err := fixtures.NewRenderer(is.Rig)
	if err != nil {
		t.Fatalf("%v", err)
	}
	slots := func(source int, l *cue.Light) [][fixtures.UniverseSize]byte {
		state := &fixtures.State{
			Light:  make([]colour.XYZ, len(is.Rig.Sources)),
			Cells:  make([][]colour.XYZ, len(is.Rig.Sources)),
			Offset: make([][]int, len(is.Rig.Sources)),
		}
		state.Light[source], state.Cells[source] = l.Asked, l.Cells
		if l.Cells != nil {
			state.Offset[source] = make([]int, r.Layout(source).Codes())
			r.LandCells(source, l.Cells, state.Offset[source])
		} else {
			state.Offset[source] = make([]int, r.Controls(source))
			r.Land(source, l.Asked, state.Offset[source])
		}
		frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
		r.Render(state, frames)
		return frames
	}
	out := map[string]bool{}
	for i := range was.Resolved {
		now := &is.Resolved[is.CueIndex(was.Resolved[i].Name)]
		for source := range now.Light {
			a, b := &was.Resolved[i].Light[source], &now.Light[source]
			if (a.Asked != b.Asked || !slices.Equal(a.Cells, b.Cells)) && !slices.Equal(slots(source, a), slots(source, b)) {
				out[now.Name] = true
			}
		}
	}
	return out
}

// Every cue's trims are kept at once: each plays on as it was trimmed, all others as
// they were, and one undo takes it back.
func TestKeepAll(t *testing.T) {
	root := t.TempDir()
	first := kittiwake(t)
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "shoot")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		l := goLive(t, dir, true)
		text := l.file("cues.toml")
		l.do("next")
		l.no("keep all", "no cue has trims to keep")
		if rapid.Bool().Draw(t, "under a look") {
			l.try("look dusk on")
		}
		want := map[string][][fixtures.UniverseSize]byte{}
		for range rapid.IntRange(1, 4).Draw(t, "cues") {
			name := rapid.SampledFrom(l.engine.Shoot().CueNames()).Draw(t, "cue")
			if want[name] != nil {
				continue
			}
			l.do(fmt.Sprintf("go %q", name))
			for range rapid.IntRange(1, 3).Draw(t, "trims") {
				l.try("trim " + drawTrim(t))
			}
			if played := slices.Clone(l.settle()); l.snapshot().Trimmed {
				want[name] = played
			}
		}
		if len(want) == 0 {
			return
		}
		r := l.do("keep all")
		if r.Ask == nil || l.file("cues.toml") != text {
			t.Fatalf("it is not told first: %+v", r)
		}
		told := r.Ask.Question()
		r = l.do("apply")
		said(t, r, "kept in")
		now := l.file("cues.toml")
		for name, played := range want {
			l.do(fmt.Sprintf("go %q", name))
			if s := l.snapshot(); s.Trimmed || s.Offered {
				t.Fatalf("%s has trims still", name)
			}
			if !slices.Equal(l.settle(), played) && !strings.Contains(told, "in "+name) {
				t.Fatalf("%s plays other bytes:\n%s", name, now)
			}
		}
		for name := range moved(t, first, l.engine.Shoot()) {
			if want[name] == nil && !strings.Contains(told, "in "+name) {
				t.Fatalf("%s plays other bytes:\n%s", name, now)
			}
		}
		l.do("undo")
		if l.file("cues.toml") != text {
			t.Fatal("undo does not take it back")
		}
	})
}

// drawTrim is a trim of some lights.
func drawTrim(t *rapid.T) string {
	lights := []string{"sky", "horizon", `"left stroke"`, "fill", "lantern", "strokes", "everything"}
	return rapid.SampledFrom(lights).Draw(t, "of") + " " + rapid.SampledFrom([]string{
		"up 1/3 stop", "down 1 1/2 stops", "to 40 %", "to key -2 stops", "to -1 1/3 stops", "to 200 lx", "20 mired warmer",
		"tint +0.001", "colour 3200 K", "colour #ff6a1a", "down 0.1 stop",
	}).Draw(t, "how")
}

// Keep asks where the light is shared, and does what is answered.
func TestKeepAsksWhere(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	text := l.file("cues.toml")
	l.do("next")
	l.no("keep", "no trims")
	l.do("trim sky down 1/3")
	r := l.do("keep")
	said(t, r, "shared with other cues", "everywhere changes bow", "keep here", "keep as")
	if l.file("cues.toml") != text {
		t.Fatal("a question has written")
	}
	if s := l.snapshot(); !strings.Contains(s.Question, "shared") || len(s.Choices) != 4 {
		t.Errorf("the question is not in the snapshot: %+v", s)
	}
	l.do("never mind")
	l.no("never mind", "nothing was asked")
	if s := l.snapshot(); s.Question != "" || !s.Trimmed {
		t.Errorf("%+v", s)
	}
	l.do("keep")
	r = l.do("2") // by its number
	said(t, r, "changed: bow")
	for _, name := range []string{"beam", "stern quarter"} { // from bow, and from beam
		i := l.engine.Shoot().CueIndex(name)
		if got := l.engine.Shoot().Resolved[i].Light[0].Level; got != "57.15 %" {
			t.Errorf("sky is at %s in %s", got, name)
		}
	}
	if now := l.file("cues.toml"); now == text || strings.Count(now, "\n") < strings.Count(text, "\n") {
		t.Error("the file is not edited in place")
	}
	if s := l.source("sky"); s.Level != "57.15 %" || s.KeptLevel != s.Level || s.Trimmed {
		t.Errorf("%+v", s)
	}
	// A cue of its own: kept without a question.
	l.do("go port quarter")
	l.do("trim fill to 70 lx")
	if r := l.do("keep"); r.Ask != nil {
		t.Errorf("asked in vain: %v", r.Ask)
	}
}

// What was kept is taken back byte for byte, and the trims are trims again.
func TestUndoOfKeeping(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	text := l.file("cues.toml")
	l.do("go port quarter")
	kept := slices.Clone(l.settle())
	l.do("trim fill to 70 lx")
	played := slices.Clone(l.settle())
	l.do("keep")
	written := l.file("cues.toml")
	said(t, l.do("undo"), "undone: keep")
	if s := l.snapshot(); l.file("cues.toml") != text || !s.Trimmed || !slices.Equal(l.settle(), played) {
		t.Errorf("undo of keep: %+v", s)
	}
	l.do("undo")
	if s := l.snapshot(); s.Trimmed || !slices.Equal(l.settle(), kept) {
		t.Errorf("undo of the trim under it: %+v", s)
	}
	l.do("redo")
	said(t, l.do("redo"), "done again: keep")
	if s := l.snapshot(); l.file("cues.toml") != written || s.Trimmed || !slices.Equal(l.settle(), played) {
		t.Errorf("redo of keep: %+v", s)
	}
	l.do("keep as low sun")
	l.do("undo")
	if s := l.snapshot(); l.file("cues.toml") != written || s.CueName != "port quarter" || !slices.Equal(l.settle(), played) {
		t.Errorf("undo of a new cue: %+v", s)
	}
	l.do("redo")
	if s := l.snapshot(); s.CueName != "low sun" || !slices.Equal(l.settle(), played) {
		t.Errorf("redo of a new cue: %+v", s)
	}
	if err := os.WriteFile(filepath.Join(l.dir, "cues.toml"), []byte(l.file("cues.toml")+"# by somebody else\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	l.do("reload")
	l.no("undo", "cannot be taken back", ".limn/history")
}

// A trim under a look that was laid on by hand is kept as that cue's exception of it.
func TestKeepUnderALook(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("go stern")
	l.do("look dusk on")
	l.do("trim lantern down 1 stop")
	played := slices.Clone(l.settle())
	r := l.try("keep here")
	if r.Refused {
		t.Fatal(r.Notices)
	}
	if !slices.Equal(l.settle(), played) {
		t.Error("keep moves the light")
	}
	if !strings.Contains(l.file("cues.toml"), "[cue.look.dusk]") {
		t.Error("no exception is written")
	}
	l.do("undo")
	if strings.Contains(l.file("cues.toml"), "[cue.look.dusk]") || !slices.Equal(l.settle(), played) || !l.snapshot().Trimmed {
		t.Error("undo does not take back what was kept")
	}
	l.do("redo")
	l.do("look dusk off")
	l.do("look dusk on")
	if !slices.Equal(l.settle(), played) {
		t.Error("the exception does not come back with the look")
	}
}

// Somebody else's edit in between is never overwritten: it is asked about.
func TestKeepMeetsAnotherEdit(t *testing.T) {
	for _, answer := range []string{"keep mine", "take theirs", "never mind"} {
		l := goLive(t, t.TempDir(), true)
		l.do("go port quarter")
		l.do("trim fill to 70 lx")
		played := slices.Clone(l.settle())
		theirs := strings.Replace(l.file("cues.toml"), "# Kittiwake", "# Kittiwake, by somebody else", 1)
		if err := os.WriteFile(filepath.Join(l.dir, "cues.toml"), []byte(theirs), 0o666); err != nil {
			t.Fatal(err)
		}
		r := l.do("keep")
		said(t, r, "somebody else has changed cues.toml", "keep mine", "take theirs")
		if l.file("cues.toml") != theirs {
			t.Fatal("their edit was overwritten")
		}
		l.do(answer)
		if !slices.Equal(l.settle(), played) {
			t.Errorf("%s moves the light", answer)
		}
		now := l.file("cues.toml")
		if !strings.Contains(now, "by somebody else") {
			t.Errorf("%s: their edit is gone", answer)
		}
		if kept := strings.Contains(now, "70 lx"); kept != (answer == "keep mine") || l.snapshot().Trimmed == kept {
			t.Errorf("%s: kept %v", answer, kept)
		}
	}
}

func TestNewCues(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("next")
	l.do("trim sky down 1/3")
	played := slices.Clone(l.settle())
	r := l.do("go to 110")
	said(t, r, "nearest is 80° beam, 30° away", "start here")
	r = l.do("start here")
	said(t, r, "a new angle at 110° from the light of beam")
	if s := l.snapshot(); !s.Here || s.Azimuth != 110 || s.Cue != l.engine.Shoot().CueIndex("beam") {
		t.Errorf("%+v", s)
	}
	l.no("keep", "keep as NAME")
	l.do("trim sky up 1/3")
	here := slices.Clone(l.settle())
	l.do("keep as low bow")
	i := l.engine.Shoot().CueIndex("low bow")
	if s := l.snapshot(); i < 0 || s.Cue != i || s.Here || s.Trimmed || s.Azimuth != 110 || !slices.Equal(l.settle(), here) {
		t.Fatalf("low bow is cue %d: %+v", i, s)
	}
	if !slices.Equal(l.again(`"low bow"`), here) {
		t.Error("the files play other bytes")
	}
	r = l.do("go bow")
	said(t, r, "trims that were not kept")
	l.do("trimmed")
	if !slices.Equal(l.settle(), played) {
		t.Error("the trims of another cue are lost")
	}
	l.do("new angle wake at 200")
	if s := l.snapshot(); s.CueName != "wake" || s.Azimuth != 200 || !slices.Equal(l.settle(), played) {
		t.Errorf("%+v", s)
	}
	l.do("go to 200.4")
	l.do("copy to stern, head on")
	for _, name := range []string{"stern", "head on"} {
		l.do("go " + name)
		if !slices.Equal(l.settle(), played) {
			t.Errorf("%s has not the light that was copied", name)
		}
	}
	if _, err := l.engine.Parse("keep as wake"); err == nil {
		t.Error("a name is given twice")
	}
}

func TestMirror(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("go beam")
	l.no("mirror", "no cue stands at 280°", "mirror as NAME")
	left, right := l.source("left stroke").Lux, l.source("right stroke").Lux
	l.do("mirror as port beam")
	if s := l.snapshot(); s.CueName != "port beam" || s.Azimuth != 280 {
		t.Fatalf("%+v", s)
	}
	gotLeft, gotRight := l.source("left stroke").Lux, l.source("right stroke").Lux
	for _, x := range []struct{ got, want float64 }{{gotLeft, right}, {gotRight, left}} {
		if x.want > 0 && math.Abs(math.Log2(x.got/x.want)) > 0.01 {
			t.Errorf("%g lx were carried as %g", x.want, x.got)
		}
	}
	l.do("go beam")
	l.do("trim left stroke down 1 stop")
	l.do("mirror") // into the one that is there now
	l.do("go port beam")
	if got := l.source("right stroke").Lux; math.Abs(math.Log2(got/(left/2))) > 0.01 {
		t.Errorf("the mirrored trim gives %g lx, want %g", got, left/2)
	}
}

// Good files fade in and trims stay; bad ones leave the light.
func TestReloadUnderTheRun(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("next")
	l.do("trim fill up 1 stop")
	write := func(old, by string) {
		t.Helper()
		text := l.file("cues.toml")
		if !strings.Contains(text, old) {
			t.Fatalf("cues.toml does not hold %q", old)
		}
		if err := os.WriteFile(filepath.Join(l.dir, "cues.toml"), []byte(strings.Replace(text, old, by, 1)), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	before := slices.Clone(l.settle())
	write(`sky `, `skyy `)
	l.no("reload", "the files have errors", "skyy")
	write(`skyy `, `sky `)
	l.do("reload")
	if !slices.Equal(l.settle(), before) {
		t.Error("reading the same again moves the light")
	}
	write(`"72 %"`, `"36 %"`)
	r := l.try("reload")
	if r.Refused {
		t.Fatal(r.Notices)
	}
	l.k += 22 // half way through the second that it takes
	l.engine.Fill(l.k, l.out)
	if y := l.source("sky").Asked.Y; y <= 0.36*0.9 || y >= 0.72 {
		t.Errorf("half way sky is at %g", y)
	}
	l.settle()
	if s := l.source("sky"); s.Level != "36 %" {
		t.Errorf("sky is at %s", s.Level)
	}
	if s := l.source("fill"); !s.Trimmed || s.Level != "key -2 stops" {
		t.Errorf("the trim of fill is gone: %+v", s)
	}
	// The present cue under another name: its light stays.
	now := slices.Clone(l.settle())
	text := strings.ReplaceAll(l.file("cues.toml"), `"bow"`, `"prow"`)
	if err := os.WriteFile(filepath.Join(l.dir, "cues.toml"), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	said(t, l.do("reload"), "no longer in the files", "stays until another is called")
	if s := l.snapshot(); !slices.Equal(l.settle(), now) || s.Cue != -1 || s.CueName != "bow" {
		t.Errorf("%+v", s)
	}
	l.no("trim sky up 1/3 stop", "no longer in the files")
	l.no("keep", "no longer in the files")
	l.do("next")
	if s := l.snapshot(); s.Cue < 0 {
		t.Errorf("%+v", s)
	}
}

// What a watched folder comes to.
func TestChanged(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	before := slices.Clone(l.settle())
	r := l.engine.Changed(files.Event{Problems: []files.Problem{{What: "sky is not there", Cure: "put it back"}}})
	if !r.Refused || !slices.Equal(l.settle(), before) || len(l.snapshot().Warnings) != 1 {
		t.Errorf("%+v, %v", r, l.snapshot().Warnings)
	}
	r = l.engine.Changed(files.Event{Shoot: kittiwake(t)})
	if r.Refused || !slices.Equal(l.settle(), before) || len(l.snapshot().Warnings) != 0 {
		t.Errorf("%+v, %v", r, l.snapshot().Warnings)
	}
}

func TestHoldExposure(t *testing.T) {
	l := goLive(t, "", false)
	l.do("go beam")
	total := func() float64 {
		sum := 0.0
		for _, s := range l.snapshot().Sources {
			if !math.IsNaN(s.Lux) {
				sum += s.Lux
			}
		}
		return sum
	}
	l.do("hold exposure on")
	l.no("hold exposure on", "already")
	was := total()
	for _, text := range []string{"trim sky down 1 stop", "trim fill up 1 stop", "trim strokes down 1/3", "trim sky up 1/2 stop", "trim sky to 50 %"} {
		before := l.snapshot()
		r := l.do(text)
		if got := total(); math.Abs(math.Log2(got/was)) > 0.01 {
			t.Log(r.Notices)
			for i, s := range l.snapshot().Sources {
				t.Log(l.engine.Shoot().Rig.Sources[i].Name, s.Lux, s.Level, before.Sources[i].Lux)
			}
			t.Errorf("%s: the total goes from %g to %g lx", text, was, got)
		}
		// The others are scaled by one factor.
		var factors []float64
		for i, s := range l.snapshot().Sources {
			b := before.Sources[i].Lux
			name := l.engine.Shoot().Rig.Sources[i].Name
			if b > 0 && !strings.Contains(text, name) && !(strings.Contains(text, "strokes") && strings.Contains(name, "stroke")) {
				factors = append(factors, s.Lux/b)
			}
		}
		for _, f := range factors {
			if math.Abs(math.Log2(f/factors[0])) > 0.02 {
				t.Errorf("%s: the others are scaled by %v", text, factors)
			}
		}
	}
	said(t, l.try("trim sky to 3000 lx"), "0.4 stop short")
	l.do("hold exposure off")
	l.do("undo trims")
	like := goLive(t, "", false)
	like.do("go stern")
	want := 0.0
	for _, s := range like.snapshot().Sources {
		if !math.IsNaN(s.Lux) {
			want += s.Lux
		}
	}
	l.do("match exposure to stern")
	if got := total(); math.Abs(math.Log2(got/want)) > 0.01 {
		t.Errorf("matched to %g lx, want %g", got, want)
	}
	l.do("undo")
	if got := total(); math.Abs(got-was) > 1e-6 {
		t.Errorf("undone to %g lx, was %g", got, was)
	}
}

// Trims for many cues are told first; one undo takes them all back.
func TestTrimsInManyCues(t *testing.T) {
	l := goLive(t, "", false)
	l.do("go bow")
	before := slices.Clone(l.settle())
	r := l.do("trim in all cues: sky 20 mired warmer, background down 1/3")
	said(t, r, "this changes", "bow: sky 62.62 % white +20 mired (kept 72 % white)", "apply", "never mind")
	if !slices.Equal(l.settle(), before) {
		t.Error("a preview moves the light")
	}
	l.do("apply")
	trimmed := slices.Clone(l.settle())
	if slices.Equal(trimmed, before) {
		t.Error("applied to nothing")
	}
	said(t, l.do("next"), "given from elsewhere")
	if !l.snapshot().Trimmed {
		t.Error("the next cue has no trims")
	}
	l.do("next")
	l.do("back")
	if s := l.snapshot(); s.Trimmed || !s.Offered {
		t.Errorf("coming back recalls no kept light: %+v", s)
	}
	l.do("undo")
	if s := l.snapshot(); s.Trimmed || s.Offered {
		t.Error("one undo leaves some")
	}
	l.do("go bow")
	if !slices.Equal(l.settle(), before) {
		t.Error("one undo leaves those of bow")
	}
}

func TestGoTo(t *testing.T) {
	l := goLive(t, "", false)
	l.do("go to beam")
	if got := l.snapshot().CueName; got != "beam" {
		t.Errorf("at %s", got)
	}
	l.do("go to 80.9")
	if got := l.snapshot().CueName; got != "beam" {
		t.Errorf("at %s", got)
	}
	said(t, l.do("go to 75"), "nearest is 80° beam, 5° away", "take", "start here")
	l.do("take")
	said(t, l.do("go to 355"), "nearest is 0° head on, 5° away")
	l.do("next") // another command is an answer too
	l.no("take", "nothing was asked")
}

// Looks stay while cues are stepped through.
func TestLooksStay(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	l.do("look dusk on")
	l.no("look dusk on", "already")
	l.do("next")
	if s := l.snapshot(); !slices.Equal(s.Looks, []string{"dusk"}) && s.CueName != "bow at dusk" {
		t.Errorf("%+v", s)
	}
	l.do("look dusk off")
	if s := l.snapshot(); len(s.Looks) != 0 {
		t.Errorf("%+v", s)
	}
}

var _ = cue.Settled

// A key switched off in one cue takes nothing from those that come from it and count
// from the key: they keep their own.
func TestKeepTheKeySwitchedOff(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	was := l.engine.Shoot()
	l.do("go bow")
	l.do("trim everything to off")
	said(t, l.do("keep"), "count from light that would be gone", "keep here")
	l.do("keep here")
	if moved := moved(t, was, l.engine.Shoot()); len(moved) != 1 || !moved["bow"] {
		t.Errorf("kept in bow, %v move", moved)
	}
	l.do("undo")
	if moved := moved(t, was, l.engine.Shoot()); len(moved) != 0 {
		t.Errorf("undone, %v have moved", moved)
	}
}

// A strip across the picture is mirrored end for end, and written so.
func TestMirrorOfARamp(t *testing.T) {
	l := goLive(t, t.TempDir(), true)
	l.do("go beam")
	l.do("mirror as lee beam")
	s := l.engine.Shoot()
	horizon := s.Rig.Index("horizon")
	was, is := s.Resolved[s.CueIndex("beam")].Light[horizon].Cells, s.Resolved[s.CueIndex("lee beam")].Light[horizon].Cells
	if len(was) == 0 || len(was) != len(is) {
		t.Fatalf("%d cells are mirrored as %d", len(was), len(is))
	}
	for c := range was {
		// Lux are written to four figures, colours as the nearest white to a kelvin.
		if a, b := was[len(was)-1-c], is[c]; math.Abs(a.Y-b.Y) > 1e-3*a.Y || math.Abs(a.X-b.X) > 2e-3*a.Y {
			t.Errorf("cell %d is %v, mirrored %v", c, a, b)
		}
	}
	if !slices.Equal(l.again(`"lee beam"`), l.settle()) {
		t.Error("the files play other bytes")
	}
	l.do("undo")
	if l.snapshot().CueName != "beam" {
		t.Error("it is not undone")
	}
}
