package operate_test

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/testdata"

	"pgregory.net/rapid"
)

// bench is a live shoot stepped by hand: the example shoot in a folder of its own.
type live struct {
	t      failer
	dir    string
	folder *files.Folder
	engine *operate.Engine
	out    [][fixtures.UniverseSize]byte
	k      int64
	done   []operate.Done
}

// failer is what testing.T and rapid.T have in common.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// copyShoot writes the example shoot into a folder.
func copyShoot(t failer, dir string) {
	t.Helper()
	err := fs.WalkDir(testdata.Kittiwake(), ".", func(name string, d fs.DirEntry, err error) error {
		to := filepath.Join(dir, filepath.FromSlash(name))
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return os.MkdirAll(to, 0o777)
		}
		b, err := fs.ReadFile(testdata.Kittiwake(), name)
		if err != nil {
			return err
		}
		return os.WriteFile(to, b, 0o666)
	})
	if err != nil {
		t.Fatalf("%v", err)
	}
}

// goLive plays the example shoot. With write it lies in dir and is edited there.
func goLive(t failer, dir string, write bool) *live {
	t.Helper()
	l := &live{t: t, dir: dir, k: -1}
	var shoot *cue.Shoot
	var problems []files.Problem
	if write {
		copyShoot(t, dir)
		var err error
		if l.folder, shoot, problems, err = files.Open(dir); err != nil {
			t.Fatalf("%v", err)
		}
	} else {
		l.folder, shoot, problems = files.OpenFS("kittiwake", testdata.Kittiwake())
	}
	if shoot == nil {
		t.Fatalf("%v", problems)
	}
	e, err := operate.New(shoot, operate.Options{
		AutoConfirm: true, Folder: l.folder, Write: write,
		OnDone: func(d operate.Done) { l.done = append(l.done, d) },
	})
	if err != nil {
		t.Fatalf("%v", err)
	}
	l.engine = e
	l.out = make([][fixtures.UniverseSize]byte, len(e.Universes()))
	return l
}

func mustEngine(t failer, shoot *cue.Shoot) *operate.Engine {
	e, err := operate.New(shoot, operate.Options{AutoConfirm: true})
	if err != nil {
		t.Fatalf("%v", err)
	}
	return e
}

// try gives a command that may be refused.
func (l *live) try(text string) operate.Reply {
	l.t.Helper()
	c, err := l.engine.Parse(text)
	if err != nil {
		l.t.Fatalf("%s: %v", text, err)
	}
	return l.engine.Do(c)
}

// do gives a command that must be accepted, and every frame until it has settled.
func (l *live) do(text string) operate.Reply {
	l.t.Helper()
	r := l.try(text)
	if r.Refused {
		l.t.Fatalf("%s is refused: %v", text, r.Notices)
	}
	l.settle()
	return r
}

// no gives a command that must be refused with these words.
func (l *live) no(text string, words ...string) {
	l.t.Helper()
	before := slices.Clone(l.settle())
	r := l.try(text)
	if !r.Refused {
		l.t.Fatalf("%s is taken: %v", text, r.Notices)
	}
	said(l.t, r, words...)
	if !slices.Equal(before, l.settle()) {
		l.t.Fatalf("%s was refused and changed the light", text)
	}
}

// said holds an answer to words.
func said(t failer, r operate.Reply, words ...string) {
	t.Helper()
	text := strings.Join(r.Notices, "\n")
	if r.Ask != nil {
		text += "\n" + r.Ask.String()
	}
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Fatalf("%q does not say %q", text, w)
		}
	}
}

// settle fills frames until nothing changes by itself.
func (l *live) settle() [][fixtures.UniverseSize]byte {
	const longest = 60 * 44
	var snap cue.Snapshot
	for range longest / 11 {
		l.k += 11
		l.engine.Fill(l.k, l.out)
		l.engine.Snapshot(&snap)
		if snap.Motion == cue.Settled || snap.Motion == cue.Dark || snap.Motion == cue.Held || snap.Cue < 0 {
			break
		}
	}
	return l.out
}

func (l *live) snapshot() *cue.Snapshot {
	var snap cue.Snapshot
	l.engine.Snapshot(&snap)
	return &snap
}

// source is one source of the latest snapshot.
func (l *live) source(name string) *cue.SourceSnapshot {
	l.t.Helper()
	i := l.engine.Shoot().Rig.Index(name)
	if i < 0 {
		l.t.Fatalf("no source %q", name)
	}
	return &l.snapshot().Sources[i]
}

// file is a file of the shoot as it lies on disk.
func (l *live) file(name string) string {
	l.t.Helper()
	b, err := os.ReadFile(filepath.Join(l.dir, name))
	if err != nil {
		l.t.Fatalf("%v", err)
	}
	return string(b)
}

