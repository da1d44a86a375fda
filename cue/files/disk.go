package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// disk is what writing needs of the operating system; tests make it fail.
type disk struct {
	temp   func(dir, pattern string) (file, error)
	rename func(from, to string) error
	link   func(from, to string) error
	remove func(name string) error
}

// file is a file that is being written.
type file interface {
	Name() string
	Write([]byte) (int, error)
	Chmod(fs.FileMode) error
	Sync() error
	Close() error
}

var osDisk = disk{
	temp:   func(dir, pattern string) (file, error) { return os.CreateTemp(dir, pattern) },
	rename: os.Rename,
	link:   os.Link,
	remove: os.Remove,
}

// tempPattern names files on their way: hidden, and no TOML, so that nobody reads them.
const tempPattern = ".limn-*.tmp"

// put writes bytes beside path, whole and on the disk, and gives the name.
func (d *disk) put(path string, b []byte, mode fs.FileMode) (name string, err error) {
	f, err := d.temp(filepath.Dir(path), tempPattern)
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			f.Close()
			_ = d.remove(f.Name())
		}
	}()
	if _, err = f.Write(b); err != nil {
		return "", err
	}
	if err = f.Chmod(mode); err != nil {
		return "", err
	}
	if err = f.Sync(); err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// keep gives a file a second name beside it, without using space where the disk
// can; a copy where it cannot.
func (d *disk) keep(path string, b []byte, mode fs.FileMode) (string, error) {
	name := filepath.Join(filepath.Dir(path), fmt.Sprintf(".limn-%s-%d.old", filepath.Base(path), os.Getpid()))
	_ = d.remove(name) // of a run that was killed
	if err := d.link(path, name); err == nil {
		return name, nil
	}
	return d.put(path, b, mode)
}

// save writes one file of our own, all of it or nothing.
func (d *disk) save(path string, b []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	temp, err := d.put(path, b, 0o644)
	if err != nil {
		return err
	}
	if err := d.rename(temp, path); err != nil {
		_ = d.remove(temp)
		return err
	}
	syncDir(filepath.Dir(path))
	return nil
}

// syncDir makes renames last. Not every system can, so it does not say.
func syncDir(dir string) {
	if f, err := os.Open(dir); err == nil {
		_ = f.Sync()
		f.Close()
	}
}

// WriteError says that something could not be written. The files are as they
// were, unless Left says otherwise.
type WriteError struct {
	File string // or folder
	Err  error
	Left []string // files that could not be put back either: the old ones, by the names they have now
}

func (e *WriteError) Unwrap() error { return e.Err }

func (e *WriteError) Error() string {
	why, cure := reason(e.Err)
	if len(e.Left) > 0 {
		return fmt.Sprintf("%s cannot be written (%s), and what was there could not be put back: it is kept as %s", e.File, why, e.Left)
	}
	return fmt.Sprintf("%s cannot be written: %s; nothing is changed: %s, then keep again", e.File, why, cure)
}

// reason is an error of the system without its path, and what helps.
func reason(err error) (why, cure string) {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		err = path.Err
	case errors.As(err, &link):
		err = link.Err
	}
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full", "make room"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, errProtected):
		return err.Error(), "allow writing in the folder"
	case errors.Is(err, syscall.EROFS):
		return "the disk is read-only", "copy the shoot to one that is not"
	case errors.Is(err, fs.ErrNotExist):
		return "the folder is not there any more", "bring it back"
	}
	return err.Error(), "mend that"
}

var errProtected = errors.New("it is protected against writing")
