package operate_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/fixtures"

	"pgregory.net/rapid"
)

// givingWay is a file system that gives way to another.
type givingWay struct{ fs.FS }

// again plays a journal into an engine of its own. visit is given the frames that are
// wanted; without it no more are made than the journal needs.
func again(t failer, run *journal.Run, done func(operate.Done), wanted func(k int64) bool,
	visit func(k int64, frames [][fixtures.UniverseSize]byte, live bool),
) *operate.Engine {
	t.Helper()
	set, err := run.FirstFiles()
	if err != nil {
		t.Fatalf("%v", err)
	}
	fsys := &givingWay{set.FS()}
	folder, shoot, problems := files.OpenFS("again", fsys)
	if shoot == nil {
		t.Fatalf("%v", problems)
	}
	quiet := true
	e, err := operate.New(shoot, operate.Options{Folder: folder, OnDone: func(d operate.Done) {
		if done != nil && !quiet {
			done(d)
		}
	}})
	if err != nil {
		t.Fatalf("%v", err)
	}
	frames := make([][fixtures.UniverseSize]byte, len(e.Universes()))
	k := int64(-1)
	to := func(upTo int64) {
		if visit == nil {
			k = max(k, upTo-1)
		}
		for k < upTo {
			k++
			if visit == nil {
				e.Fill(k, frames)
			} else if wanted(k) {
				visit(k, frames, e.Fill(k, frames))
			}
		}
	}
	for s, err := range run.Steps() {
		if err != nil {
			t.Fatalf("%v", err)
		}
		if s.What != journal.KindKept {
			to(s.K - 1)
		}
		switch s.What {
		case journal.KindCommand:
			if r, err := e.Replay(s.K, s.Text); err != nil || r.Refused {
				t.Fatalf("%s in frame %d, played again: %v %v", s.Text, s.K, r.Notices, err)
			}
		case journal.KindReload, journal.KindKept:
			set, err := run.Files(s.Files)
			if err != nil {
				t.Fatalf("%v", err)
			}
			fsys.FS = set.FS()
			if s.What == journal.KindKept {
				continue
			}
			shoot, problems := folder.Reload()
			if shoot == nil {
				t.Fatalf("%v", problems)
			}
			e.ReloadAt(s.K, shoot)
		case journal.KindAzimuth:
			e.StartAt(s.K)
			e.TableAt(s.Degrees)
		}
	}
	to(run.Reached)
	e.Tell()
	quiet = false
	return e
}

// torn is a journal as a crash leaves it: without its end, broken off in a line.
func torn(log []byte, rest string) []byte {
	lines := bytes.SplitAfter(log, []byte("\n"))
	return append(bytes.Join(lines[:len(lines)-2], nil), rest...)
}

