package journal

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// childDir names the shoot for the process that is killed.
const childDir = "LIMN_JOURNAL_TEST_DIR"

// child writes commands as fast as it can and says which it has given, until it is killed.
func child(dir string) {
	l, err := Acquire(dir)
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	defer l.Release()
	j := Begin(dir, Options{Files: kittiwake})
	for i := range int64(1_000_000) {
		j.Command(i, "next "+strconv.FormatInt(i, 10))
		fmt.Println(i)
		for n, _ := j.queue.waiting(); n > QueueLength/2; n, _ = j.queue.waiting() {
			time.Sleep(time.Millisecond) // hands are slower; nothing is to be left out here
		}
	}
	os.Exit(1)
}

// A process killed with signal 9 leaves all it gave but the last moments, and its lock.
func TestKilled(t *testing.T) {
	for _, after := range []int{0, 1, 500, 2000} { // commands on record before it is killed
		dir := t.TempDir()
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childDir+"="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		in, given := bufio.NewScanner(out), int64(-1)
		busy := false
		for in.Scan() {
			if given, err = strconv.ParseInt(in.Text(), 10, 64); err != nil {
				t.Fatal(in.Text())
			}
			if given%256 != 0 {
				continue
			}
			_, err := Acquire(dir)
			busy = asBusy(err, cmd.Process.Pid)
			if r, err := Last(dir); err != nil {
				t.Fatal(err)
			} else if after == 0 || r != nil && r.Commands >= after {
				break
			}
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for in.Scan() { // what it had given before it died
			if v, err := strconv.ParseInt(in.Text(), 10, 64); err == nil {
				given = v
			}
		}
		_ = cmd.Wait()
		if !busy {
			t.Error("the lock of a living run was not noticed")
		}
		l, err := Acquire(dir)
		if err != nil || !l.Stale {
			t.Fatalf("the lock of a dead run: %+v, %v", l, err)
		}
		if err := l.Release(); err != nil {
			t.Error(err)
		}
		r, err := Last(dir)
		if err != nil {
			t.Fatal(err)
		}
		if r == nil { // killed before the disk had the first entry
			if after > 0 {
				t.Fatal("what was on record is gone")
			}
			continue
		}
		if r.Ended || r.Commands < after || r.Damaged != 0 || r.Lost != (Lost{}) {
			t.Errorf("%+v", r)
		}
		for i, s := range steps(t, r) {
			if s != fmt.Sprintf("%d next %d", i, i) {
				t.Fatalf("step %d is %q", i, s)
			}
		}
		if int64(r.Commands) > given+2 { // one may have been given and not yet said
			t.Errorf("%d commands on record, %d given", r.Commands, given+1)
		}
		t.Logf("%d of %d commands on record", r.Commands, given+1)
	}
}

// sample is the bytes of a journal with every kind of entry, and its lines.
func sample(t testing.TB) (dir string, data []byte, lines []string) {
	t.Helper()
	dir = t.TempDir()
	j := Begin(dir, Options{Program: "1", Files: kittiwake, Epoch: time.Unix(1e9, 0).UTC(), Now: func() time.Time { return time.Unix(1e9, 0).UTC() }})
	j.Command(1, "next")
	j.Azimuth(2, 35.5)
	j.Settled(90, State{Cue: "bow", Lights: []Light{{Source: "sky", Level: "80 %", Lux: new(1480.0)}}})
	j.Reload(95, edited)
	j.Captured(99, Capture{Image: "a", Take: 1})
	j.Warned(100, "bench is away")
	j.Command(120, "dark")
	if err := j.Close(130); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(j.Path())
	if err != nil {
		t.Fatal(err)
	}
	lines = strings.SplitAfter(string(data), "\n")
	return dir, data, lines[:len(lines)-1]
}

// read is a journal of the given bytes and its entries' lines, written anew.
func read(t *testing.T, path string, data []byte) (*Run, []string, error) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := ReadLog(path)
	if err != nil {
		return nil, nil, err
	}
	var lines []string
	for e, err := range r.Entries() {
		if err != nil {
			t.Fatal(err)
		}
		line, err := appendLine(nil, &e)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, string(line))
	}
	return r, lines, nil
}

func TestCutAnywhere(t *testing.T) {
	dir, data, lines := sample(t)
	path := logFiles(dir)[0]
	for cut := range len(data) {
		r, got, err := read(t, path, data[:cut])
		whole := strings.Count(string(data[:cut]), "\n")
		if whole == 0 {
			if err == nil {
				t.Fatalf("cut at %d: a run without a first line", cut)
			}
			if r, err := Last(dir); r != nil || err != nil {
				t.Fatalf("cut at %d: %v, %v; a crash before the first entry is nothing to resume", cut, r, err)
			}
			continue
		}
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		if !slices.Equal(got, lines[:whole]) {
			t.Fatalf("cut at %d: %q", cut, got)
		}
		if torn := data[cut-1] != '\n'; r.Torn != torn || r.Damaged != 0 || r.Ended {
			t.Fatalf("cut at %d: torn %v, %+v", cut, r.Torn, r)
		}
		// The run goes on from there.
		if cut%37 != 0 {
			continue
		}
		c := Continue(r, Options{})
		c.Command(500, "next")
		mustEnd(t, c, 501)
		again, err := ReadLog(path)
		if err != nil || again.Damaged != 0 || again.Torn || !again.Ended || again.Commands != r.Commands+1 {
			t.Fatalf("cut at %d: after going on %+v, %v", cut, again, err)
		}
	}
}

// One wrong byte costs the lines it stands in, is told of, and never makes an entry that
// was not given.
func TestOneWrongByte(t *testing.T) {
	dir, data, lines := sample(t)
	path := logFiles(dir)[0]
	first := len(lines[0])
	for at := range data {
		for _, flip := range []byte{1 << (at % 8), data[at] ^ '\n'} {
			if flip == 0 {
				continue
			}
			bad := slices.Clone(data)
			bad[at] ^= flip
			r, got, err := read(t, path, bad)
			if at < first {
				if err == nil {
					t.Fatalf("byte %d: %q: a damaged first line is not noticed", at, got)
				}
				continue
			}
			if err != nil {
				t.Fatalf("byte %d: %v", at, err)
			}
			rest := lines
			for _, g := range got {
				i := slices.Index(rest, g)
				if i < 0 {
					t.Fatalf("byte %d: the entry %q was never given, or out of order", at, g)
				}
				rest = rest[i+1:]
			}
			missing := len(lines) - len(got)
			if missing < 1 || missing > 2 || !r.Torn && (r.Damaged == 0 || r.Inexact() == "") {
				t.Fatalf("byte %d: %d entries missing, %+v", at, missing, r)
			}
		}
	}
}
