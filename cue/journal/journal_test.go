package journal

import (
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

var kittiwake = Files{
	{Path: "rig.toml", Data: []byte("[subject]\nname = \"Kittiwake\"\n")},
	{Path: "cues/bow.toml", Data: []byte("[[cue]]\nname = \"bow\"\n")},
}

var edited = Files{
	{Path: "rig.toml", Data: []byte("[subject]\nname = \"Kittiwake\"\n")},
	{Path: "cues/bow.toml", Data: []byte("[[cue]]\nname = \"bow\"\nfade = \"3 s\"\n")},
}

// steps are a run's steps in short.
func steps(t *testing.T, r *Run) []string {
	t.Helper()
	var out []string
	for e, err := range r.Steps() {
		if err != nil {
			t.Fatal(err)
		}
		switch e.What {
		case KindCommand:
			out = append(out, fmt.Sprintf("%d %s", e.K, e.Text))
		case KindAzimuth:
			out = append(out, fmt.Sprintf("%d at %v", e.K, e.Degrees))
		default:
			out = append(out, fmt.Sprintf("%d %s %.4s", e.K, e.What, e.Files))
		}
	}
	return out
}

func last(t *testing.T, dir string) *Run {
	t.Helper()
	r, err := Last(dir)
	if err != nil {
		t.Fatal(err)
	}
	if r == nil {
		t.Fatal("no run")
	}
	return r
}

func mustEnd(t *testing.T, j *Journal, k int64) {
	t.Helper()
	if err := j.Close(k); err != nil {
		t.Fatal(err)
	}
}

func TestRunReadsBack(t *testing.T) {
	dir := t.TempDir()
	epoch := time.Date(2026, 5, 4, 9, 30, 0, 123456789, time.FixedZone("", 7200))
	j := Begin(dir, Options{
		Program: "1.2", Epoch: epoch, Rate: 44, Files: kittiwake,
		Settings: map[string]string{"auto-confirm": "true"},
	})
	j.Command(3, `go "bow at dusk"`)
	j.Azimuth(4, math.Nextafter(35, 36))
	j.Azimuth(4, math.NaN())
	j.Command(90, "note <café> & \"tape\"\n\u2028")
	j.Reload(95, edited)
	j.Kept(97, kittiwake)
	state := State{
		Cue: "bow", Azimuth: new(35.0), Looks: []string{"dusk"}, Lux: new(math.Inf(1)), Slots: "ab",
		Lights: []Light{{Source: "sky", Level: "80 %", Lux: new(1480.0), Kelvin: new(5600.0), Tint: new(math.NaN()), XY: &[2]float64{0.33, 0.34}}},
		Camera: map[string]string{"shutter": "1 s"},
		Cards:  []Card{{Name: "keel black", Mark: "tape C"}},
	}
	j.Settled(120, state)
	j.Captured(130, Capture{State: State{Cue: "bow"}, Image: "kittiwake-0007", Number: 7, Take: 2, Frame: 3, Of: 7, Focus: "0.482 m"})
	j.Warned(131, "bench is away")
	mustEnd(t, j, 140)

	r := last(t, dir)
	if !r.Ended || r.Reached != 140 || r.Commands != 2 || r.Torn || r.Damaged != 0 || r.Last != kittiwake.Hash() {
		t.Errorf("%+v", r)
	}
	if !r.Epoch.Equal(epoch) || r.Program != "1.2" || r.Rate != 44 || r.Settings["auto-confirm"] != "true" || r.Path != j.Path() {
		t.Errorf("header %+v of %s", r.Header, r.Path)
	}
	want := []string{
		`3 go "bow at dusk"`, "4 at 35.00000000000001", "90 note <café> & \"tape\"\n\u2028",
		fmt.Sprintf("95 reload %.4s", edited.Hash()), fmt.Sprintf("97 kept %.4s", kittiwake.Hash()),
	}
	if got := steps(t, r); !slices.Equal(got, want) {
		t.Errorf("steps %q", got)
	}
	for e := range r.Entries() {
		switch e.What {
		case KindSettle:
			want := state
			want.Lux, want.Lights[0].Tint = nil, nil // JSON has no word for them
			if !reflect.DeepEqual(*e.State, want) {
				t.Errorf("state %+v", e.State)
			}
		case KindCapture:
			if e.Capture.Image != "kittiwake-0007" || e.Capture.Take != 2 || e.Capture.Cue != "bow" {
				t.Errorf("capture %+v", e.Capture)
			}
		case KindCommand:
			if e.Time.IsZero() || time.Since(e.Time) > time.Minute {
				t.Errorf("time %v", e.Time)
			}
		}
	}
	first, err := r.FirstFiles()
	if err != nil || !first.Equal(kittiwake) {
		t.Errorf("first files %v, %v", first, err)
	}
	if got, err := r.Files(edited.Hash()); err != nil || !got.Equal(edited) {
		t.Errorf("edited files %v, %v", got, err)
	}
	if w := j.Warning(); w != "" {
		t.Errorf("warning %q", w)
	}
	blobs, err := os.ReadDir(Folder(dir) + "/files")
	if err != nil || len(blobs) != 3 {
		t.Errorf("%d blobs, %v; three different files were given", len(blobs), err)
	}
}

func TestNilJournal(t *testing.T) {
	var j *Journal
	j.Command(1, "next")
	j.Azimuth(1, 2)
	j.Reload(1, nil)
	j.Settled(1, State{})
	j.Captured(1, Capture{})
	if j.Warning() != "" || j.Path() != "" || j.Close(1) != nil {
		t.Error("a nil journal does something")
	}
}

func TestContinueAfterTornLine(t *testing.T) {
	dir := t.TempDir()
	j := Begin(dir, Options{Files: kittiwake})
	j.Command(1, "next")
	mustEnd(t, j, 50)
	// As if killed while writing what follows the end's place.
	path := j.Path()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n")
	torn := strings.Join(lines[:len(lines)-1], "") + `{"n":3,"what":"comm`
	if err := os.WriteFile(path, []byte(torn), 0o666); err != nil {
		t.Fatal(err)
	}

	r := last(t, dir)
	if r.Ended || !r.Torn || r.Commands != 1 {
		t.Fatalf("%+v", r)
	}
	c := Continue(r, Options{Program: "later", Epoch: time.Unix(1e9, 0)})
	c.Command(60, "dark")
	mustEnd(t, c, 70)

	r = last(t, dir)
	if got := steps(t, r); !slices.Equal(got, []string{"1 next", "60 dark"}) {
		t.Errorf("steps %q", got)
	}
	if !r.Ended || r.Torn || r.Damaged != 0 || r.Resumed != 1 || r.Latest.Program != "later" || r.Path != path || r.Last != kittiwake.Hash() {
		t.Errorf("%+v", r)
	}
}

func TestBeatIsYoung(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir := t.TempDir()
		var k atomic.Int64
		begun := time.Now()
		frame := func() int64 { return int64(time.Since(begun).Seconds() * 44) }
		j := Begin(dir, Options{Reached: func() int64 { k.Store(frame()); return frame() }})
		j.Command(0, "next")
		for range 300 {
			time.Sleep(37 * time.Millisecond)
			synctest.Wait()
			if time.Since(begun) < BeatEvery {
				continue
			}
			if r := last(t, dir); frame()-r.Reached > 22 {
				t.Fatalf("frame %d, %d on record: more than 0.5 s behind", frame(), r.Reached)
			}
		}
		mustEnd(t, j, frame())
	})
}

