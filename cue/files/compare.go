package files

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// What is worth telling of a difference from what was approved.
const (
	// minStops is a tenth of a stop, rounded: the step of a light meter.
	minStops = 0.05
	// minSteps is one u'v' step; side by side few people see less (CIE TN 001:2014).
	minSteps = 1.0
)

// Difference is how a source, the camera or a card differs from what was approved.
type Difference struct {
	Source string  // "" = it is not about the light of a source
	Stops  float64 // brighter than approved: of lux where both are known, else of the share of the most
	Steps  float64 // u'v' steps from the approved colour
	Kelvin float64 // more than approved; NaN where one of the two is no white
	Tint   float64 // Duv more than approved, greener; NaN likewise
	Text   string  // in words: `sky differs by 0.2 stop from approved (dimmer)`
}

// Compare tells how the light that a shoot now gives for a cue differs from
// what was approved: after a new calibration, profile or patch, or an edit. res is
// the cue, composed with whatever is laid over it. What no eye can tell apart is
// no difference. The renderer must not be in use by another goroutine; it takes up
// to milliseconds a source, so this is not for the frame path.
func (a *Approval) Compare(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer) []Difference {
	_, light := still(shoot, res, r)
	out := a.lightDifferences(shoot, func(i int) colour.XYZ {
		if shoot.Rig.Sources[i].Hand {
			return res.Light[i].Asked
		}
		return light[i]
	})
	for _, s := range a.Sources {
		if shoot.Rig.Index(s.Name) < 0 {
			out = append(out, Difference{Source: s.Name, Text: s.Name + " was approved and is not in the rig any more"})
		}
	}
	return append(out, a.setDifferences(shoot, res)...)
}

// unlike is Compare without computing anything where nothing that bears on the
// light has changed.
func (a *Approval) unlike(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer, known func(i int) string) []Difference {
	same := len(a.Sources) == len(shoot.Rig.Sources)
	for i := 0; same && i < len(a.Sources); i++ {
		s := &a.Sources[i]
		same = s.Name == shoot.Rig.Sources[i].Name && untriple(s.Asked) == res.Light[i].Asked &&
			(len(s.Cells) > 0) == (res.Light[i].Cells != nil) && s.Known == known(i)
	}
	if same {
		return a.setDifferences(shoot, res)
	}
	return a.Compare(shoot, res, r)
}

// AsSent tells how the slots that were approved would look by what is known of
// the lights now.
func (a *Approval) AsSent(shoot *cue.Shoot, r *fixtures.Renderer) []Difference {
	light := make([]colour.XYZ, len(shoot.Rig.Sources))
	universes := r.Universes()
	frames := make([][fixtures.UniverseSize]byte, len(universes))
	slots, _ := a.Slots(shoot)
	for u, n := range universes {
		frames[u] = slots[n]
	}
	r.Read(frames, light)
	return a.lightDifferences(shoot, func(i int) colour.XYZ {
		if s := a.source(shoot.Rig.Sources[i].Name); s != nil && shoot.Rig.Sources[i].Hand {
			return untriple(s.Asked)
		}
		return light[i]
	})
}

// Slots are those that were approved by universe, of each source where it is
// patched now: what "as sent" plays. missing names the sources whose slots cannot
// be used: gone, new, or of another kind of light.
func (a *Approval) Slots(shoot *cue.Shoot) (slots map[int][fixtures.UniverseSize]byte, missing []string) {
	slots = map[int][fixtures.UniverseSize]byte{}
	for i := range shoot.Rig.Sources {
		src := &shoot.Rig.Sources[i]
		if src.Hand || src.Profile == nil {
			continue
		}
		s := a.source(src.Name)
		if s == nil || len(s.Slots) == 0 || len(s.Slots[0]) != src.Profile.Footprint() {
			missing = append(missing, src.Name)
			continue
		}
		universe := slots[src.Universe]
		for k, address := range src.Addresses {
			unit := s.Slots[min(k, len(s.Slots)-1)]
			for n, v := range unit {
				if at := address - 1 + n; at < fixtures.UniverseSize {
					universe[at] = byte(v)
				}
			}
		}
		slots[src.Universe] = universe
	}
	for _, s := range a.Sources {
		if shoot.Rig.Index(s.Name) < 0 {
			missing = append(missing, s.Name)
		}
	}
	return slots, missing
}

