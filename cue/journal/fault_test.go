package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

// told gathers what OnWarning says.
type told struct {
	mu    sync.Mutex
	texts []string
}

func (w *told) put(s string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.texts = append(w.texts, s)
}

func (w *told) all() []string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return slices.Clone(w.texts)
}

func commands(from, to int) []string {
	var out []string
	for i := from; i < to; i++ {
		out = append(out, fmt.Sprintf("%d next", i))
	}
	return out
}

// Each fault lasts from the 3rd command to the 20th; then all is written.
func TestDiskThatFailsAndRecovers(t *testing.T) {
	always := func(what ...string) func(call string, err error) func(string, string) error {
		return func(_ string, err error) func(string, string) error {
			return func(call, _ string) error {
				if slices.Contains(what, call) {
					return err
				}
				return nil
			}
		}
	}
	for _, c := range []struct {
		name  string
		fault func(string, string) error
		err   error
		cure  string
	}{
		{"full", always("write")("", syscall.ENOSPC), syscall.ENOSPC, "free some space"},
		{"read-only", always("write", "open", "mkdir", "truncate", "rename")("", syscall.EROFS), syscall.EROFS, "make the folder writable"},
		{"not allowed", always("write", "open")("", syscall.EACCES), syscall.EACCES, "make the folder writable"},
		{"sync", always("sync")("", syscall.EIO), syscall.EIO, "tried again"},
		{"stat", always("stat")("", syscall.EIO), syscall.EIO, "tried again"},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				dir, d, w := t.TempDir(), newFaulty(), &told{}
				k := int64(0)
				j := Begin(dir, Options{Files: kittiwake, Disk: d, OnWarning: w.put})
				give := func(n int) {
					for range n {
						j.Command(k, "next")
						k++
						time.Sleep(time.Second)
					}
					synctest.Wait()
				}
				give(3)
				if j.Warning() != "" || len(w.all()) != 0 {
					t.Fatalf("warning before: %q", j.Warning())
				}
				d.set(func() { d.fault = c.fault })
				give(17)
				if s := j.Warning(); !strings.Contains(s, c.err.Error()) || !strings.Contains(s, c.cure) || !strings.Contains(s, "the light goes on") {
					t.Errorf("warning %q", s)
				}
				if r := last(t, dir); r.Commands < 3 || r.Damaged != 0 {
					t.Errorf("what was on record is gone: %+v", r)
				}
				d.set(func() { d.fault = nil })
				time.Sleep(lastRetry + BeatEvery)
				synctest.Wait()
				if s := j.Warning(); s != "" {
					t.Errorf("warning after: %q", s)
				}
				if got := steps(t, last(t, dir)); !slices.Equal(got, commands(0, 20)) {
					t.Errorf("after recovery %q", got)
				}
				if s := w.all(); len(s) != 2 || s[0] == "" || s[1] != "" {
					t.Errorf("told %q", s)
				}
				mustEnd(t, j, k)
				if r := last(t, dir); !r.Ended || r.Damaged != 0 || r.Torn {
					t.Errorf("%+v", r)
				}
			})
		})
	}
}

// A disk with room for so many bytes and no more, from none to enough: at each, what is on
// record is a prefix, and once there is room, it is everything.
func TestDiskFullAtAnyByte(t *testing.T) {
	for space := 0; space < 2600; space += 97 {
		synctest.Test(t, func(t *testing.T) {
			dir, d := t.TempDir(), newFaulty()
			d.space = space
			j := Begin(dir, Options{Files: kittiwake, Disk: d})
			for k := range int64(10) {
				j.Command(k, "next")
				time.Sleep(300 * time.Millisecond)
			}
			synctest.Wait()
			if r, err := Last(dir); err != nil {
				t.Fatal(err)
			} else if r != nil {
				if got := steps(t, r); !slices.Equal(got, commands(0, len(got))) || r.Damaged != 0 {
					t.Fatalf("%d bytes: %q", space, got)
				}
			}
			d.set(func() { d.space = -1 })
			mustEnd(t, j, 10)
			r := last(t, dir)
			if got := steps(t, r); !slices.Equal(got, commands(0, 10)) || r.Damaged != 0 || !r.Ended {
				t.Fatalf("%d bytes: at the end %q", space, got)
			}
			if f, err := r.FirstFiles(); err != nil || !f.Equal(kittiwake) {
				t.Fatalf("%d bytes: files %v", space, err)
			}
		})
	}
}

