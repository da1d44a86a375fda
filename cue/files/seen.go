package files

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"limn/profiles/tomlfile"
)

// seen is the content of a shoot's folder as one run of Load saw it: every file
// it read, every folder it listed, and what it looked for in vain. It is a file
// system itself, so that a shoot can be loaded again from the same bytes.
//
// A seen with a base reads through to that and remembers; without one it has
// what it has. One that is being read is for one goroutine.
type seen struct {
	base  fs.FS
	files map[string][]byte        // by name; nil = there is none, or it cannot be read
	dirs  map[string][]fs.DirEntry // folders listed; nil = there is none
}

func look(base fs.FS) *seen {
	return &seen{base: base, files: map[string][]byte{}, dirs: map[string][]fs.DirEntry{}}
}

// with is s with other texts in place of some, apart from its base.
func (s *seen) with(texts map[string][]byte) *seen {
	out := look(nil)
	for name, b := range s.files {
		out.files[name] = b
	}
	for name, list := range s.dirs {
		out.dirs[name] = list
	}
	for name, b := range texts {
		out.files[name] = b
		dir := path.Dir(name)
		list, known := out.dirs[dir]
		if known && !slices.ContainsFunc(list, func(e fs.DirEntry) bool { return e.Name() == path.Base(name) }) {
			list = append(slices.Clone(list), fs.FileInfoToDirEntry(entry{path.Base(name), int64(len(b)), 0o644}))
			slices.SortFunc(list, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
			out.dirs[dir] = list
		}
	}
	return out
}

// same says whether two looks at a folder saw the same.
func (s *seen) same(o *seen) bool {
	if len(s.files) != len(o.files) || len(s.dirs) != len(o.dirs) {
		return false
	}
	for name, b := range s.files {
		other, ok := o.files[name]
		if !ok || (b == nil) != (other == nil) || !bytes.Equal(b, other) {
			return false
		}
	}
	for name, list := range s.dirs {
		if other, ok := o.dirs[name]; !ok || !sameList(list, other) {
			return false
		}
	}
	return true
}

// again looks at the same files and folders once more.
func (s *seen) again(base fs.FS) *seen {
	out := look(base)
	for name := range s.files {
		_, _ = out.ReadFile(name)
	}
	for name := range s.dirs {
		_, _ = out.ReadDir(name)
	}
	return out
}

// errNoFile says that a name is taken by a pipe, a device or the like.
var errNoFile = errors.New("it is no ordinary file")

// ReadFile reads no further than the parser takes it.
func (s *seen) ReadFile(name string) ([]byte, error) {
	if b, ok := s.files[name]; ok && (b != nil || s.base == nil) {
		if b == nil {
			return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
		}
		return b, nil
	}
	if s.base == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	b, err := readFile(s.base, name)
	if err != nil {
		b = nil
	} else if b == nil {
		b = []byte{}
	}
	s.files[name] = b
	return b, err
}

func readFile(fsys fs.FS, name string) ([]byte, error) {
	// Before it is opened: that of a named pipe would wait for somebody to write.
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return nil, errNoFile
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var b bytes.Buffer
	if info, err := f.Stat(); err == nil && info.Size() < tomlfile.MaxFileSize {
		b.Grow(int(info.Size()) + bytes.MinRead)
	}
	_, err = b.ReadFrom(io.LimitReader(f, tomlfile.MaxFileSize+1))
	return b.Bytes(), err
}

// ReadDir lists a folder.
func (s *seen) ReadDir(name string) ([]fs.DirEntry, error) {
	if list, ok := s.dirs[name]; ok && list != nil {
		return list, nil
	}
	if s.base == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	list, err := fs.ReadDir(s.base, name)
	if err != nil {
		list = nil
	} else if list == nil {
		list = []fs.DirEntry{}
	}
	s.dirs[name] = list
	return list, err
}

// Stat finds a file, or a folder that was listed.
func (s *seen) Stat(name string) (fs.FileInfo, error) {
	if s.base != nil {
		info, err := fs.Stat(s.base, name)
		if _, known := s.files[name]; err != nil && !known {
			s.files[name] = nil
		}
		return info, err
	}
	if b := s.files[name]; b != nil {
		return entry{path.Base(name), int64(len(b)), 0o644}, nil
	}
	if s.dirs[name] != nil {
		return entry{path.Base(name), 0, fs.ModeDir | 0o755}, nil
	}
	return nil, &fs.PathError{Op: "stat", Path: name, Err: fs.ErrNotExist}
}

// Open opens a file in memory.
func (s *seen) Open(name string) (fs.File, error) {
	b, err := s.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return &opened{bytes.NewReader(b), entry{path.Base(name), int64(len(b)), 0o644}}, nil
}

// opened is a file in memory.
type opened struct {
	*bytes.Reader
	entry
}

func (o *opened) Stat() (fs.FileInfo, error) { return o.entry, nil }
func (o *opened) Close() error               { return nil }
func (o *opened) Size() int64                { return o.entry.Size() }

// entry is what is told of a file in memory.
type entry struct {
	name string
	size int64
	mode fs.FileMode
}

func (e entry) Name() string       { return e.name }
func (e entry) Size() int64        { return e.size }
func (e entry) Mode() fs.FileMode  { return e.mode }
func (e entry) ModTime() time.Time { return time.Time{} }
func (e entry) IsDir() bool        { return e.mode.IsDir() }
func (e entry) Sys() any           { return nil }

// hash is the content of a file in 64 characters.
func hash(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
