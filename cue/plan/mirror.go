package plan

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"limn/cue"
	"limn/fixtures/reflect"
)

// MirrorOptions of the report of reflections.
type MirrorOptions struct {
	Cues   []string      // only these; none = all
	Mesh   *reflect.Mesh // that was read, nil = none
	Lines  []Line        // that are wanted in the varnish
	Effort reflect.Effort

	// Bare leaves mirror images out, which take the most time: for pictures alone.
	Bare bool
}

// Mirror is what the varnish shows in each cue.
type Mirror struct {
	Name  string
	Scale float64
	Cues  []CueMirror
	Notes []string // that hold for all cues
}

// CueMirror is what the varnish shows the camera in one cue.
type CueMirror struct {
	Cue     int
	Name    string
	Angle   string // "" = none has a name
	Azimuth float64

	// Missing says what would have to be written to see anything; "" = it is seen.
	Missing string

	Images []MirrorImage // the brightest first
	Unseen []string      // lit sources and cards whose mirror image the camera does not see
	View   []InView      // what stands in the picture itself
	Dots   []MirrorDots  // of sources whose diodes may show
	Lines  []LinePlace   // parallel to MirrorOptions.Lines
	Notes  []string      // what is left out, and why

	scene *reflect.Scene
	grey  float64
}

// MirrorImage is the mirror image of one source or card in one part of the subject.
type MirrorImage struct {
	Name  string
	Card  bool
	Where string  // on the subject
	X, Y  float64 // in the picture, 0 to 1 from the upper left corner

	Luminance Figure // cd/m²
	Over      Figure // stops over the body beside it
	Left      Figure // stops to clipping
	Length    Figure // mm on the subject
	Width     Figure
	From, To  Figure // azimuths of the table between which it stays, counter-clockwise
	Always    bool   // it never leaves
	Speed     Figure // mm on the subject for each degree
	Drift     Figure // percent of the picture's width for each degree
	Say       string // all of it in words
}

var (
	lawImage = law{
		"found where the normal halves the angle between source and camera", "law of reflection",
		"the form as written; the coat smooth over the width of the image",
	}
	lawMirrored = law{"R·L of what is mirrored; R by Fresnel at the angle there", "Fresnel, 1823", "a smooth coat, in the middle of the image"}
	lawOverBody = law{
		"log2(mirrored/body), body = ρ·E/π below the coat", "Fresnel, 1823; Lambert, Photometria, 1760",
		"an even, matt body; light reaches it from faces alone, not from the room's walls",
	}
	lawToClip = law{"headroom - log2(luminance/mid-tone)", "ISO 12232 or the camera's measured headroom", "the camera as it is set"}
	lawTrack  = law{"followed as the table turns, until it leaves the subject or the camera's view", "law of reflection", "sources and cards that do not ride stay where they are"}
)

// NewMirror reckons the report. The error is an *UnknownCueError, that of a rig that
// cannot be compiled, or that of the context.
func NewMirror(ctx context.Context, s *cue.Shoot, opt MirrorOptions) (*Mirror, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	out := &Mirror{Name: s.Subject.Name, Scale: s.Subject.Scale}
	form, err := FormOf(&s.Subject, opt.Mesh)
	lacking := ""
	if err != nil {
		lacking = what(err)
	}
	for _, i := range cues {
		r := &s.Resolved[i]
		c := CueMirror{Cue: i, Name: r.Name, Angle: r.Angle, Azimuth: r.Azimuth, Missing: lacking, grey: math.NaN()}
		if lacking == "" {
			if err := c.look(ctx, s, r, form, &opt); err != nil {
				return nil, err
			}
		}
		out.Cues = append(out.Cues, c)
	}
	out.Notes = append(out.Notes, mirrorNotes(s, opt.Mesh)...)
	out.lift()
	return out, nil
}

// what is an error's message as what is missing.
func what(err error) string {
	var missing *MissingError
	if errors.As(err, &missing) {
		return missing.Missing
	}
	return err.Error()
}

// mirrorNotes tells what was taken for what nobody wrote.
func mirrorNotes(s *cue.Shoot, mesh *reflect.Mesh) []string {
	var notes []string
	if s.Subject.Form.Kind == "" || s.Subject.Form.Kind == cue.FormMesh && mesh == nil {
		notes = append(notes, `the subject is taken for its bounding box; write [subject] form = "hull" with its sections, or form = "mesh" with its file`)
	}
	if !s.Subject.Surface.HasBody {
		notes = append(notes, `the body is taken for middle grey; write [subject] reflectance = "12 %" or "#5a2c16"`)
	}
	if l := lensOf(s, &cue.CameraChange{}); l.level {
		notes = append(notes, `the camera is taken to look level at the aim point; write [camera] height = "0.3 m" (of the lens above the table) or elevation = 10`)
	}
	return notes
}

// lift moves notes that every cue has to the report.
func (m *Mirror) lift() {
	if len(m.Cues) < 2 {
		return
	}
	in := map[string]int{}
	for i := range m.Cues {
		for _, n := range m.Cues[i].Notes {
			in[n]++
		}
	}
	for i := range m.Cues {
		var own []string
		for _, n := range m.Cues[i].Notes {
			switch in[n] {
			case len(m.Cues):
				if i == 0 {
					m.Notes = append(m.Notes, n)
				}
			default:
				own = append(own, n)
			}
		}
		m.Cues[i].Notes = own
	}
}

