package files

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"limn/testdata"
)

// onDisk is a copy of Kittiwake, opened.
func onDisk(t testing.TB) *Folder {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "kittiwake")
	if err := os.CopyFS(dir, testdata.Kittiwake()); err != nil {
		t.Fatal(err)
	}
	return reopened(t, dir)
}

func reopened(t testing.TB, dir string) *Folder {
	t.Helper()
	f, shoot, problems, err := Open(dir)
	if err != nil || shoot == nil {
		t.Fatal(err, problems)
	}
	return f
}

func planned(t testing.TB, f *Folder, edits ...Edit) *Plan {
	t.Helper()
	p, err := f.Plan(edits)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func dim(text string) Edit { return SetLight{Cue: "bow", Source: "sky", Level: level(text)} }

func contents(t testing.TB, f *Folder, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(f.dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// stray lists what writing has left behind.
func stray(t testing.TB, f *Folder) (out []string) {
	t.Helper()
	err := filepath.WalkDir(f.dir, func(p string, e fs.DirEntry, err error) error {
		if strings.HasPrefix(e.Name(), ".limn-") {
			out = append(out, p)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWrite(t *testing.T) {
	f := onDisk(t)
	path := filepath.Join(f.dir, CuesFile)
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	p := planned(t, f, dim("64 %"))
	if err := p.Write(By{Who: "somebody", What: "keep"}); err != nil {
		t.Fatal(err)
	}
	if got := contents(t, f, CuesFile); got != string(p.Changes()[0].After) {
		t.Error("the file is not what was planned")
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the rights are %v, %v", info.Mode(), err)
	}
	if left := stray(t, f); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	// What is read again is what was planned, and the next plan builds on it.
	shoot, problems := f.Reload()
	if shoot == nil {
		t.Fatal(problems)
	}
	for i := range shoot.Resolved {
		if !sameSet(&shoot.Resolved[i], &p.Shoot().Resolved[i]) {
			t.Errorf("%s resolves to something else than was planned", shoot.Cues[i].Name)
		}
	}
	if err := planned(t, f, dim("60 %")).Write(By{}); err != nil {
		t.Fatal(err)
	}
}

func TestWriteRefusesWhatSomebodyElseChanged(t *testing.T) {
	for _, name := range []string{CuesFile, RigFile, "calibrations/sky.toml"} {
		f := onDisk(t)
		p := planned(t, f, dim("64 %"))
		theirs := contents(t, f, name) + "# mine\n"
		if err := os.WriteFile(filepath.Join(f.dir, name), []byte(theirs), 0o644); err != nil {
			t.Fatal(err)
		}
		before := contents(t, f, CuesFile)
		var changed *ChangedError
		if err := p.Write(By{}); !errors.As(err, &changed) || !slices.Equal(changed.Files, []string{name}) {
			t.Errorf("got %v", err)
		} else if !strings.Contains(err.Error(), "reload and keep again, keep as a new cue, or leave it") {
			t.Errorf("no choices in %q", err)
		}
		if contents(t, f, name) != theirs || contents(t, f, CuesFile) != before {
			t.Error("something was overwritten")
		}
		if _, problems := f.Reload(); len(problems) > 0 {
			t.Fatal(problems)
		}
		if err := planned(t, f, dim("64 %")).Write(By{}); err != nil {
			t.Error(err)
		}
		if !strings.HasSuffix(contents(t, f, name), "# mine\n") {
			t.Error("their change is lost")
		}
	}
}

func TestWriteThroughALink(t *testing.T) {
	f := onDisk(t)
	real := filepath.Join(t.TempDir(), "real.toml")
	link := filepath.Join(f.dir, CuesFile)
	if err := os.Rename(link, real); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, link); err != nil {
		t.Fatal(err)
	}
	f = reopened(t, f.dir)
	if err := planned(t, f, dim("64 %")).Write(By{}); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode().Type() != fs.ModeSymlink {
		t.Errorf("the link has become %v, %v", info.Mode(), err)
	}
	if b, err := os.ReadFile(real); err != nil || !bytes.Contains(b, []byte(`"64 %"`)) {
		t.Errorf("the file behind the link was not written: %v", err)
	}
}

// twoFiles is a shoot whose cues lie in two files.
func twoFiles(t testing.TB) *Folder {
	f := onDisk(t)
	all := contents(t, f, CuesFile)
	at := strings.Index(all, "[[cue]]\nname  = \"stern\"\n")
	if at < 0 {
		t.Fatal("the stern is gone")
	}
	if err := os.Mkdir(filepath.Join(f.dir, CuesDir), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"a.toml": all[:at], "b.toml": all[at:]} {
		if err := os.WriteFile(filepath.Join(f.dir, CuesDir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Remove(filepath.Join(f.dir, CuesFile)); err != nil {
		t.Fatal(err)
	}
	return reopened(t, f.dir)
}

// failing makes the n-th call of one operation fail.
func failing(d disk, op string, n int, err error) disk {
	hit := func(name string) bool {
		if name == op {
			n--
		}
		return name == op && n == 0
	}
	out := d
	out.temp = func(dir, pattern string) (file, error) {
		if hit("temp") {
			return nil, err
		}
		f, e := d.temp(dir, pattern)
		if e == nil && hit("write") {
			return fullFile{f, err}, nil
		}
		return f, e
	}
	out.rename = func(from, to string) error {
		if hit("rename") {
			return err
		}
		return d.rename(from, to)
	}
	out.link = func(from, to string) error {
		if hit("link") {
			return err
		}
		return d.link(from, to)
	}
	return out
}

type fullFile struct {
	file
	err error
}

func (f fullFile) Write(b []byte) (int, error) { return 0, f.err }

// Whatever step fails, the files and the history are as they were, nothing is
// left behind, and the same plan goes through once the disk does.
func TestWriteFailsWholly(t *testing.T) {
	for _, op := range []string{"temp", "write", "rename"} {
		for n := 1; ; n++ {
			f := twoFiles(t)
			if err := planned(t, f, dim("70 %")).Write(By{}); err != nil { // so that there is a history
				t.Fatal(err)
			}
			before := map[string]string{}
			for _, name := range []string{"cues/a.toml", "cues/b.toml", historyDir + "/" + indexFile} {
				before[name] = contents(t, f, name)
			}
			p := planned(t, f, dim("64 %"), SetLight{Cue: "stern", Source: "sky", Level: level("-1 stop")})
			if len(p.Changes()) != 2 {
				t.Fatalf("%d files change", len(p.Changes()))
			}
			f.disk = failing(osDisk, op, n, syscall.ENOSPC)
			err := p.Write(By{})
			f.disk = osDisk
			if err == nil {
				if n == 1 {
					t.Fatalf("%s is never called", op)
				}
				break
			}
			var refused *WriteError
			if !errors.As(err, &refused) || !strings.Contains(err.Error(), "the disk is full; nothing is changed: make room, then keep again") {
				t.Errorf("%s %d: %v", op, n, err)
			}
			for name, text := range before {
				if contents(t, f, name) != text {
					t.Errorf("%s %d: %s has changed", op, n, name)
				}
			}
			if left := stray(t, f); len(left) > 0 {
				t.Errorf("%s %d: left behind: %v", op, n, left)
			}
			if err := p.Write(By{}); err != nil {
				t.Errorf("%s %d, then again: %v", op, n, err)
			}
		}
	}
}

func TestWriteWithoutRights(t *testing.T) {
	f := onDisk(t)
	path := filepath.Join(f.dir, CuesFile)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	err := planned(t, f, dim("64 %")).Write(By{})
	if want := "cues.toml cannot be written: it is protected against writing; nothing is changed: allow writing in the folder, then keep again"; err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
	if os.Getuid() == 0 {
		return // nothing is forbidden to root
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(f.dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(f.dir, 0o755)
	if err := planned(t, f, dim("64 %")).Write(By{}); err == nil || !errors.Is(err, fs.ErrPermission) {
		t.Errorf("got %v", err)
	}
}

func TestShootCarriedInTheProgram(t *testing.T) {
	p := planned(t, kittiwake(t), dim("64 %"))
	if err := p.Write(By{}); !errors.Is(err, ErrNoDisk) {
		t.Errorf("got %v", err)
	}
	f := kittiwake(t)
	planned(t, f, dim("64 %")).Adopt()
	next := planned(t, f, SetLight{Cue: "bow", Source: "fill", Level: level("off")})
	if got := next.Shoot().Resolved[0].Light[0].Level; got != "64 %" {
		t.Errorf("the next plan does not build on the one before: %s", got)
	}
}

func TestHistory(t *testing.T) {
	f := onDisk(t)
	first := contents(t, f, CuesFile)
	at := time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)
	for i, text := range []string{"64 %", "50 %"} {
		if err := planned(t, f, dim(text)).Write(By{Who: "mate", What: "keep", At: at.Add(time.Duration(i) * time.Minute)}); err != nil {
			t.Fatal(err)
		}
	}
	versions, err := f.History()
	if err != nil || len(versions) != 3 {
		t.Fatalf("%v, %+v", err, versions)
	}
	if v := versions[0]; v.Who != "mate" || v.What != "keep" || v.ID != "2026-11-25T10-01-00Z" || !slices.Equal(v.Files, []string{CuesFile}) {
		t.Errorf("%+v", v)
	}
	if v := versions[2]; v.What != "as it was found" || !slices.Equal(v.Files, []string{CuesFile, RigFile}) {
		t.Errorf("%+v", v)
	}
	d, err := f.Diff(versions[0].ID)
	if err != nil || !strings.Contains(d, "-sky            = \"64 %\"\n+sky            = \"50 %\"\n") {
		t.Errorf("%v\n%s", err, d)
	}
	// Somebody breaks the file by hand; the broken one is kept too.
	broken := strings.Replace(contents(t, f, CuesFile), "[[cue]]", "[[cue]", 1)
	if err := os.WriteFile(filepath.Join(f.dir, CuesFile), []byte(broken), 0o644); err != nil {
		t.Fatal(err)
	}
	if shoot, _ := f.Reload(); shoot != nil {
		t.Fatal("it is not broken")
	}
	p, err := f.Restore(versions[2].ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Write(By{At: at.Add(time.Hour)}); err != nil {
		t.Fatal(err)
	}
	if contents(t, f, CuesFile) != first {
		t.Error("it is not what it was")
	}
	after, err := f.History()
	if err != nil || len(after) != 5 || after[0].What != "restore "+versions[2].ID || after[1].What != found {
		t.Fatalf("%v %+v", err, after)
	}
	p, err = f.Restore(after[3].ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Write(By{At: at.Add(time.Hour)}); err != nil {
		t.Fatal(err)
	}
	if p.Shoot().Resolved[0].Light[0].Level != "64 %" {
		t.Error("the restored light is another")
	}
	if _, err := f.Restore("2026-11-25T10-01-01Z"); err == nil || !strings.Contains(err.Error(), "did you mean") {
		t.Errorf("got %v", err)
	}
}

func TestHistoryIsBounded(t *testing.T) {
	now := time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)
	var all []Version
	for i := range 2 * HistoryVersions {
		all = append(all, Version{At: now.Add(-time.Duration(2*HistoryVersions-i) * time.Hour)})
	}
	kept, gone := bounded(all, now)
	if want := HistoryDays * 24; len(kept) != want || len(gone) != len(all)-want {
		t.Errorf("%d kept, %d gone", len(kept), len(gone))
	}
	kept, _ = bounded(all, now.AddDate(1, 0, 0))
	if len(kept) != HistoryVersions {
		t.Errorf("%d kept a year later", len(kept))
	}
}

func FuzzIndex(f *testing.F) {
	f.Add([]byte(`{"id":"2026-11-25T10-01-00Z","at":"2026-11-25T10:01:00Z","who":"mate","what":"keep","files":["cues.toml"],"content":{"cues.toml":"00"}}` + "\n" + `{"id":"x","cont`))
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, v := range parseIndex(b) {
			if v.ID == "" || len(v.Content) == 0 {
				t.Fatalf("%+v", v)
			}
		}
	})
}

func TestBack(t *testing.T) {
	f := twoFiles(t)
	first := contents(t, f, "cues/a.toml")
	p := planned(t, f, dim("64 %"))
	if err := p.Write(By{}); err != nil {
		t.Fatal(err)
	}
	if err := planned(t, f, SetLight{Cue: "stern", Source: "sky", Level: level("-1 stop")}).Write(By{}); err != nil {
		t.Fatal(err) // the other file
	}
	back, err := p.Back()
	if err != nil {
		t.Fatal(err)
	}
	if err := back.Write(By{}); err != nil {
		t.Fatal(err)
	}
	if contents(t, f, "cues/a.toml") != first || !strings.Contains(contents(t, f, "cues/b.toml"), `"-1 stop"`) {
		t.Error("it is not what it was, or the other file has gone back too")
	}
	again, err := back.Back() // undo of the undo
	if err != nil || string(again.Changes()[0].After) != string(p.Changes()[0].After) {
		t.Error(err)
	}
	var changed *ChangedError
	if _, err := p.Back(); !errors.As(err, &changed) {
		t.Errorf("got %v", err)
	}
	// In memory alone.
	m := kittiwake(t)
	p = planned(t, m, dim("64 %"))
	p.Adopt()
	if back, err = p.Back(); err != nil {
		t.Fatal(err)
	}
	back.Adopt()
	if m.Shoot().Resolved[0].Light[0].Level != "72 %" {
		t.Error("it is not what it was")
	}
}

func TestTexts(t *testing.T) {
	f := onDisk(t)
	approve(t, f, "bow")
	f.Reload()
	texts := f.Texts()
	if len(texts) != 3 || string(texts["calibrations/sky.toml"]) != contents(t, f, "calibrations/sky.toml") {
		t.Errorf("%d files", len(texts))
	}
	if again, problems := Load("kittiwake", look(nil).with(texts)); again == nil {
		t.Error(problems)
	}
}

// crash is what a test throws to stop the program between two steps.
type crash struct{}

// Stopped between two files, the rest is written when the folder is opened again;
// whatever is read then is all of the plan or none of it.
func TestWriteStoppedHalfWay(t *testing.T) {
	for n := 1; ; n++ {
		f := twoFiles(t)
		p := planned(t, f, dim("64 %"), SetLight{Cue: "stern", Source: "sky", Level: level("-1 stop")})
		renames := 0
		f.disk.rename = func(from, to string) error {
			if renames++; renames == n {
				panic(crash{})
			}
			return os.Rename(from, to)
		}
		f.disk.remove = func(name string) error {
			if renames >= n {
				return nil // nobody is there to tidy up
			}
			return os.Remove(name)
		}
		stopped := func() (stopped bool) {
			defer func() { stopped = recover() == crash{} }()
			if err := p.Write(By{}); err != nil {
				t.Fatal(err)
			}
			return false
		}()
		s := reopened(t, f.dir).Shoot()
		first, second := s.Resolved[0].Light[0].Level, s.Resolved[s.CueIndex("stern")].Light[0].Level
		if (first == "64 %") != (second == "-1 stop") {
			t.Fatalf("stopped at rename %d: %s and %s", n, first, second)
		}
		if _, err := os.Stat(f.historyPath(unfinishedFile)); err == nil {
			t.Errorf("stopped at rename %d: the note is still there", n)
		}
		if !stopped {
			if n < 4 {
				t.Fatalf("only %d renames", n)
			}
			return
		}
	}
}

func TestOpenTidiesUp(t *testing.T) {
	f := onDisk(t)
	old, fresh := filepath.Join(f.dir, ".limn-1.tmp"), filepath.Join(f.dir, ".limn-2.tmp")
	for _, name := range []string{old, fresh} {
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	yesterday := time.Now().Add(-24 * time.Hour)
	if err := os.Chtimes(old, yesterday, yesterday); err != nil {
		t.Fatal(err)
	}
	reopened(t, f.dir)
	if left := stray(t, f); !slices.Equal(left, []string{fresh}) {
		t.Errorf("left: %v", left)
	}
}