// Killed after any frame of any program, keeps and changes of the files among it, and
// taken up from its journal, a run goes on with the frames that it would have sent,
// whatever is commanded then.
func TestResumeAtAnyFrame(t *testing.T) {
	root := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "shoot")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		copyShoot(t, dir)
		folder, shoot, problems, err := files.Open(dir)
		if err != nil || shoot == nil {
			t.Fatal(err, problems)
		}
		var j *journal.Journal
		set := func() journal.Files { return journal.FilesOf(folder.Texts()) }
		e, err := operate.New(shoot, operate.Options{Folder: folder, Write: true, OnDone: func(d operate.Done) {
			switch {
			case d.Auto || j == nil:
			case d.Command.Verb == operate.Reload:
				j.Reload(d.K, set())
			default:
				if j.Command(d.K, d.Command.String()); len(d.Mark.Files) > 0 {
					j.Kept(d.K, set())
				}
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		var reached atomic.Int64
		reached.Store(-1)
		j = journal.Begin(dir, journal.Options{Program: "test", Rate: 44, Epoch: time.Unix(1_800_000_000, 0), Files: set(), Reached: reached.Load})
		defer func() { j.Close(0) }()

		commands := rapid.OneOf(liveCommands(shoot), rapid.SampledFrom([]string{
			`play "round the boat"`, "stop", "confirm", "next", "keep all", "apply", "go bow", "edit", "undo", "as sent", "approve",
		}))
		out := make([][fixtures.UniverseSize]byte, len(e.Universes()))
		k := int64(-1)
		give := func() {
			text := commands.Draw(t, "command")
			if text == "edit" {
				edit(t, dir)
				if shoot, problems := folder.Reload(); shoot != nil {
					e.Changed(files.Event{Shoot: shoot, Problems: problems})
				}
				return
			}
			if c, err := e.Parse(text); err == nil {
				e.Do(c)
			}
		}
		e.Do(operate.Command{Verb: operate.Next})
		for range rapid.IntRange(1, 20).Draw(t, "commands") {
			give()
			for range rapid.IntRange(0, 40).Draw(t, "frames") {
				k++
				e.Fill(k, out)
				reached.Store(k)
			}
		}
		e.Tell()
		if err := j.Close(k); err != nil {
			t.Fatal(err)
		}
		log, err := os.ReadFile(j.Path())
		if err != nil {
			t.Fatal(err)
		}
		other, err := os.MkdirTemp(root, "again")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(other) // all of it
		other = filepath.Join(other, "shoot")
		if err := os.CopyFS(other, os.DirFS(dir)); err != nil {
			t.Fatal(err)
		}
		broken := torn(log, rapid.SampledFrom([]string{"", `{`, `{"n":12,"what":"com`, "\x00\x00"}).Draw(t, "broken off"))
		if err := os.WriteFile(filepath.Join(other, strings.TrimPrefix(j.Path(), dir)), broken, 0o666); err != nil {
			t.Fatal(err)
		}
		run, err := journal.Last(other)
		if err != nil || run == nil {
			t.Fatal(run, err)
		}
		if way, why := run.Resume(set().Hash()); way != journal.Same {
			t.Fatalf("way %v: %s", way, why)
		}
		resumed := again(t, run, nil, nil, nil)
		theirs, _, problems, err := files.Open(other)
		if err != nil || theirs == nil {
			t.Fatal(err, problems)
		}
		resumed.Onto(theirs, true)
		resumed.StartAt(k + 1)
		is := slices.Clone(out)
		var undisturbed, again string
		e2 := func(text string) {
			for _, x := range []struct {
				e  *operate.Engine
				to *string
			}{{e, &undisturbed}, {resumed, &again}} {
				c, err := x.e.Parse(text)
				if err != nil {
					*x.to = err.Error()
					continue
				}
				r := x.e.Do(c)
				*x.to = fmt.Sprintf("%v %v %v", r.Refused, r.Notices, r.Ask)
			}
			if strings.ReplaceAll(undisturbed, dir, "") != strings.ReplaceAll(again, other, "") {
				t.Fatalf("%s is answered\n%s\nand once the run is taken up\n%s", text, undisturbed, again)
			}
		}
		for range rapid.IntRange(1, 6).Draw(t, "more commands") {
			for range rapid.IntRange(1, 40).Draw(t, "frames") {
				k++
				a, b := e.Fill(k, out), resumed.Fill(k, is)
				if a != b || a && !slices.Equal(out, is) {
					t.Fatalf("frame %d is another, once the run is taken up", k)
				}
			}
			if text := commands.Draw(t, "command"); text != "edit" {
				e2(text)
			}
		}
		for range 30 {
			k++
			if e.Fill(k, out); resumed.Fill(k, is) && !slices.Equal(out, is) {
				t.Fatalf("frame %d is another, once the run is taken up", k)
			}
		}
	})
}

// edit changes a file of a shoot as somebody else would.
func edit(t *rapid.T, dir string) {
	name := filepath.Join(dir, "cues.toml")
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	pair := rapid.SampledFrom([][2]string{{`fade  = "2.5 s"`, `fade  = "1 s"`}, {`"key -3 stops"`, `"key -2.5 stops"`}, {`"-2/3 stop"`, `"-1 stop"`}, {"# The pictures", "# All pictures"}}).Draw(t, "edit")
	text := strings.Replace(string(b), pair[0], pair[1], 1)
	if text == string(b) {
		text = strings.Replace(string(b), pair[1], pair[0], 1)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}
