package files

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
)

// copyHashed copies a file to the disk and gives the hash of what it copied.
func copyHashed(to file, from io.Reader) (sum string, n int64, err error) {
	h := sha256.New()
	if n, err = io.Copy(io.MultiWriter(to, h), from); err != nil {
		return "", n, err
	}
	return hex.EncodeToString(h.Sum(nil)), n, to.Sync()
}