// What is displayed is what is played: the level as printed gives the light.
func TestTrimsPlayWhatTheyPrint(t *testing.T) {
	l := goLive(t, "", false)
	l.no("trim sky up 1 stop", "no cue has been called yet")
	l.do("next")
	for _, step := range []struct{ text, source, level, kept string }{
		{"trim sky up 1/3 stop", "sky", "90.71 %", "72 %"},
		{"trim sky up 1 stop", "sky", "100 %", "72 %"},
		{"trim sky down 1 stop", "sky", "50 %", "72 %"},
		{"trim sky to -1 1/3 stops", "sky", "-1 1/3 stops", "72 %"},
		{"trim sky up 1/3", "sky", "-1 stop", "72 %"},
		{"trim sky to 850 lx", "sky", "850 lx", "72 %"},
		{"trim left stroke up 1/3", "left stroke", "key -2/3 stop", "key -1 stop"},
		{"trim fill to key -2 stops", "fill", "key -2 stops", "key -3 stops"},
		{"trim fill to off", "fill", "off", "key -3 stops"},
	} {
		l.do(step.text)
		s := l.source(step.source)
		if s.Level != step.level || s.KeptLevel != step.kept || !s.Trimmed {
			t.Errorf("%s: %q (kept %q), want %q (kept %q)", step.text, s.Level, s.KeptLevel, step.level, step.kept)
		}
		level, err := cue.ParseLevel(s.Level)
		if err != nil {
			t.Fatal(err)
		}
		switch level.Kind() {
		case cue.LevelLux:
			if math.Abs(s.Lux-level.Value()) > 1e-9*level.Value() {
				t.Errorf("%s plays %g lx", step.text, s.Lux)
			}
		case cue.LevelKey:
			if math.Abs(s.KeyStops-level.Value()) > 1e-12 {
				t.Errorf("%s plays %g stops against the key", step.text, s.KeyStops)
			}
		case cue.LevelOff:
			if s.Asked.Y != 0 {
				t.Errorf("%s plays %g", step.text, s.Asked.Y)
			}
		}
	}
	said(t, l.try("trim sky to 5000 lx"), "sky gives", "at most", "short")
	l.no("trim fill up 1 stop", "fill is off", "trim fill to 20 %")
	l.no("trim sky to key -1 stop", "sky is the key")
	l.no("trim sky up 1 stop", "the most it gives")
}

// A group or everything moves together: what counts from the key follows it.
func TestTrimsOfManyKeepTheBalance(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	before := l.snapshot()
	l.do("trim everything down 1 stop")
	after := l.snapshot()
	for i := range before.Sources {
		a, b := before.Sources[i].Asked.Y, after.Sources[i].Asked.Y
		if l.engine.Shoot().Rig.Sources[i].Hand {
			continue
		}
		if math.Abs(b-a/2) > 1e-3*a {
			t.Errorf("source %d: %g to %g", i, a, b)
		}
	}
	r := l.do("trim strokes 10 mired cooler, background down 1/3")
	said(t, r, "left stroke", "white -10 mired", "horizon")
}

// The light is held where only the colour is trimmed, whatever unit the level has.
func TestColourTrimsHoldTheLight(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	for _, text := range []string{
		"trim lantern to 40 %", "trim lantern colour 3200 K", "trim lantern 20 mired warmer", "trim lantern 10 mired cooler",
		"trim lantern tint +0.002", "trim lantern 0.001 pinker", "trim lantern colour xy 0.45 0.41", "trim lantern 5 mired warmer",
		"trim lantern colour #ffd0a0", "trim lantern 5 mired warmer", "trim lantern colour u'v' 0.24 0.52", "trim lantern 5 mired cooler",
	} {
		before := *l.source("lantern")
		l.do(text)
		after := l.source("lantern")
		if before.Asked.Y > 0 && math.Abs(math.Log2(after.Asked.Y/before.Asked.Y)) > 0.005 {
			t.Errorf("%s: from %g to %g, as %s", text, before.Asked.Y, after.Asked.Y, after.Level)
		}
		if strings.Contains(text, "mired") && after.Colour == before.Colour {
			t.Errorf("%s: the colour stays %s", text, after.Colour)
		}
	}
	l.no("trim keel glow up 1 stop", "off")
	l.do("trim lantern colour hue 20 sat 90 %")
	l.no("trim lantern 10 mired warmer", "no white", "give it a colour")
}