// The folder goes, and comes back with all that was in this run's journal and files.
func TestFolderRemoved(t *testing.T) {
	for _, name := range []string{".limn", ".limn/journal", ".limn/journal/files", ".limn/journal/run-000001.jsonl"} {
		synctest.Test(t, func(t *testing.T) {
			dir := t.TempDir()
			j := Begin(dir, Options{Files: kittiwake})
			j.Command(0, "next")
			j.Reload(1, edited)
			synctest.Wait()
			if err := os.RemoveAll(filepath.Join(dir, name)); err != nil {
				t.Fatal(err)
			}
			j.Command(2, "next")
			time.Sleep(time.Second)
			synctest.Wait()
			if w := j.Warning(); w != "" {
				t.Errorf("%s: warning %q", name, w)
			}
			r := last(t, dir)
			if got := steps(t, r); len(got) != 3 || got[0] != "0 next" || got[2] != "2 next" || r.Damaged != 0 {
				t.Errorf("%s: %q, %+v", name, got, r)
			}
			mustEnd(t, j, 9)
			if name == ".limn/journal/files" {
				return // the bytes of files alone are missed only by the next set that names them
			}
			for _, h := range []string{kittiwake.Hash(), edited.Hash()} {
				if _, err := r.Files(h); err != nil {
					t.Errorf("%s: files: %v", name, err)
				}
			}
		})
	}
}

// The folder goes together with the disk: what cannot be read back is told of, and the
// run's files and later commands are there.
func TestDiskPulled(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, d := t.TempDir(), newFaulty()
		j := Begin(dir, Options{Files: kittiwake, Disk: d})
		j.Command(0, "next")
		synctest.Wait()
		d.set(func() {
			d.fault = func(call, _ string) error {
				if call == "read" {
					return syscall.EIO
				}
				return nil
			}
		})
		if err := os.RemoveAll(Folder(dir)); err != nil {
			t.Fatal(err)
		}
		j.Command(2, "dark")
		synctest.Wait()
		mustEnd(t, j, 3)
		r := last(t, dir)
		if got := steps(t, r); !slices.Equal(got, []string{"2 dark"}) || r.Damaged != 1 || !strings.Contains(r.Inexact(), "entry 2 is missing") {
			t.Errorf("%q, %q", got, r.Inexact())
		}
		if _, err := r.FirstFiles(); err != nil {
			t.Error(err)
		}
	})
}

// The name of the journal is another run's by now: neither is lost.
func TestNameTaken(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir := t.TempDir()
		a := Begin(dir, Options{Files: kittiwake})
		a.Command(0, "next")
		synctest.Wait()
		if err := os.RemoveAll(Folder(dir)); err != nil {
			t.Fatal(err)
		}
		b := Begin(dir, Options{Files: edited})
		b.Command(7, "dark")
		synctest.Wait()
		a.Command(1, "next")
		mustEnd(t, a, 2)
		mustEnd(t, b, 8)
		if a.Path() == b.Path() {
			t.Fatal("one journal for two runs")
		}
		for path, want := range map[string][]string{a.Path(): commands(0, 2), b.Path(): {"7 dark"}} {
			r, err := ReadLog(path)
			if err != nil {
				t.Fatal(err)
			}
			if got := steps(t, r); !slices.Equal(got, want) || !r.Ended {
				t.Errorf("%s: %q", path, got)
			}
			if _, err := r.FirstFiles(); err != nil {
				t.Error(err)
			}
		}
	})
}

// The journal that is to go on is gone: the run goes on with a new one, and says
// what is missing.
func TestContinueWhatIsGone(t *testing.T) {
	dir, _, _ := sample(t)
	r := last(t, dir)
	if err := os.RemoveAll(Folder(dir)); err != nil {
		t.Fatal(err)
	}
	j := Continue(r, Options{Files: kittiwake})
	j.Command(200, "next")
	mustEnd(t, j, 201)
	again := last(t, dir)
	if got := steps(t, again); !slices.Equal(got, []string{"200 next"}) || again.Damaged != 1 || again.Resumed != 1 {
		t.Errorf("%q, %+v", got, again)
	}
}

// An end that cannot be written is said.
func TestCloseOnAFullDisk(t *testing.T) {
	dir, d := t.TempDir(), newFaulty()
	d.space = 0
	j := Begin(dir, Options{Disk: d})
	j.Command(1, "next")
	if err := j.Close(2); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("Close: %v", err)
	}
	if w := j.Warning(); !strings.Contains(w, "2 entries wait") {
		t.Errorf("warning %q", w)
	}
}
