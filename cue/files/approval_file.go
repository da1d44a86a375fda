package files

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"limn/cue"
	"limn/fixtures"
	"limn/profiles/tomlfile"
)

// parseApproval reads an approval; what it cannot be is an error in words.
func parseApproval(b []byte) (*Approval, error) {
	if len(b) > maxApprovalSize {
		return nil, fmt.Errorf("it has %d bytes, more than %d", len(b), maxApprovalSize)
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	a := &Approval{}
	if err := d.Decode(a); err != nil {
		return nil, fmt.Errorf("it is no approval: %w", err)
	}
	switch {
	case a.Version != approvalVersion:
		return nil, fmt.Errorf("it has version %d, this program reads %d", a.Version, approvalVersion)
	case a.Cue == "" || len(a.Sources) > cue.MaxSources || len(a.Pictures) > MaxPictures:
		return nil, errors.New("it is no approval of a cue")
	}
	for i := range a.Sources {
		s := &a.Sources[i]
		if len(s.Slots) > fixtures.UniverseSize || s.Name == "" || len(s.Slots) != 0 && len(s.Slots) != len(s.Addresses) {
			return nil, fmt.Errorf("source %d of it is none", i+1)
		}
		for _, unit := range s.Slots {
			if len(unit) > fixtures.UniverseSize || slices.ContainsFunc(unit, func(v int) bool { return v < 0 || v > math.MaxUint8 }) {
				return nil, fmt.Errorf("the slots of %s are none", tomlfile.Quote(s.Name))
			}
		}
	}
	return a, nil
}

// approvalFile is where the approval of a cue lies.
func approvalFile(cueName string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(cueName) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 40 {
			break
		}
	}
	// The hash tells names apart that differ in other letters only.
	return path.Join(ApprovedDir, strings.Trim(b.String(), "-")+"-"+hash([]byte(cueName))[:8]+".json")
}

// readApprovals reads all approvals of a shoot. Those that cannot be read go to tell.
func readApprovals(in *seen, tell func(file string, err error)) []*Approval {
	list, err := in.ReadDir(ApprovedDir)
	if err != nil {
		return nil
	}
	var out []*Approval
	for _, e := range list {
		name := path.Join(ApprovedDir, e.Name())
		if e.IsDir() || path.Ext(name) != ".json" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		if len(out) >= MaxApprovals {
			tell(ApprovedDir, fmt.Errorf("there are more than %d approvals", MaxApprovals))
			break
		}
		b, err := in.ReadFile(name)
		var a *Approval
		if err == nil {
			a, err = parseApproval(b)
		}
		if err != nil {
			tell(name, err)
			continue
		}
		a.File = name
		out = append(out, a)
	}
	return out
}

// matched finds the approval of each cue. A cue that was renamed is known by its
// light: it has none of its own, and the light an approval was of that no cue bears
// the name of.
func matched(shoot *cue.Shoot, all []*Approval) (of map[int]*Approval, lost []*Approval) {
	of = map[int]*Approval{}
	for _, a := range all {
		if i := shoot.CueIndex(a.Cue); i >= 0 && of[i] == nil {
			of[i] = a
		} else {
			lost = append(lost, a)
		}
	}
	lost = slices.DeleteFunc(lost, func(a *Approval) bool {
		for i := range shoot.Resolved {
			if of[i] == nil && a.askedAs(shoot, &shoot.Resolved[i]) {
				of[i] = a
				return true
			}
		}
		return false
	})
	return of, lost
}

// askedAs says whether a cue asks for the very light that was approved.
func (a *Approval) askedAs(shoot *cue.Shoot, res *cue.Resolved) bool {
	if (a.Azimuth != nil) != res.HasAngle || res.HasAngle && *a.Azimuth != res.Azimuth || len(a.Sources) != len(res.Light) {
		return false
	}
	for i := range a.Sources {
		if a.Sources[i].Name != shoot.Rig.Sources[i].Name || untriple(a.Sources[i].Asked) != res.Light[i].Asked {
			return false
		}
	}
	return true
}

// Approvals are those of the shoot's cues by cue, renamed ones found by their
// light, and those whose cue is gone.
func (f *Folder) Approvals() (of map[int]*Approval, gone []*Approval, err error) {
	now := f.state()
	if now == nil {
		return nil, nil, errNoShoot
	}
	all := readApprovals(look(f.fsys), func(file string, e error) { err = fmt.Errorf("%s: %w", file, e) })
	of, gone = matched(now.shoot, all)
	return of, gone, err
}

// Approve writes an approval. That of the same cue before it is kept among the
// earlier ones, and its pictures stay with it.
func (f *Folder) Approve(a *Approval, by By) error {
	if f.dir == "" {
		return ErrNoDisk
	}
	if by.At.IsZero() {
		by.At = time.Now()
	}
	if by.Who == "" {
		by.Who = whoever()
	}
	a.At, a.Who = by.At.UTC().Round(time.Millisecond), by.Who
	a.File = approvalFile(a.Cue)
	if err := f.keepEarlier(a.File); err != nil {
		return err
	}
	return f.saveApproval(a)
}

// keepEarlier copies the approval that is about to be replaced.
func (f *Folder) keepEarlier(name string) error {
	b, err := os.ReadFile(f.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return &WriteError{File: name, Err: err}
	}
	base := strings.TrimSuffix(path.Base(name), ".json")
	kept := path.Join(earlierDir, base+"-"+hash(b)[:8]+".json")
	if err := f.disk.save(f.path(kept), b); err != nil {
		return &WriteError{File: kept, Err: err}
	}
	return nil
}

func (f *Folder) path(name string) string { return filepath.Join(f.dir, filepath.FromSlash(name)) }

func (f *Folder) saveApproval(a *Approval) error {
	b, err := json.MarshalIndent(a, "", "  ")
	if err != nil {
		return fmt.Errorf("the approval of %s cannot be written: %w", tomlfile.Quote(a.Cue), err) // NaN
	}
	f.reading.Lock()
	defer f.reading.Unlock()
	if err := f.disk.save(f.path(a.File), append(b, '\n')); err != nil {
		return &WriteError{File: a.File, Err: err}
	}
	f.absorb(ApprovedDir, a.File)
	return nil
}

// absorb takes over what the folder itself has written, so that it is no news to
// a watcher.
func (f *Folder) absorb(dir, file string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.latest == nil {
		return
	}
	fresh := look(f.fsys)
	_, _ = fresh.ReadFile(file)
	_, _ = fresh.ReadDir(dir)
	next := f.latest.with(nil)
	next.base = f.fsys
	next.files[file], next.dirs[dir] = fresh.files[file], fresh.dirs[dir]
	f.latest = next
}
