package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Lock is held by the one run of a shoot.
type Lock struct {
	file *os.File
	// Stale tells that the run that held the lock before ended without giving it back.
	Stale bool
}

// owner is what the lock's file says.
type owner struct {
	PID   int       `json:"pid"`
	Since time.Time `json:"since"`
}

// BusyError says that another run of the shoot is going on.
type BusyError struct {
	PID   int       // of its process; 0 not known
	Since time.Time // zero: not known
	Dir   string    // of the shoot
}

// Error tells of the other run.
func (e *BusyError) Error() string {
	who := "another run"
	if e.PID != 0 {
		who = fmt.Sprintf("another run (process %d, since %s)", e.PID, e.Since.Local().Format("15:04"))
	}
	return fmt.Sprintf("%s plays the shoot in %s; end it first, or play a copy of the folder", who, e.Dir)
}

// maxLock is the most bytes of a lock's file.
const maxLock = 4096

// Acquire takes the lock of the shoot in dir. The error is a *BusyError where
// another run has it; any other says that the lock cannot be kept (a read-only
// folder, say), which need not stop a run. The operating system gives the lock back when the
// process dies, however it dies.
func Acquire(dir string) (*Lock, error) {
	folder := Folder(dir)
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, err
	}
	f, err := os.OpenFile(filepath.Join(folder, "lock"), os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, err
	}
	l, err := take(f, dir)
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return l, nil
}

func take(f *os.File, dir string) (*Lock, error) {
	data, err := io.ReadAll(io.LimitReader(f, maxLock))
	if err != nil {
		return nil, err
	}
	var before owner
	known := json.Unmarshal(data, &before) == nil && before.PID > 0
	free, err := lockFile(f, before.PID)
	if err != nil {
		return nil, err
	}
	if !free {
		busy := &BusyError{Dir: dir}
		if known {
			busy.PID, busy.Since = before.PID, before.Since
		}
		return nil, busy
	}
	l := &Lock{file: f, Stale: len(data) > 0}
	mine, err := json.Marshal(owner{PID: os.Getpid(), Since: time.Now()})
	if err == nil && f.Truncate(0) == nil {
		// On a full disk the lock holds all the same; only its words are missing.
		_, _ = f.WriteAt(append(mine, '\n'), 0)
	}
	return l, nil
}

// Release gives the lock back. Releasing a nil Lock is nothing.
func (l *Lock) Release() error {
	if l == nil {
		return nil
	}
	// The file stays: taking it away would let two runs lock two files of the same name.
	return errors.Join(l.file.Truncate(0), l.file.Close())
}
