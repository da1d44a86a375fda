package files

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/rogpeppe/go-internal/diff"

	"limn/cue"
	"limn/profiles/tomlfile"
)

// The history lies in the shoot's folder: an index of one JSON object a line, and
// every content once, by its hash.
const (
	StateDir   = ".limn"
	historyDir = StateDir + "/history"
	indexFile  = "versions.jsonl"
	objectsDir = "objects"
)

// How much history is kept: every version of the last HistoryDays days, and of
// older ones as many as make HistoryVersions in all. What is older still goes
// when the next version is written.
const (
	HistoryDays     = 30
	HistoryVersions = 500
)

// maxIndex is the most bytes of an index that are read.
const maxIndex = 16 << 20

// Version is the shoot's files as they stood at one time.
type Version struct {
	ID    string    `json:"id"` // what Diff and Restore take
	At    time.Time `json:"at"`
	Who   string    `json:"who"`
	What  string    `json:"what"`  // the command it came from
	Files []string  `json:"files"` // those that changed against the version before

	// Content is the hash of every file of the shoot, by name.
	Content map[string]string `json:"content"`
}

// found is what the history says of files that changed without it.
const found = "as it was found"

// History lists the versions, the latest first. Lines of the index that cannot
// be read are passed over.
func (f *Folder) History() ([]Version, error) {
	if f.dir == "" {
		return nil, nil
	}
	all, err := f.versions()
	slices.Reverse(all)
	return all, err
}

