package main

import (
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/pace"
)

// band is a receiver that keeps every different frame of one universe, in the order they came.
type band struct {
	receiver *artnet.Receiver
	address  string

	mu     sync.Mutex
	frames []dmx.Frame
}

func newBand(t *testing.T) *band {
	t.Helper()
	b := &band{}
	var err error
	b.receiver, err = artnet.Listen(netip.MustParseAddrPort("127.0.0.1:0"), func(d *artnet.Datagram) {
		b.mu.Lock()
		defer b.mu.Unlock()
		var f dmx.Frame
		copy(f[:], d.Data)
		if n := len(b.frames); n == 0 || b.frames[n-1] != f {
			b.frames = append(b.frames, f)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.receiver.Close() })
	b.address = b.receiver.Addr().String()
	return b
}

// take gives what came, and begins anew.
func (b *band) take() []dmx.Frame {
	b.mu.Lock()
	defer b.mu.Unlock()
	frames := b.frames
	b.frames = nil
	return frames
}

// edit puts a new text in place of every occurrence of an old one in a shoot's file.
func edit(t *testing.T, dir, file, from, to string) {
	t.Helper()
	path := filepath.Join(dir, file)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if from != "" && !strings.Contains(string(text), from) {
		t.Fatalf("%s does not hold %q", file, from)
	}
	changed := string(text) + to
	if from != "" {
		changed = strings.ReplaceAll(string(text), from, to)
	}
	if err := os.WriteFile(path, []byte(changed), 0o666); err != nil {
		t.Fatal(err)
	}
}

// noLeak checks that nothing is left running when all else of the test has ended; after a failure that is no
// news.
func noLeak(t *testing.T) {
	t.Cleanup(func() {
		if !t.Failed() {
			goleak.VerifyNone(t)
		}
	})
}

// lastRun is the latest run of a shoot.
func lastRun(t *testing.T, dir string) *journal.Run {
	t.Helper()
	run, err := journal.Last(dir)
	if err != nil || run == nil {
		t.Fatalf("run %v, %v", run, err)
	}
	return run
}

// entries are those of one kind in the last run's journal.
func entries(t *testing.T, dir string, kind journal.Kind) (out []journal.Entry) {
	t.Helper()
	for e, err := range lastRun(t, dir).Entries() {
		if err != nil {
			t.Fatal(err)
		}
		if e.What == kind {
			out = append(out, e)
		}
	}
	return out
}

// undisturbed are the frames of one universe that an engine makes which is given a run's commands at
// their time and asked for every frame, up to and with the last. Nothing of what takes a run up is in it.
func undisturbed(t *testing.T, dir string, run *journal.Run, last int64) []dmx.Frame {
	t.Helper()
	folder, shoot, problems := files.OpenFS(dir, os.DirFS(dir))
	if shoot == nil {
		t.Fatal(problems)
	}
	e, err := operate.New(shoot, operate.Options{Folder: folder})
	if err != nil {
		t.Fatal(err)
	}
	var commands []journal.Entry
	for s, err := range run.Steps() {
		if err != nil || s.What != journal.KindCommand {
			t.Fatal(s, err)
		}
		commands = append(commands, s)
	}
	frames := make([]dmx.Frame, len(e.Universes()))
	all := make([]dmx.Frame, last+1)
	for k := range last + 1 {
		for len(commands) > 0 && commands[0].K <= k {
			c, err := e.Parse(commands[0].Text)
			if err != nil {
				t.Fatal(err)
			}
			if r := e.DoAt(k, c); r.Refused || r.K != commands[0].K {
				t.Fatalf("%s acts in frame %d, not %d: %v", c, r.K, commands[0].K, r.Notices)
			}
			commands = commands[1:]
		}
		e.Fill(k, frames)
		all[k] = frames[0]
	}
	return all
}

// replays checks that the last run of a shoot can be played again, with at least so many settles the same.
func replays(t *testing.T, dir string) string {
	t.Helper()
	s := start(t, "replay", dir)
	if status := s.wait(); status != statusDone {
		t.Errorf("replay: status %d\n%s%s", status, s.out, s.err)
	}
	if len(entries(t, dir, journal.KindSettle)) == 0 || !strings.Contains(s.out.String(), "byte for byte") {
		t.Errorf("nothing is proved: %s", s.out)
	}
	return s.out.String()
}

// The tape gives what was put, forgets what is old, and costs the frame thread no memory.
func TestTape(t *testing.T) {
	tp := newTape(2)
	frames, got := make([]dmx.Frame, 2), make([]dmx.Frame, 2)
	if tp.at(0, got) || tp.at(-1, got) {
		t.Error("a frame that never was is remembered")
	}
	fill := tp.fill(func(k int64, frames []dmx.Frame) bool { frames[1][7] = byte(k); return k > 0 })
	for k := range int64(3 * tapeFrames) {
		fill(k, frames)
		if tp.at(k, got) != (k > 0) || k > 0 && !slices.Equal(frames, got) {
			t.Fatalf("frame %d", k)
		}
	}
	last := int64(3*tapeFrames - 1)
	if tp.at(last-tapeFrames, got) || !tp.at(last-tapeFrames+1, got) || got[1][7] != byte(last-tapeFrames+1) {
		t.Error("it does not remember exactly its length")
	}
	k := last
	if n := testing.AllocsPerRun(100, func() { k++; fill(k, frames) }); n != 0 {
		t.Errorf("%g allocations a frame", n)
	}
}

// The guard finds what flashes in the frames of the tape however it is scheduled, and tells the operator's own keys
// from a sequence.
func TestOwnKeys(t *testing.T) {
	for _, v := range operate.Verbs() {
		want := true
		switch v {
		case "play", "stop", "confirm", "rolling", "cut", "again", "missed", "picture", "note", "approve", "attach":
			want = false
		}
		if ownKey(v) != want {
			t.Errorf("%s: %v", v, !want)
		}
	}
}

// The journal's own trouble stays up as long as it lasts, whatever else is taken back, and the light goes on.
func TestRunWithoutJournal(t *testing.T) {
	b := newBand(t)
	dir := shootWith(t, artNetTo(b.address, "leave"))
	// A file where the folder of the journal should be: nothing can be written there, as on a disk that is full or read-only.
	if err := os.WriteFile(filepath.Join(dir, ".limn"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("next")
	desk.out.says(t, "bow: settled")
	desk.err.says(t, "warning: ")
	edit(t, dir, "cues.toml", `sky = "80 %"`, `sky = "70 %"`)
	_, n := desk.out.line(t, 0, "the change", func(l string) bool { return strings.Contains(l, "the changed files are in") })
	desk.out.line(t, n, "its fade", func(l string) bool { return strings.Contains(l, "bow: settled") })
	_, n = desk.err.line(t, 0, "the warning", isJournalWarning)
	desk.typed("status") // which says all that stands
	desk.err.line(t, n+1, "the warning after a change of the files", isJournalWarning)
	if err := os.Remove(filepath.Join(dir, ".limn")); err != nil {
		t.Fatal(err)
	}
	desk.typed("go beam")
	desk.out.says(t, "beam: settled")
	desk.typed("quit")
	if status := desk.wait(); status != statusDone {
		t.Errorf("status %d\n%s", status, desk.err)
	}
	if len(b.take()) < 10 {
		t.Error("the light did not go on")
	}
	// Once it could, the journal was written, with all that had waited.
	var said []string
	for _, e := range entries(t, dir, journal.KindCommand) {
		said = append(said, e.Text)
	}
	if !slices.Equal(said, []string{"next", `go "beam"`}) {
		t.Errorf("the journal has %q", said)
	}
	replays(t, dir)
}

func isJournalWarning(line string) bool {
	return strings.HasPrefix(line, "warning: ") && strings.Contains(line, "cannot be written")
}

// How long lights have burned is known after a crash too: by what the journal has of them.
func TestLitSince(t *testing.T) {
	dir := t.TempDir()
	var clock atomic.Int64 // minutes
	now := func() time.Time { return time.Date(2026, 5, 4, 9, int(clock.Load()), 0, 0, time.UTC) }
	j := journal.Begin(dir, journal.Options{Rate: pace.Rate, Now: now})
	settle := func(minute int, lit ...string) {
		clock.Store(int64(minute))
		st := journal.State{}
		for _, name := range lit {
			st.Lights = append(st.Lights, journal.Light{Source: name})
		}
		j.Settled(int64(minute), st)
	}
	j.Command(0, "next")
	settle(1, "sky", "fill")
	settle(7, "sky", "lantern")
	settle(9, "sky", "lantern", "fill")
	if err := j.Close(9); err != nil {
		t.Fatal(err)
	}
	got := litSince(lastRun(t, dir))
	for name, minute := range map[string]int{"sky": 1, "lantern": 7, "fill": 9} {
		if got[name].Minute() != minute {
			t.Errorf("%s since %v", name, got[name])
		}
	}
	if len(got) != 3 || len(litSince(nil)) != 0 {
		t.Errorf("%v", got)
	}
}

// One run of a shoot at a time.
func TestSecondRunIsRefused(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1:1", "leave"))
	first := start(t, "run", dir)
	first.err.says(t, "nothing is sent before the first command")
	second := start(t, "run", dir)
	if status := second.wait(); status != statusFailed {
		t.Errorf("status %d", status)
	}
	second.err.says(t, "error: ")
	first.typed("quit")
	first.wait()
	third := start(t, "run", dir)
	third.err.says(t, "nothing is sent before the first command")
	third.typed("quit")
	third.wait()
}

// A replay that does not give what was sent names the frame and fails.
func TestReplayDiffers(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1:1", "leave"))
	folder, shoot, _, err := files.Open(dir)
	if err != nil || shoot == nil {
		t.Fatal(err)
	}
	j := journal.Begin(dir, journal.Options{Program: versionText(), Rate: pace.Rate, Files: shootFiles(folder, dir), Reached: func() int64 { return 99 }})
	j.Command(3, "next")
	j.Settled(50, journal.State{Cue: "bow", Slots: "0123456789abcdef"})
	if err := j.Close(99); err != nil {
		t.Fatal(err)
	}
	s := start(t, "replay", dir)
	if status := s.wait(); status != statusFailed {
		t.Errorf("status %d", status)
	}
	s.err.says(t, "error: frame 50 (1.136 s, bow) is not what was sent")

	// Files that are kept no more are those of the folder, if it is the same.
	kept := filepath.Join(journal.Folder(dir), "files")
	if err := os.RemoveAll(kept); err != nil {
		t.Fatal(err)
	}
	s = start(t, "replay", dir)
	s.wait()
	s.err.says(t, "error: frame 50 ")
	edit(t, dir, "cues.toml", `sky = "80 %"`, `sky = "81 %"`)
	s = start(t, "replay", dir)
	if status := s.wait(); status != statusFailed {
		t.Errorf("status %d", status)
	}
	s.err.says(t, "hint: bring the folder back to what it was then")
}

// A keep that meets somebody else's edit did nothing yet: played again, nobody edits in between.
func TestKeepMeetsAnEdit(t *testing.T) {
	dir := shootWith(t, artNetTo(deaf(t), "leave"))
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("next")
	desk.out.says(t, "bow: settled")
	desk.typed("trim sky down 1 stop")
	desk.out.says(t, "sky 40 % (kept 80 %)")
	edit(t, dir, "cues.toml", `level = "50 %"`, `level = "30 %"`)
	desk.typed("keep")
	desk.out.says(t, "the changed files are in")
	_, n := desk.out.line(t, 0, "the change", func(l string) bool { return strings.Contains(l, "the changed files are in") })
	_, n = desk.out.line(t, n, "its fade", func(l string) bool { return strings.Contains(l, "bow: settled") })
	desk.typed("trim sky up 1/2 stop")
	desk.out.says(t, "sky 56.57 % (kept ")
	desk.typed("go beam")
	desk.out.line(t, n, "beam", func(l string) bool { return strings.Contains(l, "beam: settled") })
	desk.typed("quit")
	desk.wait()
	replays(t, dir)
}

// What is approved is played as it was sent in a replay too: approvals are among the files of a run.
func TestReplayOfApproved(t *testing.T) {
	dir := shootWith(t, artNetTo("127.0.0.1:1", "leave"))
	desk := start(t, "run", dir)
	desk.err.says(t, "nothing is sent before the first command")
	desk.typed("next")
	desk.out.says(t, "bow: settled")
	desk.typed("approve")
	desk.out.says(t, "approved as bow is now")
	desk.typed("trim sky down 1 stop")
	desk.out.says(t, "sky 40 % (kept 80 %)")
	desk.typed("keep")
	desk.out.says(t, "kept in bow")
	edit(t, dir, "rig.toml", `"400 lx"`, `"500 lx"`)
	desk.out.says(t, "rig.toml changed")
	desk.typed("as sent")
	desk.out.says(t, "as it was sent")
	desk.typed("go beam")
	desk.out.says(t, "beam: settled")
	desk.typed("back")
	_, n := desk.out.line(t, 0, "beam", func(l string) bool { return strings.Contains(l, "beam: settled") })
	desk.out.line(t, n, "bow again", func(l string) bool { return strings.Contains(l, "bow: settled") })
	desk.typed("quit")
	desk.wait()
	if got := replays(t, dir); !strings.Contains(got, "as sent") {
		t.Error(got)
	}
	settles := entries(t, dir, journal.KindSettle)
	st := settles[len(settles)-1].State
	if st.Cue != "bow" || len(st.Lights) != 2 || st.Lights[0].Kelvin == nil || !near(*st.Lights[0].Kelvin, 5600, 60) ||
		st.Lights[0].Share == nil || !near(*st.Lights[0].Share, 0.8, 0.001) || !(*st.Lights[0].Lux > 100 && *st.Lights[0].Lux < 0.8*1850) {
		t.Errorf("%+v", st)
	}
}

// deaf is the address of a receiver that nobody asks.
func deaf(t *testing.T) string {
	t.Helper()
	return newBand(t).address
}
