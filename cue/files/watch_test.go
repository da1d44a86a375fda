package files

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// patience is how long a test waits for what must happen.
const patience = 20 * time.Second

// watched begins to watch and gives a function that waits for the next event.
func watched(t *testing.T, f *Folder) (next func() Event) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	events := f.Watch(ctx)
	t.Cleanup(func() {
		cancel()
		for range events {
		}
		goleak.VerifyNone(t)
	})
	return func() Event {
		t.Helper()
		select {
		case e, ok := <-events:
			if !ok {
				t.Fatal("the watch has ended")
			}
			return e
		case <-time.After(patience):
			t.Fatal("nothing is told")
		}
		panic("unreachable")
	}
}

// until waits for an event that fits; those before it may come of the same change
// seen half done.
func until(t *testing.T, next func() Event, fits func(Event) bool) Event {
	t.Helper()
	for {
		if e := next(); fits(e) {
			return e
		}
	}
}

func skyIs(text string) func(Event) bool {
	return func(e Event) bool {
		return e.Shoot != nil && len(e.Shoot.Resolved) > 0 && e.Shoot.Resolved[0].Light[0].Level == text
	}
}

// saved writes a file the way an editor does.
var saved = map[string]func(path string, b []byte) error{
	"in place": func(path string, b []byte) error { return os.WriteFile(path, b, 0o644) },
	"by renaming": func(path string, b []byte) error {
		if err := os.WriteFile(path+"~new", b, 0o644); err != nil {
			return err
		}
		return os.Rename(path+"~new", path)
	},
	"with a copy of the old": func(path string, b []byte) error {
		if err := os.Rename(path, path+"~"); err != nil {
			return err
		}
		return os.WriteFile(path, b, 0o644)
	},
	"deleted and made again": func(path string, b []byte) error {
		if err := os.Remove(path); err != nil {
			return err
		}
		return os.WriteFile(path, b, 0o644)
	},
	"in two goes": func(path string, b []byte) error {
		if err := os.WriteFile(path, b[:len(b)/2], 0o644); err != nil {
			return err
		}
		return os.WriteFile(path, b, 0o644)
	},
}

func TestWatch(t *testing.T) {
	for how, save := range saved {
		t.Run(how, func(t *testing.T) {
			f := onDisk(t)
			next := watched(t, f)
			path := filepath.Join(f.dir, CuesFile)
			for _, level := range []string{"64 %", "50 %", "41 %"} {
				text := strings.Replace(contents(t, f, CuesFile), `sky            = "`+f.Shoot().Resolved[0].Light[0].Level, `sky            = "`+level, 1)
				if err := save(path, []byte(text)); err != nil {
					t.Fatal(err)
				}
				e := until(t, next, skyIs(level))
				if !slices.Contains(e.Files, CuesFile) || f.Shoot() != e.Shoot {
					t.Errorf("%v", e.Files)
				}
			}
		})
	}
}

// A broken file is told of with its faults, and the last good shoot stays.
func TestWatchBroken(t *testing.T) {
	f := onDisk(t)
	next := watched(t, f)
	good, text := f.Shoot(), contents(t, f, CuesFile)
	rewrite(t, f, CuesFile, `sky            = "72 %"`, `ski            = "72 %"`)
	e := until(t, next, func(e Event) bool { return e.Shoot == nil })
	if len(e.Problems) == 0 || f.Shoot() != good {
		t.Errorf("%v", e.Problems)
	}
	if err := os.WriteFile(filepath.Join(f.dir, CuesFile), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	until(t, next, skyIs("72 %"))
}

// What a plan of the same folder writes, and what it approves, is no news; what
// somebody else writes after that is.
func TestWatchIsSilentAboutItself(t *testing.T) {
	f := onDisk(t)
	next := watched(t, f)
	if err := planned(t, f, dim("64 %")).Write(By{}); err != nil {
		t.Fatal(err)
	}
	approve(t, f, "beam")
	rewrite(t, f, RigFile, `name   = "Kittiwake"`, `name   = "Tern"`)
	if e := next(); !slices.Equal(e.Files, []string{RigFile}) || e.Shoot == nil {
		t.Errorf("%v %v", e.Files, e.Problems)
	}
}

func TestWatchThroughLinks(t *testing.T) {
	real := onDisk(t)
	elsewhere := filepath.Join(t.TempDir(), "pictures.toml")
	if err := os.Rename(filepath.Join(real.dir, CuesFile), elsewhere); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, filepath.Join(real.dir, CuesFile)); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(t.TempDir(), "today")
	if err := os.Symlink(real.dir, link); err != nil {
		t.Fatal(err)
	}
	f := reopened(t, link)
	next := watched(t, f)
	rewrite(t, f, CuesFile, `sky            = "72 %"`, `sky            = "64 %"`)
	until(t, next, skyIs("64 %"))
	rewrite(t, f, RigFile, `name   = "Kittiwake"`, `name   = "Tern"`)
	until(t, next, func(e Event) bool { return e.Shoot != nil && e.Shoot.Subject.Name == "Tern" })
	// The link leads to another day.
	other := onDisk(t)
	rewrite(t, other, CuesFile, `sky            = "72 %"`, `sky            = "33 %"`)
	if err := os.Remove(link); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(other.dir, link); err != nil {
		t.Fatal(err)
	}
	until(t, next, skyIs("33 %"))
}

func TestWatchFolderTakenAway(t *testing.T) {
	f := onDisk(t)
	next := watched(t, f)
	away := f.dir + " away"
	if err := os.Rename(f.dir, away); err != nil {
		t.Fatal(err)
	}
	good := f.Shoot()
	e := until(t, next, func(e Event) bool { return e.Shoot == nil })
	if len(e.Problems) == 0 || f.Shoot() != good {
		t.Errorf("%v", e.Problems)
	}
	if err := os.Rename(away, f.dir); err != nil {
		t.Fatal(err)
	}
	until(t, next, skyIs("72 %"))
	rewrite(t, f, CuesFile, `sky            = "72 %"`, `sky            = "64 %"`)
	until(t, next, skyIs("64 %"))
}

// Where the system tells of nothing, looking every so often does.
func TestWatchWithoutNotices(t *testing.T) {
	f := onDisk(t)
	ctx, cancel := context.WithCancel(t.Context())
	out := make(chan Event)
	done := make(chan struct{})
	go func() {
		defer close(done)
		(&watcher{folder: f, on: map[string]bool{}}).run(ctx, out)
	}()
	rewrite(t, f, CuesFile, `sky            = "72 %"`, `sky            = "64 %"`)
	select {
	case e := <-out:
		if !skyIs("64 %")(e) {
			t.Errorf("%v", e.Problems)
		}
	case <-time.After(patience):
		t.Error("nothing is told")
	}
	cancel()
	<-done
	goleak.VerifyNone(t)
}

func TestWatchOfNoFolder(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	events := kittiwake(t).Watch(ctx)
	cancel()
	if _, ok := <-events; ok {
		t.Error("an event")
	}
}