// look finds what one cue shows.
func (c *CueMirror) look(ctx context.Context, s *cue.Shoot, r *cue.Resolved, form reflect.Form, opt *MirrorOptions) error {
	scene, grey, notes, err := SceneOf(s, r, form)
	c.Notes = notes
	if err != nil {
		c.Missing = what(err)
		return nil //nolint:nilerr // it is told as what is missing, and the rest of the report comes
	}
	if err := scene.Check(); err != nil {
		c.Missing = err.Error()
		return nil //nolint:nilerr // likewise
	}
	c.scene, c.grey = scene, grey
	c.View = inView(scene)
	for _, line := range opt.Lines {
		c.Lines = append(c.Lines, line.place(scene))
	}
	if opt.Bare {
		return nil
	}
	images, err := reflect.Images(ctx, scene, opt.Effort)
	if err != nil {
		return err
	}
	l := lensOf(s, &r.Camera)
	room := headroomOf(s, &l)
	for i := range images {
		c.Images = append(c.Images, c.image(&images[i], &room))
	}
	c.unseen()
	c.dots(s, &l, images)
	return nil
}

// unseen lists what the camera does not see mirrored.
func (c *CueMirror) unseen() {
	type thing struct { // a source and a card may bear one name
		card bool
		name string
	}
	seen := map[thing]bool{}
	for i := range c.Images {
		seen[thing{c.Images[i].Card, c.Images[i].Name}] = true
	}
	for i := range c.scene.Lights {
		if n := c.scene.Lights[i].Name; !seen[thing{false, n}] {
			c.Unseen = append(c.Unseen, n)
		}
	}
	for i := range c.scene.Cards {
		if n := c.scene.Cards[i].Name; !seen[thing{true, n}] {
			c.Unseen = append(c.Unseen, "card "+n)
		}
	}
}

// image words one mirror image.
func (c *CueMirror) image(from *reflect.Image, room *Figure) MirrorImage {
	m := MirrorImage{Name: from.Name, Card: from.Card, Where: from.Where, X: from.X, Y: from.Y, Always: from.Always}
	lum := Input{"L", "cd/m²", "of the coat in the image's middle", from.Luminance}
	m.Luminance = lawMirrored.figure("luminance", from.Name+" mirrored", "cd/m²", from.Luminance, Input{"n", "", "index of the coat", c.scene.Surface.Index}).as(unit(2, "cd/m²"))
	m.Over = lawOverBody.figure("over-body", from.Name+" mirrored, over the body beside it", "stops", from.Stops, lum).as(SignedStops)
	switch {
	case !(c.grey > 0):
		m.Left = lawToClip.absent("to-clip", from.Name+" mirrored, left to clipping", "stops", "[camera] aperture, shutter and iso")
	case !room.Known():
		m.Left = lawToClip.absent("to-clip", from.Name+" mirrored, left to clipping", "stops", room.Missing)
	default:
		m.Left = lawToClip.figure("to-clip", from.Name+" mirrored, left to clipping", "stops", room.Value-math.Log2(from.Luminance/c.grey),
			lum, Input{"grey", "cd/m²", "that comes out as mid-tone", c.grey}, Input{"headroom", "stops", "from mid-tone to clipping", room.Value}).as(SignedStops)
	}
	mm := func(v float64) string { return significant(v, 2) + " mm" }
	m.Length = lawImage.figure("length", "length of the image on the subject", "mm", 1000*from.Length).as(mm)
	m.Width = lawImage.figure("width", "width of the image on the subject", "mm", 1000*from.Width).as(mm)
	degree := func(v float64) string { return fmt.Sprintf("%.0f°", math.Mod(math.Round(v)+360, 360)) }
	m.From = lawTrack.figure("azimuth-from", "stays from azimuth", "°", from.From).as(degree)
	m.To = lawTrack.figure("azimuth-to", "to azimuth, counter-clockwise", "°", from.To).as(degree)
	m.Speed = lawTrack.figure("speed", "moves on the subject for each degree of the table", "mm/°", 1000*from.Speed).as(unit(2, "mm/°"))
	m.Drift = lawTrack.figure("drift", "moves in the picture, of its width, for each degree", "%/°", 100*from.Drift).as(unit(2, "%/°"))
	m.Say = m.words()
	return m
}

// words say an image as one would across the set.
func (m *MirrorImage) words() string {
	kind := ""
	if m.Card {
		kind = "card "
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s%s: %s, %s x %s", kind, m.Name, m.Where, strings.TrimSuffix(m.Length.Text, " mm"), m.Width.Text)
	switch v := m.Over.Value; {
	case math.IsInf(v, 1):
		b.WriteString(", over a black body")
	case math.Round(10*v) == 0:
		b.WriteString(", as bright as the body")
	case v < 0:
		fmt.Fprintf(&b, ", %s under the body", Stops(-v))
	default:
		fmt.Fprintf(&b, ", %s over the body", Stops(v))
	}
	if m.Left.Known() && m.Left.Value < 0 {
		fmt.Fprintf(&b, ", clips by %s", Stops(-m.Left.Value))
	}
	switch {
	case m.Always:
		b.WriteString("; stays all the way round")
	case m.From.Text == m.To.Text || m.Speed.Value == 0:
		b.WriteString("; at this azimuth alone")
	default:
		fmt.Fprintf(&b, "; stays from %s to %s of the table", m.From.Text, m.To.Text)
	}
	if m.Speed.Value > 0 {
		fmt.Fprintf(&b, ", moves %s", m.Speed.Text)
	}
	return b.String()
}
