package files

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"sync"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// Problem is one fault or warning of a shoot's files.
type Problem = tomlfile.Problem

// Folder is a shoot folder that may be edited: the shoot, with the bytes it was
// read from. Its methods may be called from any goroutine.
type Folder struct {
	name string // as messages name it
	disk disk
	dir  string // on disk; "" = it only lives in memory
	fsys fs.FS

	reading sync.Mutex // held while the folder is read, or written
	mu      sync.Mutex // guards what follows
	good    *state     // the last good one; never changed in place
	latest  *seen      // what was read last, good or not
}

// state is a good shoot with what it was read from.
type state struct {
	seen     *seen
	shoot    *cue.Shoot
	renderer *fixtures.Renderer // cloned by who uses it
}

// ErrNoDisk says that a shoot is not in a folder of the disk, so that nothing of
// it can be written.
var ErrNoDisk = errors.New("this shoot is carried in the program and cannot be written; copy it into a folder with limn new")

// Open reads the shoot folder dir. The shoot is nil if it has errors; the folder
// can be read again once they are mended. The error is for a folder that cannot
// be read at all.
func Open(dir string) (*Folder, *cue.Shoot, []Problem, error) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, nil, nil, err
	case !info.IsDir():
		return nil, nil, nil, &fs.PathError{Op: "open", Path: dir, Err: errors.New("it is no folder")}
	}
	f := &Folder{name: dir, dir: dir, disk: osDisk, fsys: os.DirFS(dir)}
	f.finish()
	shoot, problems := f.Reload()
	return f, shoot, problems, nil
}

// OpenFS reads a shoot that is not on disk. It can be planned for, but not written.
func OpenFS(name string, fsys fs.FS) (*Folder, *cue.Shoot, []Problem) {
	f := &Folder{name: name, fsys: fsys}
	shoot, problems := f.Reload()
	return f, shoot, problems
}

// Reload reads the folder again. A shoot with errors is nil, and the folder goes
// on from the last good one.
func (f *Folder) Reload() (*cue.Shoot, []Problem) {
	f.reading.Lock()
	defer f.reading.Unlock()
	now := look(f.fsys)
	shoot, renderer, problems := load(f.name, now)
	f.mu.Lock()
	defer f.mu.Unlock()
	f.latest = now
	if shoot == nil {
		return nil, problems
	}
	f.good = &state{now, shoot, renderer}
	return shoot, problems
}

// Shoot is the last good shoot, nil if there was none yet.
func (f *Folder) Shoot() *cue.Shoot {
	if s := f.state(); s != nil {
		return s.shoot
	}
	return nil
}

// Renderer is one for that shoot, for the caller alone.
func (f *Folder) Renderer() *fixtures.Renderer {
	if s := f.state(); s != nil {
		return s.renderer.Clone()
	}
	return nil
}

// Texts are the files that shoot was read from by name: rig, cues, profiles and
// calibrations, without what was approved. The bytes are not to be changed.
func (f *Folder) Texts() map[string][]byte {
	out := map[string][]byte{}
	if s := f.state(); s != nil {
		for name, b := range s.seen.files {
			if b != nil && !strings.HasPrefix(name, ApprovedDir+"/") {
				out[name] = b
			}
		}
	}
	return out
}

func (f *Folder) state() *state {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.good
}

// errNoShoot says that there is no good shoot to work on.
var errNoShoot = errors.New("the shoot's files have errors; mend them, then keep")