// SameLight are the edits that give the light that was approved with the lights as
// they are known now, and in words what of it they cannot give. Sources that give
// it already are left alone. A ramp is only told of: its points are the user's to
// set.
func (a *Approval) SameLight(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer) (edits []Edit, short []string) {
	_, light := still(shoot, res, r)
	for i := range shoot.Rig.Sources {
		src := &shoot.Rig.Sources[i]
		s := a.source(src.Name)
		if s == nil || src.Hand || len(a.differs(shoot, i, s, light[i])) == 0 {
			continue
		}
		if len(s.Cells) > 0 || res.Light[i].Cells != nil {
			short = append(short, src.Name+" is a ramp: set its points")
			continue
		}
		want := untriple(s.XYZ)
		xy, lit := want.XY()
		if !lit {
			off := cue.Level{}
			edits = append(edits, SetLight{Cue: res.Name, Source: src.Name, Level: &off})
			continue
		}
		y := want.Y
		if s.Lux != nil && src.Full > 0 {
			y = *s.Lux / src.Full
		}
		aim := r.Reach(i, xy)
		if stops := math.Log2(y / aim.MaxY); stops >= minStops {
			short = append(short, fmt.Sprintf("%s is %s short", src.Name, inStops(stops)))
		}
		if steps := aim.DeltaUV / colour.Step; steps >= minSteps {
			short = append(short, fmt.Sprintf("%s misses the colour by %.1f steps", src.Name, steps))
		}
		y = math.Min(y, aim.MaxY)
		text := fmt.Sprintf("%.4g lx", src.Full*y)
		if !(src.Full > 0) {
			text = fmt.Sprintf("%.4g %%", 100*y/aim.MaxY)
		}
		level, err := cue.ParseLevel(text)
		if err != nil {
			short = append(short, fmt.Sprintf("%s cannot be told: %v", src.Name, err))
			continue
		}
		spec, err := colour.ParseSpec(spell(xy))
		if err != nil {
			short = append(short, fmt.Sprintf("%s cannot be told: %v", src.Name, err))
			continue
		}
		edits = append(edits, SetLight{Cue: res.Name, Source: src.Name, Level: &level, Colour: &spec})
	}
	return edits, short
}

// spell writes a chromaticity for a file: a white to a hundred-thousandth of Duv would be
// more than any light holds.
func spell(xy colour.XY) string {
	if w, ok := colour.IsWhite(xy); ok {
		return w.String()
	}
	return fmt.Sprintf("xy %.4f %.4f", xy.X, xy.Y)
}

// source is the approved light of a source, nil if it was not in the rig then.
func (a *Approval) source(name string) *ApprovedSource {
	for i := range a.Sources {
		if a.Sources[i].Name == name {
			return &a.Sources[i]
		}
	}
	return nil
}

// still renders a cue as it stands when its fade is over.
func still(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer) (frames [][fixtures.UniverseSize]byte, light []colour.XYZ) {
	n := len(shoot.Rig.Sources)
	state := fixtures.State{Light: make([]colour.XYZ, n), Cells: make([][]colour.XYZ, n), Offset: make([][]int, n)}
	for i := range res.Light {
		l := &res.Light[i]
		state.Light[i], state.Cells[i] = l.Asked, l.Cells
		if l.Cells != nil {
			state.Offset[i] = make([]int, r.Layout(i).Codes())
			r.LandCells(i, l.Cells, state.Offset[i])
		} else {
			state.Offset[i] = make([]int, r.Controls(i))
			r.Land(i, l.Asked, state.Offset[i])
		}
	}
	frames = make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(&state, frames)
	light = make([]colour.XYZ, n)
	r.Read(frames, light)
	return frames, light
}

// lightDifferences compares the light of every source that was approved.
func (a *Approval) lightDifferences(shoot *cue.Shoot, now func(i int) colour.XYZ) []Difference {
	var out []Difference
	for i := range shoot.Rig.Sources {
		name := shoot.Rig.Sources[i].Name
		s := a.source(name)
		if s == nil {
			if now(i).Y > 0 {
				out = append(out, Difference{Source: name, Text: name + " was not in the rig when this was approved"})
			}
			continue
		}
		out = append(out, a.differs(shoot, i, s, now(i))...)
	}
	return out
}