// What is many does not go onto the disk one by one; commands do at once.
func TestSyncPolicy(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := newFaulty()
		syncs := func() (n int) { d.set(func() { n = d.sync }); return n }
		j := Begin(t.TempDir(), Options{Disk: d, Reached: func() int64 { return time.Now().UnixMilli() }})
		synctest.Wait()
		before := syncs()
		j.Command(0, "next")
		synctest.Wait()
		if syncs() != before+1 {
			t.Errorf("a command made %d syncs", syncs()-before)
		}
		before = syncs()
		for range 1320 { // half a minute
			j.Azimuth(1, 2)
			time.Sleep(time.Second / 44)
		}
		synctest.Wait()
		if n := syncs() - before; n < 5 || n > 6 {
			t.Errorf("%d syncs in 30 s of azimuths; one in %v is right", n, SyncEvery)
		}
		mustEnd(t, j, 9)
	})
}

func TestEnqueueAllocatesNothing(t *testing.T) {
	j := newJournal(Options{}) // nobody takes: the queue fills and overflows
	text := "trim sky up 1/2 stop"
	if n := testing.AllocsPerRun(2000, func() { j.Azimuth(7, 35.25) }); n != 0 {
		t.Errorf("Azimuth: %v allocations", n)
	}
	if n := testing.AllocsPerRun(900, func() { j.Command(7, text) }); n != 0 {
		t.Errorf("Command: %v allocations", n)
	}
}

