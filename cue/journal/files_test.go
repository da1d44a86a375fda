package journal

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"
)

func TestFilesFS(t *testing.T) {
	if err := fstest.TestFS(kittiwake.FS(), "rig.toml", "cues/bow.toml"); err != nil {
		t.Error(err)
	}
	data, err := Files(nil).FS().Open(".")
	if err != nil {
		t.Error(err)
	} else {
		data.Close()
	}
}

func TestFilesWriteTo(t *testing.T) {
	dir := t.TempDir()
	if err := kittiwake.WriteTo(dir); err != nil {
		t.Fatal(err)
	}
	for _, f := range kittiwake {
		if data, err := os.ReadFile(filepath.Join(dir, f.Path)); err != nil || string(data) != string(f.Data) {
			t.Errorf("%s: %q, %v", f.Path, data, err)
		}
	}
	for _, path := range []string{"../out.toml", "/out.toml", "a/../../out.toml", ""} {
		if err := (Files{{Path: path}}).WriteTo(dir); err == nil {
			t.Errorf("%q is written", path)
		}
	}
	if err := os.Symlink("..", filepath.Join(dir, "up")); err != nil {
		t.Fatal(err)
	}
	if err := (Files{{Path: "up/out.toml"}}).WriteTo(dir); err == nil {
		t.Error("a link leads out of the folder")
	}
}

// The SHA-256 of nothing is that of FIPS 180-4's published example files.
func TestHashIsSHA256(t *testing.T) {
	if got := hash(nil); got != "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855" {
		t.Error(got)
	}
}

func TestHashGoesByContent(t *testing.T) {
	turned := slices.Clone(kittiwake)
	slices.Reverse(turned)
	if turned.Hash() != kittiwake.Hash() || !turned.Equal(kittiwake) {
		t.Error("the order of files matters")
	}
	if edited.Hash() == kittiwake.Hash() || edited.Equal(kittiwake) {
		t.Error("an edit does not matter")
	}
	moved := slices.Clone(kittiwake)
	moved[1].Path = "cues/beam.toml"
	if moved.Hash() == kittiwake.Hash() || moved.Equal(kittiwake) {
		t.Error("a name does not matter")
	}
}

func TestFilesOf(t *testing.T) {
	texts := map[string][]byte{"rig.toml": kittiwake[0].Data, "cues/bow.toml": kittiwake[1].Data, "cues.toml": nil}
	if got := FilesOf(texts); !got.Equal(kittiwake) || got[0].Path != "cues/bow.toml" {
		t.Errorf("%v", got)
	}
}

func TestSetReadsBack(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[a-zé ."<]{1,8}(/[a-z]{1,4})?`).Filter(validPath)
		paths := rapid.SliceOfNDistinct(name, 0, 6, rapid.ID[string]).Draw(t, "paths")
		var set Files
		for _, p := range paths {
			set = append(set, File{p, rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, "data")})
		}
		if err := set.check(); err != nil {
			t.Fatal(err)
		}
		if err := saveSet(newFaulty(), dir, 7, set); err != nil {
			t.Fatal(err)
		}
		got, err := loadSet(dir, 7, set.Hash())
		if err != nil || !got.Equal(set) || got.Hash() != set.Hash() {
			t.Fatalf("%v, %v", got, err)
		}
	})
}

func TestDamagedFilesAreNotTaken(t *testing.T) {
	dir, _, _ := sample(t)
	r := last(t, dir)
	blob := filepath.Join(Folder(dir), blobFolder, hash(kittiwake[0].Data))
	for _, content := range [][]byte{[]byte("[subject]\nname = \"Cormorant\"\n"), nil, make([]byte, MaxFile+1)} {
		if err := os.WriteFile(blob, content, 0o666); err != nil {
			t.Fatal(err)
		}
		if _, err := r.FirstFiles(); err == nil {
			t.Errorf("%d damaged bytes are taken", len(content))
		}
	}
	if err := os.Remove(blob); err != nil {
		t.Fatal(err)
	}
	if _, err := r.FirstFiles(); err == nil || !strings.Contains(err.Error(), "not kept") {
		t.Errorf("missing bytes: %v", err)
	}
	list := filepath.Join(Folder(dir), listName(1, kittiwake.Hash()))
	if err := os.WriteFile(list, []byte("{}"), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, err := r.FirstFiles(); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("damaged list: %v", err)
	}
}

