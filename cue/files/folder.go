package files

import (
	"errors"
	"io/fs"
	"path"
	"strings"

	"limn/profiles/tomlfile"
)

// parse reads a TOML file of the shoot; ok is false if it could not be opened.
// A file that was is worth going on with, even where its table is nil.
func (l *loader) parse(name, cure string) (t *tomlfile.Table, ok bool) {
	at := tomlfile.Pos{File: l.shown(name)}
	src, err := l.read(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		l.ps.Error(tomlfile.Pos{File: l.folder()}, cure, "there is no %s", name)
		l.damaged = true
		return nil, false
	case err != nil:
		l.ps.Error(at, "a shoot's files are texts that may be read", "it cannot be read: %s", cause(err))
		l.damaged = true
		return nil, false
	}
	t = tomlfile.Parse(at.File, src, &l.ps)
	if t.Damaged() {
		l.damaged = true
	}
	return t, true
}

// folder is how messages name the shoot itself.
func (l *loader) folder() string {
	if l.dir == "" {
		return "."
	}
	return l.dir
}

// read reads one file, no further than the parser takes it.
func (l *loader) read(name string) ([]byte, error) { return l.seen.ReadFile(name) }

// cause is an error without the path, which the message gives already.
func cause(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// cueFiles lists the files that hold cues, in the order they are read.
func (l *loader) cueFiles() []string {
	_, err := fs.Stat(l.seen, CuesFile)
	single := err == nil
	entries, err := fs.ReadDir(l.seen, CuesDir)
	switch folder := err == nil; {
	case single && folder:
		l.ps.Error(tomlfile.Pos{File: l.shown(CuesDir)}, "keep one of the two: "+CuesFile+", or the folder "+CuesDir,
			"the folder %s is not read, because there is a %s", CuesDir, CuesFile)
		return []string{CuesFile}
	case single:
		return []string{CuesFile}
	case !folder:
		cure := "write " + CuesFile + ", or a folder " + CuesDir + " of TOML files"
		if errors.Is(err, fs.ErrNotExist) {
			l.ps.Error(tomlfile.Pos{File: l.folder()}, cure, "there is no %s", CuesFile)
		} else {
			l.ps.Error(tomlfile.Pos{File: l.shown(CuesDir)}, cure, "it cannot be read as a folder: %s", cause(err))
		}
		return nil
	}
	var names []string
	for _, e := range entries { // sorted by name, as fs.ReadDir promises
		if !e.IsDir() && path.Ext(e.Name()) == ".toml" && !strings.HasPrefix(e.Name(), ".") {
			names = append(names, path.Join(CuesDir, e.Name()))
		}
	}
	at := tomlfile.Pos{File: l.shown(CuesDir)}
	switch {
	case len(names) == 0:
		l.ps.Error(at, "write one, as "+path.Join(CuesDir, "angles.toml"), "the folder holds no TOML file")
	case len(names) > MaxCueFiles:
		l.ps.Error(at, "put several cues into one file", "the folder holds %d TOML files, more than %d", len(names), MaxCueFiles)
		names = names[:MaxCueFiles]
	}
	return names
}
