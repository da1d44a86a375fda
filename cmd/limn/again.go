package main

import (
	"fmt"
	"io/fs"

	"limn/cue/files"
	"limn/cue/journal"
	"limn/cue/operate"
	"limn/dmx"
)

// again plays the steps of an earlier run into an engine of its own: the same commands in the
// same frames, under the same files, lead to the same light.
type again struct {
	engine *operate.Engine
	files  func(hash string) (journal.Files, error)
	fsys   *setFS        // what the engine's folder holds, as the run went on
	folder *files.Folder //
	frames []dmx.Frame
	next   int64 // frame to be filled

	// visit sees every frame; nil: no more of them are made than the steps need.
	visit func(k int64, frames []dmx.Frame, live bool) error
}

// playAgain makes the engine of an earlier run over the files it began with. The folder is
// named dir in messages.
func playAgain(dir string, first journal.Files, kept func(hash string) (journal.Files, error), done func(operate.Done)) (*again, error) {
	a := &again{files: kept, fsys: &setFS{first.FS()}}
	folder, shoot, problems := files.OpenFS(dir, a.fsys)
	if shoot == nil {
		return nil, fmt.Errorf("the files of the run do not load: %s", problemText(problems))
	}
	e, err := operate.New(shoot, operate.Options{Folder: folder, OnDone: done})
	if err != nil {
		return nil, err
	}
	a.engine, a.folder = e, folder
	a.frames = make([]dmx.Frame, len(e.Universes()))
	return a, nil
}

// step plays one step.
func (a *again) step(s journal.Entry) error {
	switch s.What {
	case journal.KindCommand:
		if err := a.to(s.K); err != nil {
			return err
		}
		if _, err := a.engine.Replay(s.K, s.Text); err != nil {
			return &stepError{fmt.Sprintf("%s: %v", s.Text, err)}
		}
	case journal.KindReload:
		if err := a.to(s.K); err != nil {
			return err
		}
		set, err := a.files(s.Files)
		if err != nil {
			return &stepError{err.Error()}
		}
		a.fsys.FS = set.FS()
		shoot, problems := a.folder.Reload()
		if shoot == nil {
			return &stepError{"the files that were taken up do not load: " + problemText(problems)}
		}
		a.engine.ReloadAt(s.K, shoot)
	case journal.KindKept:
		set, err := a.files(s.Files)
		if err != nil {
			return &stepError{err.Error()}
		}
		a.fsys.FS = set.FS()
	case journal.KindAzimuth:
		if err := a.to(s.K); err != nil {
			return err
		}
		a.engine.StartAt(s.K)
		a.engine.TableAt(s.Degrees)
	}
	return nil
}

// to makes the frames before k, or, with nobody to see them, the last of them: what a sequence
// does by itself meanwhile is done in its frames all the same.
func (a *again) to(k int64) error {
	if a.visit == nil {
		a.next = max(a.next, k-1)
	}
	for ; a.next < k; a.next++ {
		live := a.engine.Fill(a.next, a.frames)
		if a.visit == nil {
			continue
		}
		if err := a.visit(a.next, a.frames, live); err != nil {
			return err
		}
	}
	return nil
}

// stepError says that one step could not be played again; those after it may be.
type stepError struct{ text string }

func (e *stepError) Error() string { return e.text }

// setFS is a file system that gives way to another when the files change.
type setFS struct{ fs.FS }

func problemText(problems []files.Problem) string {
	for _, p := range problems {
		if !p.Warning {
			return p.String()
		}
	}
	return "no reason is known"
}