func TestParseListRefuses(t *testing.T) {
	h := hash(nil)
	for _, c := range []struct{ list, says string }{
		{`{`, "cannot be understood"},
		{`{"version":2}`, "version 2"},
		{`{"version":1,"files":[{"path":"../a","hash":"` + h + `"}]}`, "shoot folder"},
		{`{"version":1,"files":[{"path":"/a","hash":"` + h + `"}]}`, "shoot folder"},
		{`{"version":1,"files":[{"path":"a\\b","hash":"` + h + `"}]}`, "shoot folder"},
		{`{"version":1,"files":[{"path":"a","hash":"../../x"}]}`, "hex digits"},
		{`{"version":1,"files":[{"path":"a","hash":"` + h + `"},{"path":"a","hash":"` + h + `"}]}`, "comes once"},
		{`{"version":1,"files":[{"path":"a","hash":"` + h + `","bytes":-1}]}`, "at most"},
		{`{"version":1,"files":[{"path":"a","hash":"` + h + `","bytes":16777216},{"path":"b","hash":"` + h + `","bytes":16777216},{"path":"c","hash":"` + h + `","bytes":1}]}`, "a set has at most"},
	} {
		if _, err := parseList([]byte(c.list)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.list, err)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	many := make(Files, MaxFiles+1)
	for i := range many {
		many[i].Path = fmt.Sprint(i)
	}
	for name, set := range map[string]Files{
		"many":  many,
		"big":   {{Path: "a", Data: make([]byte, MaxFile+1)}},
		"total": {{"a", make([]byte, MaxFile)}, {"b", make([]byte, MaxFile)}, {"c", make([]byte, 1)}},
		"twice": {{Path: "a"}, {Path: "a"}},
		"path":  {{Path: "a/../b"}},
	} {
		if err := set.check(); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

func TestPrune(t *testing.T) {
	dir := t.TempDir()
	folder := Folder(dir)
	const runs = KeepRuns + 5
	d := newFaulty()
	common := File{"rig.toml", []byte("rig")}
	for run := 1; run <= runs; run++ {
		if err := saveSet(d, folder, run, Files{common, {"cues.toml", fmt.Appendf(nil, "cue %d", run)}}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, logName(run)), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	notes := filepath.Join(folder, "notes.txt")
	if err := os.WriteFile(notes, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := prune(d, folder, runs); err != nil {
		t.Fatal(err)
	}
	if got := len(logFiles(dir)); got != KeepRuns {
		t.Errorf("%d journals kept", got)
	}
	if _, err := os.Stat(notes); err != nil {
		t.Error("what is not the journal's was removed")
	}
	blobs, err := os.ReadDir(filepath.Join(folder, blobFolder))
	if err != nil || len(blobs) != KeepFiles+1 {
		t.Errorf("%d blobs kept, %v", len(blobs), err)
	}
	for run := 1; run <= runs; run++ {
		set := Files{common, {"cues.toml", fmt.Appendf(nil, "cue %d", run)}}
		_, err := loadSet(folder, run, set.Hash())
		if kept := run > runs-KeepFiles; (err == nil) != kept {
			t.Errorf("run %d: %v", run, err)
		}
	}
	// A list that cannot be read may name anything: no bytes are removed.
	if err := os.WriteFile(filepath.Join(folder, listName(runs, hash(nil))), []byte("{"), 0o666); err != nil {
		t.Fatal(err)
	}
	stray := filepath.Join(folder, blobFolder, hash([]byte("stray")))
	if err := os.WriteFile(stray, []byte("stray"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := prune(d, folder, runs); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(stray); err != nil {
		t.Error("bytes were removed on the word of a damaged list")
	}
}

// A run prunes what is old, and keeps its own.
func TestRunPrunes(t *testing.T) {
	dir := t.TempDir()
	var paths []string
	for i := range KeepFiles + 2 {
		j := Begin(dir, Options{Files: Files{{"rig.toml", fmt.Append(nil, i)}}})
		j.Command(1, "next")
		mustEnd(t, j, 2)
		paths = append(paths, j.Path())
	}
	for i, path := range paths {
		r, err := ReadLog(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := r.FirstFiles(); (err == nil) != (i > 1) {
			t.Errorf("run %d of %d: %v", i, len(paths), err)
		}
	}
}