// differs is how a light differs from that approved: nothing, or one difference.
func (a *Approval) differs(shoot *cue.Shoot, i int, s *ApprovedSource, now colour.XYZ) []Difference {
	was := untriple(s.XYZ)
	d := Difference{Source: s.Name, Kelvin: math.NaN(), Tint: math.NaN()}
	switch {
	case was.Y <= 0 && now.Y <= 0:
		return nil
	case was.Y <= 0:
		d.Stops, d.Text = math.Inf(1), s.Name+" is lit, approved it was off"
		return []Difference{d}
	case now.Y <= 0:
		d.Stops, d.Text = math.Inf(-1), s.Name+" is off, approved it was lit"
		return []Difference{d}
	}
	d.Stops = math.Log2(now.Y / was.Y)
	if full := shoot.Rig.Sources[i].Full; s.Lux != nil && full > 0 {
		d.Stops = math.Log2(float64(full*now.Y) / *s.Lux)
	}
	before, _ := was.XY()
	after, _ := now.XY()
	d.Steps = colour.Steps(before, after)
	w, isWhite := colour.IsWhite(before)
	v, stillWhite := colour.IsWhite(after)
	if isWhite && stillWhite {
		d.Kelvin, d.Tint = v.Kelvin-w.Kelvin, v.Duv-w.Duv
	}
	var parts []string
	if math.Abs(d.Stops) >= minStops {
		parts = append(parts, fmt.Sprintf("by %s (%s)", inStops(d.Stops), side(d.Stops, "brighter", "dimmer")))
	}
	if d.Steps >= minSteps {
		parts = append(parts, fmt.Sprintf("in colour by %.1f u'v' steps%s", d.Steps, d.tone()))
	}
	if len(parts) == 0 {
		return nil
	}
	d.Text = fmt.Sprintf("%s differs %s from approved", s.Name, strings.Join(parts, " and "))
	return []Difference{d}
}

// tone words a difference between two whites: " (120 K cooler, 0.0012 greener)".
func (d *Difference) tone() string {
	if math.IsNaN(d.Kelvin) {
		return ""
	}
	text := fmt.Sprintf(" (%.0f K %s", math.Abs(d.Kelvin), side(d.Kelvin, "higher", "lower"))
	if math.Abs(d.Tint) >= 0.00005 { // what tints are written to
		text += fmt.Sprintf(", Duv %.4f %s", math.Abs(d.Tint), side(d.Tint, "greener", "pinker"))
	}
	return text + ")"
}

func side(x float64, more, less string) string {
	if x > 0 {
		return more
	}
	return less
}

// inStops is a number of stops as a light meter counts them, either way.
func inStops(stops float64) string {
	stops = math.Abs(stops)
	text := fmt.Sprintf("%.1f stop", stops)
	if stops >= 1.05 {
		text += "s"
	}
	return text
}

// setDifferences compares the set: table, camera, cards, sources that were moved.
func (a *Approval) setDifferences(shoot *cue.Shoot, res *cue.Resolved) []Difference {
	var out []Difference
	say := func(format string, args ...any) { out = append(out, Difference{Text: fmt.Sprintf(format, args...)}) }
	switch {
	case a.Azimuth != nil && !res.HasAngle:
		say("the table has no angle, approved it stood at %g°", *a.Azimuth)
	case a.Azimuth != nil && math.Abs(cue.Turn(*a.Azimuth, res.Azimuth)) > cue.DeadBand:
		say("the table stands at %g°, approved it stood at %g°", res.Azimuth, *a.Azimuth)
	}
	now := cameraSettings(shoot, res)
	for _, was := range a.Camera {
		i := slices.IndexFunc(now, func(s Setting) bool { return s.Name == was.Name })
		switch {
		case i < 0:
			say("camera: %s is not written any more, approved it was %s", was.Name, was.Value)
		case now[i].Value != was.Value:
			say("camera: %s is %s, approved it was %s", was.Name, now[i].Value, was.Value)
		}
	}
	stands := map[string]ApprovedPlace{}
	for _, p := range res.Cards {
		if !p.Out {
			stands[shoot.Cards[p.Card].Name] = approvedPlace(p.Place, p.Mark)
		}
	}
	for _, was := range a.Cards {
		is, there := stands[was.Name]
		delete(stands, was.Name)
		switch {
		case !there:
			say("card %s is away, approved it stood at %s", was.Name, was.ApprovedPlace)
		case is != was.ApprovedPlace:
			say("card %s stands at %s, approved it stood at %s", was.Name, is, was.ApprovedPlace)
		}
	}
	for _, name := range sortedKeys(stands) {
		say("card %s stands at %s, approved it was away", name, stands[name])
	}
	return out
}

func (p ApprovedPlace) String() string {
	text := fmt.Sprintf("%g°, %s", p.Azimuth, p.Distance)
	if p.Mark != "" {
		text += ", mark " + p.Mark
	}
	return text
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
