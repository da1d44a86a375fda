package journal

import (
	"archive/zip"
	"bytes"
	"io/fs"
)

// FS is the set as a file system, for whatever reads a shoot from one.
func (set Files) FS() fs.FS {
	// An archive in memory is a file system that the standard library has proved.
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range set {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.Path, Method: zip.Store})
		if err == nil {
			_, err = w.Write(f.Data)
		}
		if err != nil {
			panic(err) // a buffer takes all, and paths fit a header
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		panic(err)
	}
	return r
}
