package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Whatever is given, whatever the disk does, and whenever the power goes: what reads
// back is a prefix of what was given, in order; it holds all that the last good pass had
// put onto the disk; and a run that goes on from it goes on with the same promise.
func TestAnyInterleavingReadsBackAPrefix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "journal")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		m := machine{t: t, dir: dir, disk: newFaulty(), now: time.Unix(1e9, 0)}
		m.begin(nil)
		actions := map[string]func(*rapid.T){
			"command": func(t *rapid.T) {
				text := rapid.StringN(0, 30, 60).Draw(t, "text")
				m.j.Command(m.k, text)
				m.given = append(m.given, fmt.Sprintf("%s %d %s", KindCommand, m.k, strings.ToValidUTF8(text, "\ufffd")))
				m.k++
			},
			"azimuth": func(t *rapid.T) {
				v := rapid.Float64().Draw(t, "degrees")
				m.j.Azimuth(m.k, v)
				m.given = append(m.given, fmt.Sprintf("%s %d %v", KindAzimuth, m.k, v))
			},
			"reload": func(t *rapid.T) {
				set := Files{{Path: "rig.toml", Data: []byte{rapid.Byte().Draw(t, "file") % 4}}}
				m.j.Reload(m.k, set)
				m.given = append(m.given, fmt.Sprintf("%s %d %s", KindReload, m.k, set.Hash()))
			},
			"pass":     func(t *rapid.T) { m.pass(rapid.Bool().Draw(t, "beat")) },
			"pass too": func(*rapid.T) { m.pass(true) },
			"time":     func(*rapid.T) { m.now = m.now.Add(6 * time.Second) },
			"space":    func(t *rapid.T) { m.disk.space = rapid.IntRange(-1, 400).Draw(t, "bytes") },
			"fault": func(t *rapid.T) {
				call := rapid.SampledFrom([]string{"write", "sync", "open", "stat", "truncate", "rename", "mkdir", "syncdir"}).Draw(t, "call")
				times := rapid.IntRange(1, 4).Draw(t, "times")
				m.disk.fault = func(c, _ string) error {
					if c == call && times > 0 {
						times--
						return syscall.EIO
					}
					return nil
				}
			},
			"remove": func(t *rapid.T) {
				if m.k2.w.file == nil {
					return // what goes before the journal is open is gone for good
				}
				if err := os.RemoveAll(Folder(dir)); err != nil {
					t.Fatal(err)
				}
			},
			"crash": func(t *rapid.T) { m.crash(rapid.Bool().Draw(t, "power")) },
		}
		t.Repeat(actions)
		m.disk.fault, m.disk.space = nil, -1
		m.pass(true)
		m.pass(true)
		m.check(len(m.given))
		if err := m.k2.w.close(); err != nil {
			t.Fatal(err)
		}
	})
}

// machine is a journal without its goroutine: passes come when the test says.
type machine struct {
	t    *rapid.T
	dir  string
	disk *faulty
	now  time.Time
	k    int64

	j     *Journal
	k2    *worker
	given []string // of all that was given and not lost in a crash
	safe  int      // of them, on the disk
}

func (m *machine) begin(run *Run) {
	m.disk.fault, m.disk.space = nil, -1
	m.j = newJournal(Options{Disk: m.disk, Now: func() time.Time { return m.now }, Reached: func() int64 { return m.k }})
	w := &writer{disk: m.disk, folder: Folder(m.dir)}
	e := Entry{What: KindBegin, K: -1, Header: m.j.header()}
	if run != nil {
		w = goingOn(m.disk, run)
		w.recall(run)
		e = Entry{What: KindResume, K: run.Reached, Header: m.j.header()}
	}
	m.j.put(m.j.withFiles(e, nil))
	m.k2 = &worker{Journal: m.j, w: w, beat: -1}
}

func (m *machine) pass(beat bool) {
	err := m.k2.pass(beat)
	m.k2.tell(err, m.now)
	if err == nil && len(m.k2.w.tail) == 0 {
		m.safe = len(m.given)
	}
}

// crash is the end of the process, or of the power: then of what is not on the disk any
// part may be gone.
func (m *machine) crash(power bool) {
	path := m.k2.w.path()
	if m.k2.w.run == 0 {
		return // it has not come into being
	}
	if power {
		size := int64(0)
		if info, err := os.Stat(path); err == nil {
			size = info.Size()
		}
		synced := min(m.disk.synced[path], size)
		cut := rapid.Int64Range(synced, size).Draw(m.t, "cut")
		if err := os.Truncate(path, cut); err != nil && !errors.Is(err, os.ErrNotExist) {
			m.t.Fatal(err)
		}
	}
	if m.k2.w.file != nil {
		_ = m.k2.w.close()
	}
	run, err := Last(m.dir)
	if err != nil {
		m.t.Fatal(err)
	}
	if run == nil { // before the first entry, or the folder is gone: a new run
		if _, err := os.Stat(Folder(m.dir)); err == nil && m.safe > 0 && len(logFiles(m.dir)) > 0 {
			m.t.Fatal("what was on the disk is gone")
		}
		m.given, m.safe = nil, 0
		m.begin(nil)
		return
	}
	m.given = m.given[:m.check(m.safe)]
	m.begin(run) // what was safe is so still; what was not may yet go with the power
}

// check compares what reads back with what was given, and says how much it is.
func (m *machine) check(atLeast int) int {
	run, err := Last(m.dir)
	if err != nil || run == nil {
		m.t.Fatalf("%v, %v", run, err)
	}
	if run.Damaged != 0 || run.Lost != (Lost{}) {
		m.t.Fatalf("%+v", run)
	}
	var got []string
	for e, err := range run.Steps() {
		if err != nil {
			m.t.Fatal(err)
		}
		what := e.Text
		switch e.What {
		case KindAzimuth:
			what = fmt.Sprint(e.Degrees)
		case KindReload:
			what = e.Files
			if set, err := run.Files(e.Files); err != nil || set.Hash() != e.Files {
				// Only the removal of the folder may have taken them, before any pass.
				if _, e := os.Stat(filepath.Join(Folder(m.dir), blobFolder)); e == nil {
					m.t.Fatalf("files of a reload: %v", err)
				}
			}
		}
		got = append(got, fmt.Sprintf("%s %d %s", e.What, e.K, what))
	}
	if len(got) > len(m.given) || !slices.Equal(got, m.given[:len(got)]) {
		m.t.Fatalf("read back\n%q\nof\n%q", got, m.given)
	}
	if len(got) < atLeast {
		m.t.Fatalf("%d entries read back, %d were on the disk", len(got), atLeast)
	}
	return len(got)
}
