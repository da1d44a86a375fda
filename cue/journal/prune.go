package journal

import (
	"errors"
	"path/filepath"
	"slices"
)

// prune removes the oldest journals beyond KeepRuns, the lists of files of runs
// beyond KeepFiles, and the bytes that no list names any more. The present run is not touched.
func prune(disk Disk, folder string, present int) error {
	entries, err := disk.ReadDir(folder)
	if err != nil {
		return err
	}
	runs := logs(entries)
	slices.Reverse(runs)
	oldest := func(keep int) int {
		if len(runs) <= keep {
			return 0
		}
		return min(runs[keep-1], present)
	}
	firstRun, firstFiles := oldest(KeepRuns), oldest(KeepFiles)
	named := map[string]bool{}
	sure := true // that named is complete
	var errs []error
	for _, e := range entries {
		run, isLog, ok := runNumber(e.Name())
		path := filepath.Join(folder, e.Name())
		switch {
		case !ok:
		case isLog && run < firstRun, !isLog && run < firstFiles:
			errs = append(errs, disk.Remove(path))
		case !isLog:
			data, err := readBounded(path, maxList)
			if err != nil {
				sure = false
				continue
			}
			files, err := parseList(data)
			sure = sure && err == nil
			for _, f := range files {
				named[f.Hash] = true
			}
		}
	}
	if !sure {
		return errors.Join(errs...) // a list that cannot be read may name anything
	}
	blobs, err := disk.ReadDir(filepath.Join(folder, blobFolder))
	if err != nil {
		return errors.Join(append(errs, ignoreMissing(err))...)
	}
	for _, e := range blobs {
		if !named[e.Name()] {
			errs = append(errs, disk.Remove(filepath.Join(folder, blobFolder, e.Name())))
		}
	}
	return errors.Join(errs...)
}
