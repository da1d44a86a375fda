package files

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// ChangedError says that somebody else changed files between reading them and
// writing. Nothing was written. The choices are to reload and keep again, to
// write to a new cue after reloading, or to leave it.
type ChangedError struct {
	Files []string // in the shoot's folder
}

func (e *ChangedError) Error() string {
	verb := " has"
	if len(e.Files) > 1 {
		verb = " have"
	}
	return strings.Join(e.Files, ", ") + verb + " been changed by somebody else since; nothing is written: reload and keep again, keep as a new cue, or leave it"
}

// Write writes the plan: all files or none, each as a whole and with the rights
// it had, the files that a link leads to in the link's place. The files as they
// were, and as they are then, go into the history. It returns a *ChangedError
// where somebody else wrote in between, and a *WriteError where the disk refuses.
func (p *Plan) Write(by By) error {
	f := p.folder
	if f.dir == "" {
		return ErrNoDisk
	}
	f.reading.Lock()
	defer f.reading.Unlock()
	if files := p.before.seen.changed(f.fsys); len(files) > 0 {
		return &ChangedError{files}
	}
	if len(p.changes) > 0 {
		if by.What == "" {
			by.What = p.words
		}
		undo, err := f.record(by, p.before.seen, p.after.seen, p.changes)
		if err != nil {
			return err
		}
		done, err := f.begin(p.changes)
		if err != nil {
			undo()
			return err
		}
		err = f.replace(p.changes)
		done()
		if err != nil {
			undo()
			return err
		}
	}
	after := *p.after
	after.seen = p.after.seen.with(nil)
	after.seen.base = f.fsys
	f.mu.Lock()
	defer f.mu.Unlock()
	f.good, f.latest = &after, after.seen
	return nil
}

// changed lists the files of the shoot that are not what was seen of them.
func (s *seen) changed(fsys fs.FS) []string {
	var out []string
	for name, b := range s.files {
		if strings.HasPrefix(name, ApprovedDir+"/") {
			continue // what was approved does not bear on what is written
		}
		now, err := readFile(fsys, name)
		if (err != nil) != (b == nil) || !bytes.Equal(now, b) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// swap is one file on its way.
type swap struct {
	name string // in messages
	path string // on disk, links followed
	temp string // what it is to become
	old  string // what it was, kept until all are done; "" = there was none
	done bool
}

// replace puts new files in the place of old ones: all, or none.
func (f *Folder) replace(changes []FileChange) (err error) {
	d := f.disk
	swaps := make([]swap, 0, len(changes))
	defer func() {
		for _, s := range swaps {
			if s.temp != "" && !s.done {
				_ = d.remove(s.temp)
			}
			if s.old != "" {
				_ = d.remove(s.old)
			}
		}
	}()
	for _, c := range changes {
		s, err := f.prepare(c)
		swaps = append(swaps, s)
		if err != nil {
			return &WriteError{File: c.Path, Err: err}
		}
	}
	for i := range swaps {
		s := &swaps[i]
		now, err := os.ReadFile(s.path)
		switch { // the last moment to notice
		case err == nil && !bytes.Equal(now, changes[i].Before), err != nil && changes[i].Before != nil:
			return f.back(swaps, &ChangedError{[]string{s.name}})
		}
		if err := d.rename(s.temp, s.path); err != nil {
			return f.back(swaps, &WriteError{File: s.name, Err: err})
		}
		s.done = true
	}
	for _, s := range swaps {
		syncDir(filepath.Dir(s.path))
	}
	return nil
}

// prepare writes what a file is to become beside it, and keeps what it was.
func (f *Folder) prepare(c FileChange) (swap, error) {
	s := swap{name: c.Path, path: filepath.Join(f.dir, filepath.FromSlash(c.Path))}
	mode := fs.FileMode(0o644)
	if c.Before != nil {
		real, err := filepath.EvalSymlinks(s.path)
		if err != nil {
			return s, err
		}
		s.path = real
		info, err := os.Stat(s.path)
		if err != nil {
			return s, err
		}
		if mode = info.Mode().Perm(); mode&0o222 == 0 {
			return s, errProtected
		}
	}
	var err error
	if s.temp, err = f.disk.put(s.path, c.After, mode); err != nil {
		return s, err
	}
	if c.Before != nil {
		s.old, err = f.disk.keep(s.path, c.Before, mode)
	}
	return s, err
}

// back undoes the renames that were made, and gives the reason for it.
func (f *Folder) back(swaps []swap, why error) error {
	var left []string
	for i := range swaps {
		s := &swaps[i]
		if !s.done {
			continue
		}
		var err error
		if s.old == "" {
			err = f.disk.remove(s.path)
		} else {
			err = f.disk.rename(s.old, s.path)
		}
		if err != nil {
			left = append(left, s.old)
		}
		s.old = "" // back in its place, or all that is left of it
	}
	if e, ok := why.(*WriteError); ok {
		e.Left = left
	} else if len(left) > 0 {
		return &WriteError{File: swaps[0].name, Err: why, Left: left}
	}
	return why
}
