//go:build unix

package serial

import (
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// groupOf names the group that owns a port, "" if that cannot be told or helps nobody.
func groupOf(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	st, ok := info.Sys().(*syscall.Stat_t)
	const groupMayWrite = 0o060
	if !ok || st.Gid == 0 || info.Mode().Perm()&groupMayWrite != groupMayWrite {
		return ""
	}
	g, err := user.LookupGroupId(strconv.FormatUint(uint64(st.Gid), 10))
	if err != nil {
		return ""
	}
	return clean(g.Name)
}
