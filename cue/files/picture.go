package files

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"limn/profiles/tomlfile"
)

// Attach copies a picture into the shoot, by its content, and enters it with the
// approval of a cue. The file it was stays where it is.
func (f *Folder) Attach(cueName, kind, file string) (Picture, error) {
	if f.dir == "" {
		return Picture{}, ErrNoDisk
	}
	if !slices.Contains(PictureKinds(), kind) {
		return Picture{}, unknown("kind of picture", kind, PictureKinds())
	}
	of, _, err := f.Approvals()
	if err != nil {
		return Picture{}, err
	}
	a := of[f.Shoot().CueIndex(cueName)]
	switch {
	case a == nil:
		return Picture{}, fmt.Errorf("cue %s is not approved, so there is nothing to attach a picture to; approve it first", tomlfile.Quote(cueName))
	case len(a.Pictures) >= MaxPictures:
		return Picture{}, fmt.Errorf("cue %s has %d pictures already, no more are taken", tomlfile.Quote(cueName), MaxPictures)
	}
	p, err := f.takeIn(kind, file)
	if err != nil {
		return Picture{}, err
	}
	if slices.ContainsFunc(a.Pictures, func(o Picture) bool { return o.SHA256 == p.SHA256 && o.Kind == kind }) {
		return p, nil
	}
	a.Pictures = append(a.Pictures, p)
	return p, f.saveApproval(a)
}

// takeIn copies a file into the folder of pictures.
func (f *Folder) takeIn(kind, file string) (Picture, error) {
	info, err := os.Stat(file)
	switch {
	case err != nil:
		return Picture{}, fmt.Errorf("the picture %s cannot be read: %s", tomlfile.Quote(file), cause(err))
	case !info.Mode().IsRegular():
		return Picture{}, fmt.Errorf("%s is no file; name a picture", tomlfile.Quote(file))
	case info.Size() > MaxPictureSize:
		return Picture{}, fmt.Errorf("the picture %s has %d bytes, more than %d", tomlfile.Quote(file), info.Size(), int64(MaxPictureSize))
	}
	src, err := os.Open(file)
	if err != nil {
		return Picture{}, fmt.Errorf("the picture %s cannot be read: %s", tomlfile.Quote(file), cause(err))
	}
	defer src.Close()
	dir := f.path(pictureDir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return Picture{}, &WriteError{File: pictureDir, Err: err}
	}
	temp, err := f.disk.temp(dir, tempPattern)
	if err != nil {
		return Picture{}, &WriteError{File: pictureDir, Err: err}
	}
	defer func() { _ = f.disk.remove(temp.Name()) }() // nothing is there once it has been renamed
	sum, n, err := copyHashed(temp, io.LimitReader(src, MaxPictureSize))
	if e := temp.Close(); err == nil {
		err = e
	}
	if err != nil {
		return Picture{}, &WriteError{File: pictureDir, Err: err}
	}
	p := Picture{Kind: kind, Name: filepath.Base(file), SHA256: sum, Bytes: n}
	p.File = path.Join(pictureDir, sum[:16]+extension(file))
	if known, err := os.Stat(f.path(p.File)); err == nil && known.Size() == n {
		return p, nil
	}
	if err := f.disk.rename(temp.Name(), f.path(p.File)); err != nil {
		return Picture{}, &WriteError{File: p.File, Err: err}
	}
	syncDir(dir)
	return p, nil
}

// extension is a file's, if it is a plain one.
func extension(file string) string {
	ext := strings.ToLower(filepath.Ext(file))
	if len(ext) < 2 || len(ext) > 8 || strings.ContainsFunc(ext[1:], func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') }) {
		return ""
	}
	return ext
}

// copyHashed copies a file to the disk and gives the hash of what it copied.
func copyHashed(to file, from io.Reader) (sum string, n int64, err error) {
	h := sha256.New()
	if n, err = io.Copy(io.MultiWriter(to, h), from); err != nil {
		return "", n, err
	}
	return hex.EncodeToString(h.Sum(nil)), n, to.Sync()
}