func TestMiredKeepsTheWayOfWriting(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	for _, step := range []struct{ colour, trim, want string }{
		{"5600 K", "20 mired warmer", "5036 K"},
		{"5600 K", "20 mired cooler", "6306 K"},
		{"5600 K tint +0.003", "20 mired warmer", "5036 K tint +0.003"},
		{"5600 K -20 mired", "30 mired warmer", "5600 K +10 mired"},
		{"white", "20 mired warmer", "white +20 mired"},
		{"white +20 mired tint -0.002", "20 mired cooler", "white tint -0.002"},
		{"white", "tint +0.001", "white tint +0.001"},
		{"3200 K tint -0.001", "tint +0.001", "3200 K"},
	} {
		l.do("trim lantern to 30 %")
		l.do("trim lantern colour hue 10 sat 90 %") // so that the next is a change
		l.do("trim lantern colour " + step.colour)
		l.do("trim lantern " + step.trim)
		if got := l.source("lantern").Colour; got != step.want {
			t.Errorf("%s, %s is %s, want %s", step.colour, step.trim, got, step.want)
		}
	}
	// What is written as a point or a code stays one, and moves by as many mired.
	for _, spec := range []string{"xy 0.3127 0.3290", "u'v' 0.2009 0.4708", "#ffe6d0"} {
		l.do("trim lantern colour " + spec)
		l.do("trim lantern 20 mired warmer")
		was, _ := colour.ParseSpec(spec)
		is, err := colour.ParseSpec(l.source("lantern").Colour)
		if err != nil || is.String()[0] != spec[0] {
			t.Fatalf("%s becomes %s (%v)", spec, is, err)
		}
		a, _ := was.Resolve(colour.White{Kelvin: 5600}).White()
		b, _ := is.Resolve(colour.White{Kelvin: 5600}).White()
		if moved := b.Mired() - a.Mired(); math.Abs(moved-20) > 3 { // an sRGB code is a step of some mired
			t.Errorf("%s is %s, moved by %g mired", spec, is, moved)
		}
	}
}

// Trims stay with their cue: stepping on carries nothing, coming back plays what is
// kept and offers them.
func TestTrimsStayWithTheirCue(t *testing.T) {
	l := goLive(t, "", false)
	l.do("next")
	kept := slices.Clone(l.settle())
	l.do("trim sky down 1 stop")
	trimmed := slices.Clone(l.settle())
	l.do("next")
	fresh := goLive(t, "", false)
	fresh.do("next")
	fresh.do("next")
	if !slices.Equal(l.settle(), fresh.settle()) {
		t.Error("a trim was carried into the next cue")
	}
	r := l.do("back")
	said(t, r, "trims that were not kept", "sky 36 % (kept 72 %)", "trimmed takes them again")
	if s := l.snapshot(); !slices.Equal(l.settle(), kept) || s.Trimmed || !s.Offered {
		t.Errorf("coming back does not play the kept light: %+v", s)
	}
	l.do("trimmed")
	if s := l.snapshot(); !slices.Equal(l.settle(), trimmed) || !s.Trimmed || s.Offered {
		t.Errorf("the trims do not come back: %+v", s)
	}
	l.do("kept")
	if !slices.Equal(l.settle(), kept) {
		t.Error("kept shows something else")
	}
	l.no("kept", "as it is kept already")
	l.no("keep", "trimmed shows the trims")
	l.do("trimmed")
	l.no("trimmed", "trimmed already")
	l.do("undo trims")
	l.no("trimmed", "no trims")
	if !slices.Equal(l.settle(), kept) {
		t.Error("undo trims leaves something")
	}
	l.do("undo")
	if !slices.Equal(l.settle(), trimmed) {
		t.Error("undo trims is not undone")
	}
}

// liveCommands are commands for random programs over the example shoot.
func liveCommands(s *cue.Shoot) *rapid.Generator[string] {
	quoted := func(list []string) []string {
		out := make([]string, len(list))
		for i, n := range list {
			out[i] = fmt.Sprintf("%q", n)
		}
		return out
	}
	cues := quoted(s.CueNames())
	var looks []string
	for i := range s.Looks {
		looks = append(looks, fmt.Sprintf("%q", s.Looks[i].Name))
	}
	lights := []string{"sky", "horizon", `"left stroke"`, `"right stroke"`, "fill", "lantern", `"keel glow"`, "strokes", "everything", "key", "accent", "torch"}
	sources := lights[:7]
	return rapid.Custom(func(t *rapid.T) string {
		of := func(list []string) string { return rapid.SampledFrom(list).Draw(t, "of") }
		stops := of([]string{"1/3 stop", "1/2 stop", "1 stop", "0.1 stop", "2 stops", "7 stops"})
		switch rapid.IntRange(0, 22).Draw(t, "kind") {
		case 0, 1:
			return "next"
		case 2:
			return "back"
		case 3:
			return "go " + of(cues)
		case 4, 5, 6:
			return "trim " + of(lights) + of([]string{" up ", " down "}) + stops
		case 7:
			return "trim " + of(lights) + " to " + of([]string{"60 %", "key -2 stops", "-1 1/3 stops", "300 lx", "off", "12.5 %"})
		case 8, 9:
			return "trim " + of(lights) + of([]string{" 20 mired warmer", " 7 mired cooler", " tint +0.001", " 0.002 pinker", " colour 3200 K", " colour white", " colour #ff6a1a"})
		case 10:
			return "look " + of(looks) + of([]string{" on", " off"})
		case 11:
			return "whole " + of([]string{"up 1/2 stop", "down 1 stop", "to 0 stops", "up 1/3 stop"})
		case 12:
			return of([]string{"alone ", "identify ", "aim ", "without "}) + of(sources)
		case 13:
			return of([]string{"alone off", "identify off", "aim off", "with everything"})
		case 14:
			return of([]string{"dark", "dark off", "hold", "resume", "work light on", "work light off", "confirm"})
		case 15:
			return "undo"
		case 16:
			return "redo"
		case 17:
			return of([]string{"undo trims", "kept", "trimmed", "quicker", "slower"})
		case 18:
			return of([]string{"hold exposure on", "hold exposure off"})
		case 19:
			return "match exposure to " + of(cues)
		case 20:
			return "trim in " + of([]string{"all cues", `"bow", "beam"`}) + " " + of(lights) + " down " + stops
		case 21:
			return of([]string{"apply", "take", "start here", "never mind", "go to 80", "go to 110", "go to 33"})
		default:
			return of([]string{"keep", "keep here", "keep everywhere"})
		}
	})
}

