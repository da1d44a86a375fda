package main

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing/fstest"

	"limn/cue"
	"limn/cue/files"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// shootOverlay is a folder as it would be with some files written; nil content is a file
// that is not there.
type shootOverlay struct {
	fs.FS
	files map[string][]byte
	gone  []string
}

func (o shootOverlay) Open(name string) (fs.File, error) {
	if slices.Contains(o.gone, name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	if content, ok := o.files[name]; ok {
		return fstest.MapFS{name: &fstest.MapFile{Data: content}}.Open(name)
	}
	return o.FS.Open(name)
}

// hideCues is the folder without its cues.
func hideCues(o shootOverlay) shootOverlay {
	hidden := map[string][]byte{files.CuesFile: nil}
	maps.Copy(hidden, o.files)
	return shootOverlay{o.FS, hidden, append(o.gone, files.CuesDir)}
}

// openRig reads a shoot for its lights. Cues with faults are left out: they often wait
// for the very readings that are to be taken.
func openRig(dir string, std stdio) (shoot *cue.Shoot, hidden bool, err error) {
	shoot, problems := loadShoot(dir)
	if shoot != nil {
		return shoot, false, nil
	}
	if isShoot(dir) {
		if rig, _ := files.Load(dir, hideCues(shootOverlay{FS: os.DirFS(dir)})); rig != nil {
			return rig, true, nil
		}
	}
	errs, _ := printProblems(std.Err, problems)
	return nil, false, failuref(statusFiles, "limn check "+dir+" lists what is wrong and what was read", "%s has %s; nothing was measured", dir, count(errs, "fault"))
}

// measureChange is what a measurement will write.
type measureChange struct {
	files    map[string][]byte // new contents by path within the shoot
	shoot    *cue.Shoot        // as it will be; nil = it has faults
	problems []tomlfile.Problem
}

// planned works the new files of a shoot out: calibrations, and the rig that names
// them.
func (m *measuring) planned(calibrations map[int][]byte, full map[int]float64) (*measureChange, error) {
	rig, err := os.ReadFile(rigFile(m.dir))
	if err != nil {
		return nil, failuref(statusFailed, "", "cannot read %s: %v", rigFile(m.dir), pathCause(err))
	}
	c := &measureChange{files: map[string][]byte{}}
	e, err := tomlfile.NewEditor(rigFile(m.dir), rig)
	if err != nil {
		return nil, failuref(statusFiles, "", "%v", err)
	}
	edited := false
	for i := range m.shoot.Rig.Sources {
		s := &m.shoot.Rig.Sources[i]
		if text, ok := calibrations[i]; ok {
			path := m.calibrationPath(i)
			c.files[path] = text
			if s.Calibration == nil {
				edited = true
				if err := e.Set(tomlfile.Path{"source", i}, tomlfile.Entry{Key: "calibration", Value: path}); err != nil {
					return nil, failuref(statusFiles, "", "rig.toml: %v", err)
				}
			}
		}
		if lux, ok := full[i]; ok {
			edited = true
			if err := e.Set(tomlfile.Path{"source", i}, tomlfile.Entry{Key: "full", Value: luxText(lux)}); err != nil {
				return nil, failuref(statusFiles, "", "rig.toml: %v", err)
			}
		}
	}
	if edited {
		if c.files[files.RigFile], err = e.Bytes(); err != nil {
			return nil, failuref(statusFiles, "", "rig.toml: %v", err)
		}
	}
	c.shoot, c.problems = files.Load(m.dir, shootOverlay{FS: os.DirFS(m.dir), files: c.files})
	sound := c.shoot != nil
	if m.hidden && !sound {
		bare := hideCues(shootOverlay{FS: os.DirFS(m.dir), files: c.files})
		rig, problems := files.Load(m.dir, bare)
		sound, c.problems = rig != nil, problems
	}
	if !sound {
		printProblems(m.std.Err, c.problems)
		return nil, failuref(statusFiles, "the readings are kept; correct what is told and run the same command again", "with these readings the shoot would have faults; nothing was written")
	}
	return c, nil
}

// calibrationPath is where the calibration of a source lies within the shoot.
func (m *measuring) calibrationPath(i int) string {
	s := &m.shoot.Rig.Sources[i]
	if s.Calibration != nil {
		return s.Calibration.Path
	}
	name := cue.FileWord(s.Name)
	for k := range m.shoot.Rig.Sources[:i] {
		if cue.FileWord(m.shoot.Rig.Sources[k].Name) == name {
			name += "-" + plainNumber(float64(i+1))
			break
		}
	}
	return files.CalibrationDir + "/" + name + ".toml"
}

// write puts the new files in their places, each whole; a calibration or rig that is
// there goes beside it first, under its date.
func (m *measuring) write(c *measureChange) (kept []string, err error) {
	names := make([]string, 0, len(c.files))
	for name := range c.files {
		names = append(names, name)
	}
	slices.Sort(names)
	// The rig names the calibrations, so it comes last.
	slices.SortStableFunc(names, func(a, b string) int {
		switch {
		case a == files.RigFile:
			return 1
		case b == files.RigFile:
			return -1
		}
		return 0
	})
	for _, name := range names {
		path := filepath.Join(m.dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return kept, failuref(statusFailed, "", "cannot make %s: %v", filepath.Dir(path), pathCause(err))
		}
		old, err := os.ReadFile(path)
		if err == nil && string(old) != string(c.files[name]) {
			aside := m.aside(name, path)
			if err := os.MkdirAll(filepath.Dir(aside), 0o777); err != nil {
				return kept, failuref(statusFailed, "", "cannot make %s: %v", filepath.Dir(aside), pathCause(err))
			}
			if err := writeNewFile(aside, old); err != nil {
				return kept, failuref(statusFailed, "", "cannot keep the old %s: %v", path, pathCause(err))
			}
			kept = append(kept, aside)
		}
		if err := writeFile(path, c.files[name]); err != nil {
			return kept, err
		}
	}
	return kept, nil
}

// aside is where an old file goes: a calibration beside the new one with the date it
// was read, the rig among what measuring keeps.
func (m *measuring) aside(name, path string) string {
	day := m.now.Format("2006-01-02")
	ending := filepath.Ext(path)
	if name == files.RigFile {
		return unusedName(filepath.Join(measureDir(m.dir), "rig-before."+day+ending))
	}
	for i := range m.shoot.Rig.Sources {
		if c := m.shoot.Rig.Sources[i].Calibration; c != nil && c.Path == name && c.Date != "" {
			day = c.Date
		}
	}
	return unusedName(path[:len(path)-len(ending)] + "." + day + ending)
}

// renderer compiles a rig; nil where that fails, which loading has told of.
func compiled(rig *fixtures.Rig) *fixtures.Renderer {
	r, err := fixtures.NewRenderer(rig)
	if err != nil {
		return nil
	}
	return r
}
