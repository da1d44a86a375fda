package serial

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

// lookWithin bounds the search for the program that holds a port.
const lookWithin = 200 * time.Millisecond

// holder names the program that holds a port, "" if that cannot be told: other users' programs do not show.
func holder(path string) string { return holderIn("/proc", path, os.Getpid()) }

func holderIn(proc, path string, self int) string {
	if to, err := filepath.EvalSymlinks(path); err == nil {
		path = to
	}
	entries, err := os.ReadDir(proc)
	if err != nil {
		return ""
	}
	deadline := time.Now().Add(lookWithin)
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil || pid == self {
			continue
		}
		if time.Now().After(deadline) {
			return ""
		}
		dir := filepath.Join(proc, e.Name())
		fds, err := os.ReadDir(filepath.Join(dir, "fd"))
		if err != nil {
			continue
		}
		for _, fd := range fds {
			if to, err := os.Readlink(filepath.Join(dir, "fd", fd.Name())); err == nil && to == path {
				return fmt.Sprintf("%s (process %d)", clean(attribute(filepath.Join(dir, "comm"))), pid)
			}
		}
	}
	return ""
}
