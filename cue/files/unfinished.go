package files

import (
	"encoding/json"
	"os"
	"path/filepath"
	"time"
)

// A plan of several files is several renames, and a computer may stop between two
// of them. What was begun is written down first, and finished when the folder is
// opened again: the contents are in the history by then.

const unfinishedFile = "unfinished.json"

// begun is one file of a plan that is being written, by the hashes of its content.
type begun struct {
	Path   string `json:"path"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// begin notes what is about to be written; done takes the note away again. One
// file is written at once, so it needs none.
func (f *Folder) begin(changes []FileChange) (done func(), err error) {
	if len(changes) < 2 {
		return func() {}, nil
	}
	note := make([]begun, len(changes))
	for i, c := range changes {
		note[i] = begun{c.Path, hash(c.Before), hash(c.After)}
	}
	b, err := json.Marshal(note)
	if err != nil {
		panic(err) // text
	}
	name := f.historyPath(unfinishedFile)
	if err := f.disk.save(name, b); err != nil {
		return nil, &WriteError{File: historyDir, Err: err}
	}
	return func() { _ = f.disk.remove(name) }, nil
}

// finish writes what a plan had not written yet when the program was stopped. It
// does nothing where a file has become something else since.
func (f *Folder) finish() {
	f.tidy()
	name := f.historyPath(unfinishedFile)
	b, err := os.ReadFile(name)
	if err != nil {
		return
	}
	var note []begun
	var left []FileChange
	sound := json.Unmarshal(b, &note) == nil
	for _, n := range note {
		if sound = sound && isText(n.Path); !sound {
			break
		}
		now, err := os.ReadFile(f.path(n.Path))
		switch {
		case err != nil, hash(now) != n.Before && hash(now) != n.After:
			sound = false
		case hash(now) == n.Before:
			after, err := f.contentOf(n.After)
			sound = err == nil
			left = append(left, FileChange{n.Path, now, after})
		}
	}
	if sound && len(left) > 0 && f.replace(left) != nil {
		return // the note stays for the next time
	}
	_ = f.disk.remove(name)
}

// staleAfter is how old what a stopped program left on its way must be to be taken
// away: nobody is still writing it.
const staleAfter = time.Hour

// tidy removes files that a stopped program never finished. What it had kept of
// old files stays.
func (f *Folder) tidy() {
	for _, dir := range []string{".", CuesDir, ApprovedDir, earlierDir, pictureDir, historyDir, historyDir + "/" + objectsDir} {
		left, _ := filepath.Glob(filepath.Join(f.path(dir), tempPattern)) // the pattern is sound
		for _, name := range left {
			if info, err := os.Lstat(name); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > staleAfter {
				_ = f.disk.remove(name)
			}
		}
	}
}
