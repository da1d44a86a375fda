package journal

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// replace brings the journal back where its name was taken away under it: the
// folder was deleted or renamed, or a disk was pulled and came back.
func (w *writer) replace() error {
	if err := w.disk.MkdirAll(w.folder); err != nil {
		return err
	}
	run := w.run
	f, err := w.disk.OpenFile(w.path(), os.O_APPEND)
	if err == nil && w.isOurs(f) {
		if err := w.keepAgain(run); err != nil {
			return errors.Join(err, f.Close())
		}
		w.adopt(f)
		return nil
	}
	switch {
	case err == nil: // somebody else's run has the name by now: ours gets the next one
		if err := f.Close(); err != nil {
			return err
		}
		if run, err = w.nextRun(); err != nil {
			return err
		}
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	// The files first: a journal must not name what is not there.
	if err := w.keepAgain(run); err != nil {
		return err
	}
	return w.rewrite(run)
}

// isOurs tells whether f holds what this run has on the disk.
func (w *writer) isOurs(f DiskFile) bool {
	info, err := f.Stat()
	if err != nil || info.Size() < w.durable || w.durable < int64(len(w.first)) {
		return false
	}
	head := make([]byte, len(w.first))
	_, err = f.ReadAt(head, 0)
	return err == nil && bytes.Equal(head, w.first)
}

// adopt goes on in f from what is on the disk.
func (w *writer) adopt(f DiskFile) {
	if w.file != nil {
		_ = w.file.Close() // nothing hangs on it: what follows durable is written anew
	}
	w.file, w.suspect = f, true
}

// keepAgain keeps the sets of the run where they may be missing.
func (w *writer) keepAgain(run int) error {
	for _, set := range w.held {
		if err := saveSet(w.disk, w.folder, run, set); err != nil {
			return err
		}
	}
	return nil
}

// rewrite writes the journal again, as that of the given run. It comes into being
// whole: a crash half-way leaves no half of a journal.
func (w *writer) rewrite(run int) error {
	path := filepath.Join(w.folder, logName(run))
	f, err := w.disk.OpenFile(path+temporary, os.O_APPEND|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	durable, err := w.copyTo(f)
	if err == nil {
		err = f.Sync()
	}
	if err == nil {
		err = w.disk.Rename(path+temporary, path)
	}
	if err != nil {
		return errors.Join(err, f.Close())
	}
	w.run, w.durable = run, durable
	w.adopt(f)
	return w.disk.SyncDir(w.folder)
}

// copyTo copies to f what the open file holds on the disk, and says how much: a
// file without a name can still be read. If it cannot, f gets the first line
// alone, and readers notice by the numbers of the lines which are missing.
func (w *writer) copyTo(f io.Writer) (int64, error) {
	buf := make([]byte, 64<<10)
	for at := int64(0); at < w.durable; {
		part := buf[:min(int64(len(buf)), w.durable-at)]
		if w.file == nil {
			return w.firstTo(f, at)
		}
		if _, err := w.file.ReadAt(part, at); err != nil {
			return w.firstTo(f, at)
		}
		if _, err := f.Write(part); err != nil {
			return 0, err
		}
		at += int64(len(part))
	}
	return w.durable, nil
}

// firstTo is copyTo where the file gave out at the given byte: whole parts that
// came before are kept, and their last line, if torn, is ended.
func (w *writer) firstTo(f io.Writer, at int64) (int64, error) {
	line := w.first
	if at > 0 {
		line = []byte{'\n'}
	}
	n, err := f.Write(line)
	return at + int64(n), err
}
