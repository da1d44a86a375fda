package files

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
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
	"limn/fixtures/colour"
	"limn/profiles/tomlfile"
)

// Where approvals lie in a shoot: one JSON file for each cue, earlier ones of the
// same cue in a folder, pictures by their content in another.
const (
	ApprovedDir = "approved"
	earlierDir  = ApprovedDir + "/earlier"
	pictureDir  = ApprovedDir + "/pictures"
)

// What an approval may hold.
const (
	MaxApprovals    = cue.MaxCues
	maxApprovalSize = 8 << 20
	MaxPictures     = 100     // of one approval
	MaxPictureSize  = 2 << 30 // bytes: a raw file of the largest backs has a tenth
)

// approvalVersion is the version of the file format.
const approvalVersion = 1

// Approval is what a cue was when it was approved: what was really sent, and the
// set around it.
type Approval struct {
	Version int       `json:"version"`
	Cue     string    `json:"cue"`
	At      time.Time `json:"at"`
	Who     string    `json:"who"`
	Note    string    `json:"note,omitempty"`

	Angle   string   `json:"angle,omitempty"`
	Azimuth *float64 `json:"azimuth,omitempty"` // of the table, degrees

	Sources  []ApprovedSource `json:"sources"`
	Cards    []ApprovedCard   `json:"cards,omitempty"`
	Camera   []Setting        `json:"camera,omitempty"`
	Pictures []Picture        `json:"pictures,omitempty"`

	File string `json:"-"` // in the shoot's folder; "" = not written yet
}

// ApprovedSource is the light of one source.
type ApprovedSource struct {
	Name      string         `json:"name"`
	Profile   string         `json:"profile,omitempty"`
	Universe  int            `json:"universe,omitempty"`
	Addresses []int          `json:"addresses,omitempty"`
	Slots     [][]int        `json:"slots,omitempty"` // of each unit, as they were sent
	Level     string         `json:"level"`           // as the cue had it
	Colour    string         `json:"colour,omitempty"`
	Asked     [3]float64     `json:"asked"`           // XYZ, Y = 1 the most the source gives
	XYZ       [3]float64     `json:"xyz"`             // that the slots gave, by what was known then
	Cells     [][3]float64   `json:"cells,omitempty"` // the same cell by cell, of a ramp
	Lux       *float64       `json:"lux,omitempty"`   // at the aim point; left out where there was no reading
	Known     string         `json:"known"`           // the hash of what was known of the light: profile, calibration, reading
	Place     *ApprovedPlace `json:"place,omitempty"`
}

// ApprovedPlace is where something stood, with its mark.
type ApprovedPlace struct {
	Azimuth   float64 `json:"azimuth"`
	Elevation float64 `json:"elevation,omitempty"`
	Distance  string  `json:"distance"`
	Rides     bool    `json:"rides,omitempty"`
	Mark      string  `json:"mark,omitempty"`
}

// ApprovedCard is a card on the set.
type ApprovedCard struct {
	Name string `json:"name"`
	ApprovedPlace
}

// Setting is one setting of the camera in words: "shutter", "1 s".
type Setting struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// What a picture shows.
const (
	SetPhoto      = "set photo"
	ApprovedFrame = "approved frame"
)

// PictureKinds lists what a picture may show.
func PictureKinds() []string { return []string{SetPhoto, ApprovedFrame} }

