package files

import (
	"fmt"
	"slices"
	"time"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
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
