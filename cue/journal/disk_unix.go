//go:build unix

package journal

import (
	"errors"

	"golang.org/x/sys/unix"
)

// notForFolders drops the errors by which file systems say that folders cannot be synced.
func notForFolders(err error) error {
	if errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		return nil
	}
	return err
}
