package journal

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// writer owns the journal's file. It belongs to one goroutine. Whatever fails leaves it
// so that the same call may be made again.
type writer struct {
	disk   Disk
	folder string
	run    int // 0: not chosen yet
	file   DiskFile

	first    []byte // the first line, to know the file by
	n        uint64 // number of the last line encoded
	durableN uint64 // number of the last line known to be on the disk
	durable  int64  // bytes of the file that are on the disk
	tail     []byte // the lines that follow them
	written  int    // bytes of tail that are in the file
	suspect  bool   // the file may hold other bytes after durable than tail's
	synced   time.Time

	held      []Files // the sets of this run, to keep them again
	heldBytes int
}

func (w *writer) path() string { return filepath.Join(w.folder, logName(w.run)) }

// open opens the journal: a new one with the next number, or, to go on, the one that is
// there, without the line that a crash may have torn.
func (w *writer) open() error {
	if w.file != nil {
		return w.present()
	}
	if w.run != 0 {
		f, err := w.disk.OpenFile(w.path(), os.O_APPEND)
		switch {
		case err == nil:
			w.file, w.suspect = f, true
			return nil
		case errors.Is(err, fs.ErrNotExist):
			return w.replace()
		}
		return err
	}
	if err := w.disk.MkdirAll(w.folder); err != nil {
		return err
	}
	run, err := w.nextRun()
	if err != nil {
		return err
	}
	// O_EXCL: two runs that begin at once do not share a journal; the next try
	// finds another number.
	f, err := w.disk.OpenFile(filepath.Join(w.folder, logName(run)), os.O_APPEND|os.O_CREATE|os.O_EXCL)
	if err != nil {
		return err
	}
	w.run, w.file = run, f
	return w.disk.SyncDir(w.folder)
}

// nextRun is the number that no journal has yet.
func (w *writer) nextRun() (int, error) {
	entries, err := w.disk.ReadDir(w.folder)
	if err != nil {
		return 0, err
	}
	run := 1
	if runs := logs(entries); len(runs) > 0 {
		run = runs[len(runs)-1] + 1
	}
	return run, nil
}

// encode appends the entry's line to what is to be written; its files are kept
// before. An error of errUnfit is the entry's own and will not pass.
func (w *writer) encode(it *item) error {
	e := it.entry
	e.Time = e.Time.Truncate(time.Millisecond) // it is read by people
	if it.files != nil {
		if err := saveSet(w.disk, w.folder, w.run, it.files); err != nil {
			return err
		}
		e.Files = it.files.Hash()
		w.hold(it.files)
	}
	e.N = w.n + 1
	tail, err := appendLine(w.tail, &e)
	if err != nil {
		return errors.Join(errUnfit, err)
	}
	if w.first == nil {
		w.first = append([]byte(nil), tail...)
	}
	w.tail, w.n = tail, e.N
	return nil
}

var errUnfit = errors.New("the journal cannot hold an entry")

// hold remembers a set; past HeldBytes it forgets the oldest but the first, which
// everything of the run rests on.
func (w *writer) hold(set Files) {
	w.held = append(w.held, set)
	w.heldBytes += set.size()
	for w.heldBytes > HeldBytes && len(w.held) > 2 {
		w.heldBytes -= w.held[1].size()
		w.held = append(w.held[:1], w.held[2:]...)
	}
}

// goingOn is the writer of a run that goes on.
func goingOn(disk Disk, run *Run) *writer {
	return &writer{
		disk: disk, folder: run.folder, run: run.number,
		first: run.first, n: run.lines, durableN: run.lines, durable: run.size,
	}
}

// recall holds the sets that the run had before it went on.
func (w *writer) recall(run *Run) {
	for _, h := range run.sets {
		if set, err := run.Files(h); err == nil {
			w.hold(set)
		}
	}
}

// write hands the tail to the operating system.
func (w *writer) write() error {
	if w.suspect {
		if err := w.file.Truncate(w.durable); err != nil {
			return err
		}
		w.written, w.suspect = 0, false
	}
	if w.written == len(w.tail) {
		return nil
	}
	n, err := w.file.Write(w.tail[w.written:])
	w.written += max(n, 0) // after a short write the next goes on where this one stopped
	return err
}

// sync puts what is written onto the disk.
func (w *writer) sync(now time.Time) error {
	w.synced = now
	if w.written == 0 {
		return nil
	}
	if err := w.file.Sync(); err != nil {
		// The operating system may have dropped what it could not write, and will
		// not say so twice: all that is not known to be on the disk is written anew.
		w.suspect = true
		return err
	}
	w.durable += int64(w.written)
	if w.written == len(w.tail) {
		w.durableN = w.n
	}
	w.tail = w.tail[:copy(w.tail, w.tail[w.written:])]
	w.written = 0
	return nil
}

// present makes sure that the open file is still the one that readers find by its name.
func (w *writer) present() error {
	there, err := w.disk.Stat(w.path())
	if err == nil {
		open, err := w.file.Stat()
		if err == nil && os.SameFile(there, open) {
			return nil
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return w.replace()
}

// close ends with the file.
func (w *writer) close() error {
	if w.file == nil {
		return nil
	}
	return w.file.Close()
}
