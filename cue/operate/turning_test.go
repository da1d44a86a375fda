package operate_test

import (
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/operate"
	"limn/fixtures"
	"limn/testdata"
)

// withFiles is the example shoot with pairs of texts replaced in its files, and text
// added to its cues.
func withFiles(t testing.TB, add string, pairs ...string) (*cue.Shoot, *files.Folder) {
	t.Helper()
	texts := fstest.MapFS{}
	err := fs.WalkDir(testdata.Kittiwake(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(testdata.Kittiwake(), name)
		texts[name] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(pairs); i += 2 {
		found := false
		for _, f := range texts {
			if was := string(f.Data); strings.Contains(was, pairs[i]) {
				f.Data, found = []byte(strings.Replace(was, pairs[i], pairs[i+1], 1)), true
			}
		}
		if !found {
			t.Fatalf("no file holds %q", pairs[i])
		}
	}
	texts["cues.toml"].Data = append(texts["cues.toml"].Data, add...)
	folder, s, problems := files.OpenFS("kittiwake", texts)
	if s == nil {
		t.Fatal(problems)
	}
	return s, folder
}

// motorTable is the example shoot on a motor table, with a moving shot.
func motorTable(t testing.TB) *cue.Shoot {
	s, _ := withFiles(t, `
[[sequence]]
name  = "fly past"
by    = "angle"
drive = "motor"
speed = "12 deg/s"
pre-roll = "1 s"
return = true
steps = [ { cue = "head on" }, { cue = "beam" }, { cue = "stern" } ]
from = 0
to = 180
`, `drive = "hand"   `, `drive = "table"`, `[[card]]
name   = "keel black"`, `[[source]]
name = "table"
profile = "motor-turntable"
universe = 1
address = 201

[[card]]
name   = "keel black"`)
	return s
}

// A moving shot by motor: where the table stands is asked first, it moves only once
// fingers are said to be clear, never jumps, and each cue's light stands at its angle.
func TestPlayByMotor(t *testing.T) {
	s := motorTable(t)
	e := engine(t, s, operate.Options{})
	l := &live{t: t, engine: e, k: -1, out: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
	at := math.NaN()
	step := func(n int, still bool) {
		t.Helper()
		for range n {
			l.k++
			l.engine.Fill(l.k, l.out)
			now := l.snapshot().Azimuth
			if turned := math.Abs(cue.Turn(at, now)); still && turned > 0 || turned > 90.0/44 {
				t.Fatalf("frame %d: the table goes from %g to %g", l.k, at, now)
			}
			at = now
		}
	}
	prompts := func(words ...string) {
		t.Helper()
		text := strings.Join(l.snapshot().Prompts, "\n")
		for _, w := range words {
			if !strings.Contains(text, w) {
				t.Fatalf("%q is not asked, but %q", w, text)
			}
		}
	}
	l.try("play fly past")
	step(200, true)
	prompts("motor table: put the bow toward the camera")
	l.try("confirm")
	step(300, false)
	prompts("fingers and cables clear; confirm")
	step(20, true)
	l.try("confirm")
	step(400, false)
	prompts("take 1: rolling?")
	start := l.snapshot().Azimuth // before the first mark, to be at speed as it passes it
	step(20, true)
	if r := l.try("rolling"); r.Refused {
		t.Fatal(r.Notices)
	}
	seen := map[string]float64{}
	for range 30 * 44 {
		step(1, false)
		snap := l.snapshot()
		for _, name := range []string{"head on", "beam", "stern"} {
			res := &s.Resolved[s.CueIndex(name)]
			if math.Abs(cue.Turn(snap.Azimuth, res.Azimuth)) > 0.2 { // half a frame at 12°/s is 0.14°
				continue
			}
			off := 0.0
			for i := range snap.Sources {
				if !s.Rig.Sources[i].Hand {
					off = max(off, math.Abs(snap.Sources[i].Asked.Y-res.Light[i].Asked.Y))
				}
			}
			if was, ok := seen[name]; !ok || off < was {
				seen[name] = off
			}
		}
	}
	for _, name := range []string{"head on", "beam", "stern"} {
		if off, ok := seen[name]; !ok || off > 0.01 {
			t.Errorf("%s is passed %v with light off by %g", name, ok, off)
		}
	}
	prompts("cut?")
	if r := l.try("cut"); r.Refused {
		t.Fatal(r.Notices)
	}
	step(44, true)
	prompts("back to the first mark", "fingers and cables clear")
	l.try("confirm")
	step(30*44, false)
	if snap := l.snapshot(); snap.Sequence != "" || math.Abs(cue.Turn(snap.Azimuth, start)) > cue.DeadBand || math.Abs(cue.Turn(start, 0)) < 12 {
		t.Errorf("%q goes on, the table at %g, it began at %g: %q", snap.Sequence, snap.Azimuth, start, snap.Prompts)
	}
}

// The table's slots say stop until somebody has confirmed where it stands, and dark,
// alone and looks never move it.
func TestNothingButACueMovesTheTable(t *testing.T) {
	s := motorTable(t)
	e := engine(t, s, operate.Options{})
	l := &live{t: t, engine: e, k: -1, out: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
	l.try("go stern")
	l.settle()
	before := l.snapshot().Azimuth
	for _, text := range []string{"dark", "dark off", "alone sky", "alone off", "look dusk on", "work light on", "work light off", "trim sky down 1"} {
		l.try(text)
		l.settle()
		if now := l.snapshot().Azimuth; now != before {
			t.Errorf("%s moves the table from %g to %g before it was confirmed", text, before, now)
		}
	}
	l.try("confirm")
	l.settle()
	if now := l.snapshot().Azimuth; now != 180 {
		t.Errorf("confirmed, it stands at %g", now)
	}
	for _, text := range []string{"dark", "alone sky", "alone off", "look dusk off", "dark off"} {
		l.try(text)
		l.settle()
		if now := l.snapshot().Azimuth; now != 180 {
			t.Errorf("%s moves the table to %g", text, now)
		}
	}
}

// Light that follows a table which tells where it is: at each cue's angle it is that cue's,
// where nothing is heard it stands, and says so.
func TestPlayByStream(t *testing.T) {
	s, _ := withFiles(t, `
[[sequence]]
name  = "by hand round"
by    = "angle"
drive = "stream"
steps = [ { cue = "head on" }, { cue = "beam" }, { cue = "stern" } ]
`)
	e := engine(t, s, operate.Options{AutoConfirm: true})
	l := &live{t: t, engine: e, k: -1, out: make([][fixtures.UniverseSize]byte, len(e.Universes()))}
	if r := e.TableAt(12); !r.Refused {
		t.Error("an azimuth is taken that nothing follows")
	}
	l.try(`play "by hand round"`)
	l.settle()
	l.try("rolling")
	fill := func(n int) {
		for range n {
			l.k++
			l.engine.Fill(l.k, l.out)
		}
	}
	fill(44)
	for az := 0.0; az <= 180; az += 0.5 {
		if r := e.TableAt(az); r.Refused {
			t.Fatal(r.Notices)
		}
		fill(1)
		for _, name := range []string{"head on", "beam", "stern"} {
			res := &s.Resolved[s.CueIndex(name)]
			if az != res.Azimuth || az == 0 {
				continue
			}
			fill(30) // it may be a little behind
			for i, src := range l.snapshot().Sources {
				if !s.Rig.Sources[i].Hand && math.Abs(src.Asked.Y-res.Light[i].Asked.Y) > 1e-9 {
					t.Errorf("at %g°, %s is at %g, in %s at %g", az, s.Rig.Sources[i].Name, src.Asked.Y, name, res.Light[i].Asked.Y)
				}
			}
		}
	}
	before := l.snapshot()
	fill(44 * 3)
	for i, src := range l.snapshot().Sources {
		if src.Asked != before.Sources[i].Asked {
			t.Errorf("unheard of, source %d moves", i)
		}
	}
	if text := strings.Join(append(l.snapshot().Warnings, l.snapshot().Prompts...), "\n"); !strings.Contains(text, "has not told where it is") {
		t.Errorf("nothing says that the table is silent: %q", text)
	}
}