// A disk that never answers stops nobody, and commands have room when azimuths have none.
func TestOverflow(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, d := t.TempDir(), newFaulty()
		d.block = make(chan struct{})
		var told []string
		j := Begin(dir, Options{Disk: d, OnWarning: func(s string) { told = append(told, s) }})
		synctest.Wait()
		for i := range 2 * QueueLength {
			j.Azimuth(int64(i), 1)
		}
		for i := range 100 {
			j.Command(int64(i), "next")
		}
		if w := j.Warning(); !strings.Contains(w, "angles of the table were left out") {
			t.Errorf("warning %q", w)
		}
		if strings.Contains(j.Warning(), "entries were left") {
			t.Errorf("commands were lost: %q", j.Warning())
		}
		if err := j.Close(1); err == nil {
			t.Error("Close says that the end is on record")
		}
		close(d.block)
		synctest.Wait()
		r := last(t, dir)
		if r.Commands != 100 || r.Lost.Azimuths == 0 || r.Lost.Entries != 0 || !r.Ended || r.Damaged != 0 {
			t.Errorf("%+v", r)
		}
		if r.Inexact() == "" {
			t.Error("the run says it is exact")
		}
		n := 0
		for _, s := range steps(t, r) {
			if strings.Contains(s, " at ") {
				n++
			}
		}
		if int64(n)+r.Lost.Azimuths != 2*QueueLength {
			t.Errorf("%d angles kept and %d told as lost of %d", n, r.Lost.Azimuths, 2*QueueLength)
		}
	})
}

func TestTextTooLong(t *testing.T) {
	dir := t.TempDir()
	j := Begin(dir, Options{})
	j.Command(1, "next")
	j.Command(2, strings.Repeat("x", MaxText+1))
	j.Command(3, "dark")
	mustEnd(t, j, 4)
	r := last(t, dir)
	if got := steps(t, r); !slices.Equal(got, []string{"1 next", "3 dark"}) || r.Lost.Entries != 1 {
		t.Errorf("%q, lost %+v", got, r.Lost)
	}
	if !strings.Contains(j.Warning(), "1 entry was left out") {
		t.Errorf("warning %q", j.Warning())
	}
}

func TestFilesThatCannotBeKept(t *testing.T) {
	dir := t.TempDir()
	j := Begin(dir, Options{Files: Files{{Path: "../rig.toml"}}})
	j.Command(1, "next")
	mustEnd(t, j, 4)
	if w := j.Warning(); !strings.Contains(w, "cannot be resumed") || !strings.Contains(w, "../rig.toml") {
		t.Errorf("warning %q", w)
	}
	r := last(t, dir)
	if _, err := r.FirstFiles(); err == nil {
		t.Error("files that were not kept are read back")
	}
	if r.Commands != 1 {
		t.Errorf("%+v", r)
	}
}

// Many may give at once: nothing is lost, and each one's order holds.
func TestManyGiveAtOnce(t *testing.T) {
	const givers, each = 8, 150 // fewer in all than the queue holds
	dir := t.TempDir()
	j := Begin(dir, Options{Reached: func() int64 { return 5 }})
	var wg sync.WaitGroup
	for g := range givers {
		wg.Go(func() {
			for i := range int64(each) {
				j.Command(i, strconv.Itoa(g))
				j.Azimuth(i, float64(g))
				_ = j.Warning() + j.Path()
			}
		})
	}
	wg.Wait()
	mustEnd(t, j, each)
	r := last(t, dir)
	var nextCommand, nextAngle [givers]int64
	for e, err := range r.Steps() {
		if err != nil {
			t.Fatal(err)
		}
		next, g := &nextAngle, int(e.Degrees)
		if e.What == KindCommand {
			next = &nextCommand
			g, _ = strconv.Atoi(e.Text)
		}
		if e.K != next[g] {
			t.Fatalf("%s %d of giver %d; %d comes next", e.What, e.K, g, next[g])
		}
		next[g]++
	}
	for g := range givers {
		if nextCommand[g] != each || nextAngle[g] != each {
			t.Errorf("giver %d: %d commands and %d angles", g, nextCommand[g], nextAngle[g])
		}
	}
}

func TestFrameSum(t *testing.T) {
	a, b := make([][512]byte, 2), make([][512]byte, 2)
	if FrameSum(a) != FrameSum(b) || len(FrameSum(a)) != 16 {
		t.Error("the same slots have another sum")
	}
	b[1][511] = 1
	if FrameSum(a) == FrameSum(b) || FrameSum(a) == FrameSum(a[:1]) {
		t.Error("other slots have the same sum")
	}
}