// versions lists them as they were written, the oldest first.
func (f *Folder) versions() ([]Version, error) {
	b, err := os.ReadFile(f.historyPath(indexFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return parseIndex(b), nil
}

// parseIndex reads an index. A line that was cut short by a crash is none.
func parseIndex(b []byte) []Version {
	if len(b) > maxIndex {
		b = b[len(b)-maxIndex:]
	}
	var out []Version
	lines := bufio.NewScanner(bytes.NewReader(b))
	lines.Buffer(nil, maxIndex)
	for lines.Scan() {
		var v Version
		if json.Unmarshal(lines.Bytes(), &v) == nil && v.ID != "" && len(v.Content) > 0 {
			out = append(out, v)
		}
	}
	return out
}

func (f *Folder) historyPath(parts ...string) string {
	return filepath.Join(append([]string{f.dir, filepath.FromSlash(historyDir)}, parts...)...)
}

// content is the hashes of a shoot's own texts: rig and cues, which plans edit.
func (s *seen) content() map[string]string {
	out := map[string]string{}
	for name, b := range s.files {
		if b != nil && isText(name) {
			out[name] = hash(b)
		}
	}
	return out
}

// isText says whether a file is one of those that make up a version.
func isText(name string) bool {
	return name == RigFile || name == CuesFile || path.Dir(name) == CuesDir && path.Ext(name) == ".toml"
}

// record writes a version, and one of what was there before unless the history
// knows that. undo takes the version out again.
func (f *Folder) record(by By, before, after *seen, changes []FileChange) (undo func(), err error) {
	broken := func(err error) error {
		return &WriteError{File: path.Join(historyDir), Err: err}
	}
	known, err := f.versions()
	if err != nil {
		return nil, broken(err)
	}
	index := f.historyPath(indexFile)
	old, err := os.ReadFile(index)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, broken(err)
	}
	if by.At.IsZero() {
		by.At = time.Now()
	}
	if by.Who == "" {
		by.Who = whoever()
	}
	add := func(who, what string, of *seen) error {
		content := of.content()
		var last map[string]string
		if len(known) > 0 {
			last = known[len(known)-1].Content
		}
		v := Version{ID: nextID(known, by.At), At: by.At.UTC().Round(time.Millisecond), Who: who, What: what, Content: content}
		for name, h := range content {
			if last[name] == h {
				continue
			}
			v.Files = append(v.Files, name)
			if err := f.object(h, of.files[name]); err != nil {
				return err
			}
		}
		for name := range last {
			if content[name] == "" {
				v.Files = append(v.Files, name)
			}
		}
		if len(v.Files) == 0 && len(known) > 0 {
			return nil
		}
		slices.Sort(v.Files)
		known = append(known, v)
		return nil
	}
	if err := add("", found, before); err != nil {
		return nil, broken(err)
	}
	if err := add(by.Who, by.What, after); err != nil {
		return nil, broken(err)
	}
	known, gone := bounded(known, by.At)
	if err := f.disk.save(index, indexOf(known)); err != nil {
		return nil, broken(err)
	}
	f.forget(known, gone)
	return func() { _ = f.disk.save(index, old) }, nil
}

func indexOf(versions []Version) []byte {
	var b bytes.Buffer
	for _, v := range versions {
		line, err := json.Marshal(v)
		if err != nil {
			panic(err) // text and times
		}
		b.Write(append(line, '\n'))
	}
	return b.Bytes()
}

// bounded splits the versions into those that are kept and those that go.
func bounded(all []Version, now time.Time) (kept, gone []Version) {
	from := max(len(all)-HistoryVersions, 0)
	for from > 0 && now.Sub(all[from-1].At) <= HistoryDays*24*time.Hour {
		from--
	}
	for len(all)-from > 2 && len(indexOf(all[from:])) > maxIndex/2 { // very many files
		from += (len(all) - from) / 4
	}
	return all[from:], all[:from]
}

// forget removes the contents that only versions now gone had.
func (f *Folder) forget(kept, gone []Version) {
	needed := map[string]bool{}
	for _, v := range kept {
		for _, h := range v.Content {
			needed[h] = true
		}
	}
	for _, v := range gone {
		for _, h := range v.Content {
			if !needed[h] {
				_ = f.disk.remove(f.historyPath(objectsDir, h))
			}
		}
	}
}

// object keeps a content once.
func (f *Folder) object(h string, b []byte) error {
	name := f.historyPath(objectsDir, h)
	if known, err := os.ReadFile(name); err == nil && hash(known) == h {
		return nil
	}
	return f.disk.save(name, b)
}

// contentOf is a content, checked against its hash.
func (f *Folder) contentOf(h string) ([]byte, error) {
	if len(h) != 64 || strings.ContainsAny(h, `/\.`) {
		return nil, fmt.Errorf("the history has no content %s", tomlfile.Quote(h))
	}
	b, err := os.ReadFile(f.historyPath(objectsDir, h))
	if err == nil && hash(b) != h {
		err = errors.New("the history is damaged: a content is not what it was")
	}
	return b, err
}

// nextID names a version by its time, with a letter where several are of one second.
func nextID(known []Version, at time.Time) string {
	base := at.UTC().Format("2006-01-02T15-04-05Z")
	id := base
	for n := 2; slices.ContainsFunc(known, func(v Version) bool { return v.ID == id }); n++ {
		id = fmt.Sprintf("%s-%d", base, n)
	}
	return id
}

// whoever is who runs the program.
func whoever() string {
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return "somebody"
}

// version finds a version by its name, with the one before it.
func (f *Folder) version(id string) (before *Version, v Version, err error) {
	all, err := f.versions()
	if err != nil {
		return nil, v, err
	}
	for i := range all {
		if all[i].ID == id {
			if i > 0 {
				before = &all[i-1]
			}
			return before, all[i], nil
		}
	}
	ids := make([]string, len(all))
	for i := range all {
		ids[i] = all[i].ID
	}
	return nil, v, unknown("version", id, ids)
}

// Diff is what a version changed against the one before, as a unified diff.
func (f *Folder) Diff(id string) (string, error) {
	before, v, err := f.version(id)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for _, name := range v.Files {
		var was, is []byte
		if before != nil && before.Content[name] != "" {
			if was, err = f.contentOf(before.Content[name]); err != nil {
				return "", err
			}
		}
		if v.Content[name] != "" {
			if is, err = f.contentOf(v.Content[name]); err != nil {
				return "", err
			}
		}
		b.Write(diff.Diff("before/"+name, was, "after/"+name, is))
	}
	return b.String(), nil
}

// Diff is what the plan changes, as a unified diff.
func (p *Plan) Diff() string {
	var b strings.Builder
	for _, c := range p.changes {
		b.Write(diff.Diff("before/"+c.Path, c.Before, "after/"+c.Path, c.After))
	}
	return b.String()
}

// Restore plans to put the files back as they were in a version. Writing that
// plan is a version itself, so that it can be taken back. Files that the version
// does not know stay. It is planned from what lies in the folder now, broken or not.
func (f *Folder) Restore(id string) (*Plan, error) {
	_, v, err := f.version(id)
	if err != nil {
		return nil, err
	}
	f.reading.Lock()
	defer f.reading.Unlock()
	// From what lies there now, sound or not: a shoot that somebody broke is the
	// first that one wants back.
	now := &state{seen: look(f.fsys), shoot: &cue.Shoot{}}
	load(f.name, now.seen)
	if good := f.state(); good != nil {
		now.shoot = good.shoot
	}
	texts := map[string][]byte{}
	for name, h := range v.Content {
		if !isText(name) {
			continue // an index that somebody else wrote
		}
		if texts[name], err = f.contentOf(h); err != nil {
			return nil, err
		}
	}
	in := now.seen.with(texts)
	shoot, renderer, problems := load(f.name, in)
	if shoot == nil {
		for _, p := range problems {
			if !p.Warning {
				return nil, &RefusedError{p}
			}
		}
	}
	w := &planner{name: f.name, was: now, now: &state{in, shoot, renderer}, texts: texts, found: problems}
	return w.plan(f, "restore "+id), nil
}
