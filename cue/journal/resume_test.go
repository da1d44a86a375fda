package journal

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// unclean is a run without its last entry, as a crash leaves it.
func unclean(t *testing.T, give func(*Journal)) *Run {
	t.Helper()
	dir := t.TempDir()
	j := Begin(dir, Options{Files: kittiwake})
	give(j)
	mustEnd(t, j, 100)
	data, err := os.ReadFile(j.Path())
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(string(data), "\n")
	if err := os.WriteFile(j.Path(), []byte(strings.Join(lines[:len(lines)-2], "")), 0o666); err != nil {
		t.Fatal(err)
	}
	return last(t, dir)
}

func TestResume(t *testing.T) {
	next := func(j *Journal) { j.Command(1, "next") }
	gone := unclean(t, next)
	if err := os.RemoveAll(filepath.Join(gone.folder, blobFolder)); err != nil {
		t.Fatal(err)
	}
	dir, _, _ := sample(t)
	for _, c := range []struct {
		name   string
		run    *Run
		folder string
		want   Way
		says   string
	}{
		{"none", nil, kittiwake.Hash(), Fresh, ""},
		{"clean end", last(t, dir), edited.Hash(), Fresh, ""},
		{"no command", unclean(t, func(*Journal) {}), kittiwake.Hash(), Fresh, "before its first command"},
		{"as it was", unclean(t, next), kittiwake.Hash(), Same, ""},
		{"edited", unclean(t, next), edited.Hash(), Changed, "the edit fades in"},
		{"broken files", unclean(t, next), "", Changed, "have errors"},
		{"a set not kept", unclean(t, func(j *Journal) { next(j); j.Reload(5, Files{{Path: "/x"}}); j.Reload(6, kittiwake) }), kittiwake.Hash(), Unsure, "not kept"},
		{"reloaded", unclean(t, func(j *Journal) { next(j); j.Reload(5, edited) }), edited.Hash(), Same, ""},
		{"kept", unclean(t, func(j *Journal) { next(j); j.Kept(5, edited) }), edited.Hash(), Same, ""},
		{"kept, then put back", unclean(t, func(j *Journal) { next(j); j.Kept(5, edited) }), kittiwake.Hash(), Changed, "edit"},
		{"files gone", gone, kittiwake.Hash(), Unsure, "not kept"},
		{"entries left out", unclean(t, func(j *Journal) { next(j); j.Command(2, strings.Repeat("x", MaxText+1)) }), kittiwake.Hash(), Same, "leave out 1 entry"},
	} {
		way, text := c.run.Resume(c.folder)
		if way != c.want || !strings.Contains(text, c.says) || c.says == "" && text != "" {
			t.Errorf("%s: way %d, %q", c.name, way, text)
		}
	}
}

func TestNoRun(t *testing.T) {
	if r, err := Last(t.TempDir()); r != nil || err != nil {
		t.Error(r, err)
	}
	dir := t.TempDir()
	if err := os.MkdirAll(Folder(dir), 0o777); err != nil {
		t.Fatal(err)
	}
	if r, err := Last(dir); r != nil || err != nil {
		t.Error(r, err)
	}
}

func TestReadLogRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	newer, err := appendLine(nil, &Entry{N: 1, What: KindBegin, K: -1, Header: &Header{Version: 2}})
	if err != nil {
		t.Fatal(err)
	}
	other, err := appendLine(nil, &Entry{N: 1, What: KindCommand, K: 1, Text: "next"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ content, says string }{
		{"", "not the journal of a run"},
		{"[subject]\nname = 1\n", "not the journal of a run"},
		{"{}\n", "not the journal of a run"},
		{string(other), "not the journal of a run"},
		{string(newer), "version 2; this program reads up to version 1"},
		{strings.Repeat("x", 2*MaxLine) + "\n", "not the journal of a run"},
		{strings.Replace(string(newer), "amd", "arm", 1) + "x", "version 2"},
	} {
		if err := os.WriteFile(path, []byte(c.content), 0o666); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadLog(path); err == nil || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), path) {
			t.Errorf("%.30q: %v", c.content, err)
		}
	}
	if _, err := ReadLog(path + ".no"); !os.IsNotExist(err) {
		t.Error(err)
	}
}

// Kinds and keys that a later program adds are passed over.
func TestWhatIsNotKnownIsPassedOver(t *testing.T) {
	dir, data, _ := sample(t)
	path := logFiles(dir)[0]
	end := strings.LastIndex(string(data[:len(data)-1]), "\n") + 1
	later := sealed([]byte(`{"n":9,"what":"weather","k":120,"sky":{"clouds":[1,2]}`), 0)
	data = append(data[:end:end], later...)
	if err := os.WriteFile(path, data, 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := ReadLog(path)
	if err != nil || r.Damaged != 0 || r.Commands != 2 || r.Ended {
		t.Errorf("%+v, %v", r, err)
	}
}

// A line longer than any journal has costs only itself, and no memory.
func TestLongLine(t *testing.T) {
	dir, data, lines := sample(t)
	path := logFiles(dir)[0]
	long := lines[0] + strings.Repeat("y", 3*MaxLine) + "\n" + string(data[len(lines[0]):])
	r, got, err := read(t, path, []byte(long))
	if err != nil || r.Damaged != 1 || len(got) != len(lines) || !strings.Contains(r.Damage[0].String(), "line 2: it has more than 1048576 bytes") {
		t.Errorf("%+v, %d entries, %v", r, len(got), err)
	}
}
