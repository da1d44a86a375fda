package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// saveSet keeps a set for a run: first the bytes, then the list that names them,
// so that a list never names what is not there.
func saveSet(disk Disk, folder string, run int, set Files) error {
	blobs := filepath.Join(folder, blobFolder)
	if err := disk.MkdirAll(blobs); err != nil {
		return err
	}
	fresh := false
	for _, f := range set {
		did, err := saveFile(disk, filepath.Join(blobs, hash(f.Data)), f.Data)
		if err != nil {
			return err
		}
		fresh = fresh || did
	}
	if fresh {
		if err := disk.SyncDir(blobs); err != nil {
			return err
		}
	}
	list := set.list()
	fresh, err := saveFile(disk, filepath.Join(folder, listName(run, hash(list))), list)
	if err != nil || !fresh {
		return err
	}
	return disk.SyncDir(folder)
}

// saveFile writes a file whole or not at all, unless it is there: files named by
// their content do not change.
func saveFile(disk Disk, path string, data []byte) (fresh bool, err error) {
	if info, err := disk.Stat(path); err == nil && info.Size() == int64(len(data)) {
		return false, nil
	}
	f, err := disk.OpenFile(path+temporary, os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return false, err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = disk.Rename(path+temporary, path)
	}
	if err != nil {
		return false, errors.Join(err, ignoreMissing(disk.Remove(path+temporary)))
	}
	return true, nil
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// loadSet reads a set back and proves it.
func loadSet(folder string, run int, want string) (Files, error) {
	if !validHash(want) {
		return nil, fmt.Errorf("%.100q is no hash of files", want)
	}
	data, err := readBounded(filepath.Join(folder, listName(run, want)), maxList)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, errNoFiles
	}
	if err != nil {
		return nil, err
	}
	if hash(data) != want {
		return nil, fmt.Errorf("%s is damaged: its bytes do not fit its name", listName(run, want))
	}
	listed, err := parseList(data)
	if err != nil {
		return nil, err
	}
	set := make(Files, len(listed))
	for i, l := range listed {
		data, err := readBounded(filepath.Join(folder, blobFolder, l.Hash), MaxFile)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, errNoFiles
		}
		if err != nil {
			return nil, err
		}
		if len(data) != l.Bytes || hash(data) != l.Hash {
			return nil, fmt.Errorf("the kept %s is damaged: its bytes do not fit its hash", l.Path)
		}
		set[i] = File{Path: l.Path, Data: data}
	}
	return set, nil
}
