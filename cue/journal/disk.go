package journal

import (
	"errors"
	"io"
	"io/fs"
	"os"
)

// Disk is what the journal needs of a file system. The one that is used when
// Options names none is the operating system's; tests put faults into it.
type Disk interface {
	MkdirAll(dir string) error
	// OpenFile opens for reading and writing; flag adds to os.O_RDWR.
	OpenFile(path string, flag int) (DiskFile, error)
	ReadDir(dir string) ([]fs.DirEntry, error)
	Stat(path string) (fs.FileInfo, error)
	Rename(from, to string) error
	Remove(path string) error
	// SyncDir puts the names in a folder onto the disk.
	SyncDir(dir string) error
}

// DiskFile is an open file of a Disk.
type DiskFile interface {
	io.Writer
	io.ReaderAt
	io.Closer
	Stat() (fs.FileInfo, error)
	Truncate(size int64) error
	Sync() error
}

// osDisk is the operating system's.
type osDisk struct{}

func (osDisk) MkdirAll(dir string) error                 { return os.MkdirAll(dir, 0o777) }
func (osDisk) ReadDir(dir string) ([]fs.DirEntry, error) { return os.ReadDir(dir) }
func (osDisk) Stat(path string) (fs.FileInfo, error)     { return os.Stat(path) }
func (osDisk) Rename(from, to string) error              { return os.Rename(from, to) }
func (osDisk) Remove(path string) error                  { return os.Remove(path) }

func (osDisk) OpenFile(path string, flag int) (DiskFile, error) {
	f, err := os.OpenFile(path, os.O_RDWR|flag, 0o666)
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (osDisk) SyncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return notForFolders(err)
	}
	return nil
}
