package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
)

// File is one file of a shoot with its bytes.
type File struct {
	Path string // in the shoot folder, parted by /
	Data []byte // never written to
}

// Files is a set of files: all that a shoot was read from.
type Files []File

// FilesOf is the set of the given texts by path; nil is a file that is not there.
func FilesOf(texts map[string][]byte) Files {
	set := make(Files, 0, len(texts))
	for path, data := range texts {
		if data != nil {
			set = append(set, File{path, data})
		}
	}
	slices.SortFunc(set, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	return set
}

// Hash names the set by its content: equal for the same paths with the same
// bytes, in whatever order. It is the SHA-256 of the set's list, in hex.
func (set Files) Hash() string { return hash(set.list()) }

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// size is the bytes of all files.
func (set Files) size() int {
	n := 0
	for _, f := range set {
		n += len(f.Path) + len(f.Data)
	}
	return n
}

// listed is one file in the list of a set.
type listed struct {
	Path  string `json:"path"`
	Hash  string `json:"hash"`
	Bytes int    `json:"bytes"`
}

type list struct {
	Version int      `json:"version"`
	Files   []listed `json:"files"`
}

// list is the set's list as it is kept: JSON, sorted by path.
func (set Files) list() []byte {
	l := list{Version: Version, Files: make([]listed, len(set))}
	for i, f := range set {
		l.Files[i] = listed{f.Path, hash(f.Data), len(f.Data)}
	}
	slices.SortStableFunc(l.Files, func(a, b listed) int { return strings.Compare(a.Path, b.Path) })
	out, err := json.MarshalIndent(l, "", " ")
	if err != nil {
		panic(err) // strings and integers
	}
	return append(out, '\n')
}

// parseList reads what list wrote and refuses what could not be a shoot's files.
func parseList(data []byte) ([]listed, error) {
	var l list
	if err := json.Unmarshal(data, &l); err != nil {
		return nil, fmt.Errorf("the list of files cannot be understood: %w", err)
	}
	if l.Version > Version {
		return nil, fmt.Errorf("the list of files is of version %d; this program reads up to %d", l.Version, Version)
	}
	if len(l.Files) > MaxFiles {
		return nil, fmt.Errorf("the list names %d files; a set has at most %d", len(l.Files), MaxFiles)
	}
	seen, total := map[string]bool{}, 0
	for _, f := range l.Files {
		switch {
		case !validPath(f.Path) || seen[f.Path]:
			return nil, fmt.Errorf("the list names the file %.100q; a path lies in the shoot folder and comes once", f.Path)
		case !validHash(f.Hash):
			return nil, fmt.Errorf("the list has the hash %.100q for %s; a hash has %d hex digits", f.Hash, f.Path, 2*sha256.Size)
		case f.Bytes < 0 || f.Bytes > MaxFile:
			return nil, fmt.Errorf("%s has %d bytes; a file has at most %d", f.Path, f.Bytes, MaxFile)
		}
		seen[f.Path] = true
		total += f.Bytes
	}
	if total > MaxSet {
		return nil, fmt.Errorf("the list names %d bytes of files; a set has at most %d", total, MaxSet)
	}
	return l.Files, nil
}

// check refuses a set that could not be read back.
func (set Files) check() error {
	if len(set) > MaxFiles {
		return fmt.Errorf("the shoot has %d files; the journal keeps at most %d", len(set), MaxFiles)
	}
	if n := set.size(); n > MaxSet {
		return fmt.Errorf("the shoot's files have %d bytes; the journal keeps at most %d", n, MaxSet)
	}
	seen := map[string]bool{}
	for _, f := range set {
		if !validPath(f.Path) || seen[f.Path] {
			return fmt.Errorf("the file %.100q has no path in the shoot folder of its own", f.Path)
		}
		if len(f.Data) > MaxFile {
			return fmt.Errorf("%s has %d bytes; the journal keeps at most %d", f.Path, len(f.Data), MaxFile)
		}
		seen[f.Path] = true
	}
	return nil
}

func validPath(p string) bool {
	return p != "." && len(p) <= MaxPath && fs.ValidPath(p) && !strings.ContainsAny(p, "\\\x00")
}

func validHash(h string) bool {
	if len(h) != 2*sha256.Size {
		return false
	}
	for _, c := range []byte(h) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// WriteTo writes the files into a folder that exists, and never beside it. It
// is for tools that need a folder; FS needs none.
func (set Files) WriteTo(dir string) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	for _, f := range set {
		if !validPath(f.Path) {
			return fmt.Errorf("the file %.100q has no path in the shoot folder", f.Path)
		}
		if d := path.Dir(f.Path); d != "." {
			if err := root.MkdirAll(d, 0o777); err != nil {
				return err
			}
		}
		if err := root.WriteFile(f.Path, f.Data, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// get is the file of that path.
func (set Files) get(p string) (File, bool) {
	i := slices.IndexFunc(set, func(f File) bool { return f.Path == p })
	if i < 0 {
		return File{}, false
	}
	return set[i], true
}

// Equal tells whether both sets hold the same bytes under the same paths.
func (set Files) Equal(other Files) bool {
	if len(set) != len(other) {
		return false
	}
	for _, f := range set {
		if o, ok := other.get(f.Path); !ok || !bytes.Equal(o.Data, f.Data) {
			return false
		}
	}
	return true
}

// errNoFiles says that a set is not kept, or no longer.
var errNoFiles = errors.New("the files are not kept with the journal any more")
