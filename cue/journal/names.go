package journal

import (
	"cmp"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Folder is where the journals of the shoot in dir are.
func Folder(dir string) string { return filepath.Join(dir, ".limn", "journal") }

const (
	blobFolder = "files"
	temporary  = ".new" // a file being written; harmless where a crash left it
)

func logName(run int) string { return fmt.Sprintf("run-%06d.jsonl", run) }

func listName(run int, hash string) string { return fmt.Sprintf("run-%06d-files-%s.json", run, hash) }

// runNumber is the run of a journal's or a list's file name.
func runNumber(name string) (run int, isLog, ok bool) {
	rest, ok := strings.CutPrefix(name, "run-")
	if !ok {
		return 0, false, false
	}
	digits := rest
	if i := strings.IndexFunc(rest, func(r rune) bool { return r < '0' || r > '9' }); i >= 0 {
		digits, rest = rest[:i], rest[i:]
	} else {
		rest = ""
	}
	run, err := strconv.Atoi(digits)
	if err != nil || run < 1 || len(digits) < 6 {
		return 0, false, false
	}
	switch {
	case rest == ".jsonl":
		return run, true, true
	case strings.HasPrefix(rest, "-files-") && strings.HasSuffix(rest, ".json"):
		return run, false, true
	}
	return 0, false, false
}

// logs are the numbers of the journals in a folder, rising.
func logs(entries []fs.DirEntry) []int {
	var runs []int
	for _, e := range entries {
		if run, isLog, ok := runNumber(e.Name()); ok && isLog && !e.IsDir() {
			runs = append(runs, run)
		}
	}
	slices.SortFunc(runs, cmp.Compare)
	return runs
}