// Picture is a file that belongs to an approval.
type Picture struct {
	Kind   string `json:"kind"`
	Name   string `json:"name"` // as the user called it
	File   string `json:"file"` // in the shoot's folder
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// NewApproval is what was sent for a cue as it stood, trims and looks laid on by
// hand included: res is the cue composed with them, frames what the renderer's
// universes held. Nothing is written.
func NewApproval(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer, frames [][fixtures.UniverseSize]byte) *Approval {
	a := &Approval{Version: approvalVersion, Cue: res.Name, Angle: res.Angle}
	if res.HasAngle {
		azimuth := res.Azimuth
		a.Azimuth = &azimuth
	}
	light := make([]colour.XYZ, len(shoot.Rig.Sources))
	r.Read(frames, light)
	for i := range shoot.Rig.Sources {
		a.Sources = append(a.Sources, approvedSource(shoot, res, r, i, frames, light[i]))
	}
	for _, p := range res.Cards {
		if !p.Out {
			a.Cards = append(a.Cards, ApprovedCard{shoot.Cards[p.Card].Name, approvedPlace(p.Place, p.Mark)})
		}
	}
	a.Camera = cameraSettings(shoot, res)
	return a
}

func approvedSource(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer, i int, frames [][fixtures.UniverseSize]byte, light colour.XYZ) ApprovedSource {
	src := &shoot.Rig.Sources[i]
	l := &res.Light[i]
	out := ApprovedSource{
		Name: src.Name, Universe: src.Universe, Addresses: src.Addresses, Level: l.Level, Colour: l.Colour,
		Asked: triple(l.Asked), XYZ: triple(light), Known: knownOf(src),
	}
	if src.Hand {
		out.XYZ = out.Asked
	}
	if src.Full > 0 {
		lux := float64(src.Full * out.XYZ[1])
		out.Lux = &lux
	}
	if n := r.Layout(i).Cells; l.Cells != nil && n > 1 {
		cells := make([]colour.XYZ, n)
		r.ReadCells(i, frames, cells)
		for _, c := range cells {
			out.Cells = append(out.Cells, triple(c))
		}
	}
	for _, p := range res.Places {
		if p.Source == i {
			place := approvedPlace(p.Place, p.Mark)
			out.Place = &place
		}
	}
	if src.Profile == nil || src.Hand {
		return out
	}
	out.Profile = src.Profile.Name
	u := slices.Index(r.Universes(), src.Universe)
	for _, address := range src.Addresses {
		unit := make([]int, 0, src.Profile.Footprint())
		for slot := range src.Profile.Footprint() {
			if at := address - 1 + slot; u >= 0 && at < fixtures.UniverseSize {
				unit = append(unit, int(frames[u][at]))
			}
		}
		out.Slots = append(out.Slots, unit)
	}
	return out
}

func approvedPlace(p fixtures.Place, mark string) ApprovedPlace {
	return ApprovedPlace{p.Azimuth.Degrees, p.Elevation.Degrees, p.Distance.String(), p.Rides, mark}
}

func triple(c colour.XYZ) [3]float64   { return [3]float64{c.X, c.Y, c.Z} }
func untriple(c [3]float64) colour.XYZ { return colour.XYZ{X: c[0], Y: c[1], Z: c[2]} }

// knownOf is a hash of all that turns the light of a source into slots and lux.
func knownOf(src *fixtures.Source) string {
	p, err := src.Calibrated()
	if err != nil || p == nil {
		return hash([]byte(words(src.Full)))
	}
	about := *p
	about.Note, about.Title = "", ""
	return hash([]byte(words(about) + words(src.Full) + words(uint8(src.Prefer))))
}

// cameraSettings are the camera's settings in a cue.
func cameraSettings(shoot *cue.Shoot, res *cue.Resolved) []Setting {
	c, set := &shoot.Camera, &res.Camera
	var out []Setting
	add := func(name, value string) {
		if value != "" {
			out = append(out, Setting{name, value})
		}
	}
	add("shutter", either(set.Shutter, c.Shutter.String(), c.Shutter.IsZero()))
	add("aperture", either(set.Aperture, c.Aperture.String(), c.Aperture.IsZero()))
	iso, fps := c.ISO, c.FPS
	if set.ISO != nil {
		iso = *set.ISO
	}
	if set.FPS != nil {
		fps = *set.FPS
	}
	if iso != 0 {
		add("ISO", fmt.Sprint(iso))
	}
	if fps != 0 {
		add("frame rate", fmt.Sprint(fps))
	}
	add("focal length", either(set.Focal, c.Focal.String(), c.Focal.IsZero()))
	add("distance", either(set.Distance, c.Distance.String(), c.Distance.IsZero()))
	add("white", c.WhiteSpec.String())
	return out
}

func either[T fmt.Stringer](set *T, rig string, none bool) string {
	switch {
	case set != nil:
		return (*set).String()
	case none:
		return ""
	}
	return rig
}

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