// undoable says whether undo takes a command back.
func undoable(text string) bool {
	for _, verb := range []string{"trim ", "look ", "whole ", "alone ", "identify ", "aim ", "without ", "with ", "undo trims", "match "} {
		if strings.HasPrefix(text, verb) && !strings.HasPrefix(text, "trim in") {
			return true
		}
	}
	return text == "apply"
}

// After any program, a command that is undone leaves the same bytes, and done
// again those it had made.
func TestUndoReturnsTheSameBytes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := goLive(t, "", false)
		commands := liveCommands(l.engine.Shoot())
		l.do("next")
		for range rapid.IntRange(0, 8).Draw(t, "before") {
			l.try(commands.Draw(t, "command"))
			if rapid.Bool().Draw(t, "settles") {
				l.settle()
			}
		}
		l.settle()
		if l.snapshot().Motion == cue.Held {
			l.try("resume")
		}
		if l.snapshot().Identify >= 0 {
			l.try("identify off") // it swells, and never stands still
		}
		before := slices.Clone(l.settle())
		text := commands.Draw(t, "undone")
		if r := l.try(text); r.Refused || r.Ask != nil || !undoable(text) || strings.HasPrefix(text, "identify") {
			return
		}
		changed := slices.Clone(l.settle())
		l.do("undo")
		if !slices.Equal(l.settle(), before) {
			t.Fatalf("%s is not undone", text)
		}
		l.do("redo")
		if !slices.Equal(l.settle(), changed) {
			t.Fatalf("%s is not done again", text)
		}
	})
}

// The commands that were accepted, given again in their frames, lead to the same
// frames: at every frame, whatever was in motion.
func TestReplayEqualsTheRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := goLive(t, "", false)
		commands := liveCommands(l.engine.Shoot())
		var ran [][][fixtures.UniverseSize]byte
		n := rapid.IntRange(1, 25).Draw(t, "commands")
		var live []bool
		fill := func(frames int) {
			for range frames {
				l.k++
				live = append(live, l.engine.Fill(l.k, l.out))
				ran = append(ran, slices.Clone(l.out))
			}
		}
		for range n {
			text := commands.Draw(t, "command")
			c, err := l.engine.Parse(text)
			if err != nil {
				continue // the answer to nothing
			}
			if rapid.IntRange(0, 4).Draw(t, "later") == 0 {
				l.engine.DoAt(l.k+int64(rapid.IntRange(1, 40).Draw(t, "by")), c)
			} else {
				l.engine.Do(c)
			}
			fill(rapid.IntRange(0, 30).Draw(t, "frames"))
		}
		fill(60)
		l.engine.Tell()

		again := goLive(t, "", false)
		done := l.done
		for k := range ran {
			for len(done) > 0 && done[0].K <= int64(k) {
				if done[0].K < int64(k) {
					t.Fatalf("%s of frame %d was told after frame %d", done[0].Command, done[0].K, k)
				}
				r, err := again.engine.Replay(done[0].K, done[0].Command.String())
				if err != nil || r.Refused || r.K != done[0].K {
					t.Fatalf("%s in frame %d: %+v (%v)", done[0].Command, done[0].K, r, err)
				}
				done = done[1:]
			}
			if is := again.engine.Fill(int64(k), again.out); is != live[k] || is && !slices.Equal(again.out, ran[k]) {
				t.Fatalf("frame %d differs after %v", k, l.done)
			}
		}
	})
}
