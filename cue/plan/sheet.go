package plan

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures"
)

// Sheet is all that a lighting sheet tells of a shoot: what a crew needs to set it
// up again without the program.
type Sheet struct {
	Name     string
	Scale    float64
	Subject  []Fact
	Camera   []Fact // as the rig has it
	Cues     []SheetCue
	Sources  []SheetSource
	Cards    []SheetCard
	Expose   *Expose
	Flicker  *Flicker
	Power    *Power
	Full     *FullSize
	Cautions []string
	Notes    []string // what is not known, and what would have to be written
}

// Fact is a line of a list: what, and how much with its unit.
type Fact struct{ Name, Text string }

// SheetCue is the page of one cue.
type SheetCue struct {
	Cue     int
	Slate   string // for the radio; see Slates
	Name    string
	Angle   string // "" = none has a name
	Azimuth string // "35°"; "" = the table stays where it is
	Look    string // the looks it wears, and the cue it comes from, in words
	Note    string

	Light  []SheetLight // of every lit source
	Dark   []string     // sources that are off
	Cards  []SheetStand // that stand
	Moved  []SheetStand // sources that stand elsewhere than the rig says
	Camera string       // its settings
	Timing string
	Hands  []string // what changes by hand from the cue before; of the first, how all is set
	Slots  []SheetSlots

	Exposure *CueExposure
	Watts    string // "" = not known
}

// SheetLight is one source in one cue, each figure with its unit; "" = not known.
type SheetLight struct {
	Source int
	Name   string
	Role   string
	Level  string // as written
	Stops  string // against the key
	Lux    string // at the aim point
	Colour SheetColour
	Short  string // what it cannot give
	Timing string // where it has a timing of its own
	Hand   bool   // set by hand
}

// SheetStand is where a card or a moved source stands.
type SheetStand struct{ Name, Kind, Size, Place, Mark string }

// SheetSlots are the slots of one unit of a source, for a desk.
type SheetSlots struct {
	Source   string
	Universe int
	Address  int // its first slot, from 1
	Values   []int
}

// SheetSource is a line of the source list.
type SheetSource struct {
	Name, Role, Profile, Patch, Size, Place, Diffusion, Full, Note string
}

// SheetCard is a line of the card list.
type SheetCard struct {
	Name, Kind, Size, Note string
	In                     []string // slates of the cues it stands in
}

// SheetOptions of a sheet.
type SheetOptions struct {
	Options

	// Light, if not nil, are cues as they were played instead of as they are
	// written; parallel to the shoot's. Nil entries are as written.
	Light []*cue.Resolved
}

// NewSheet gathers a sheet. The error is that of NewExpose.
func NewSheet(s *cue.Shoot, opt SheetOptions) (*Sheet, error) {
	cues, err := choose(s, opt.Cues)
	if err != nil {
		return nil, err
	}
	played := *s
	if opt.Light != nil {
		played.Resolved = slices.Clone(s.Resolved)
		for i, r := range opt.Light {
			if r != nil && i < len(played.Resolved) {
				played.Resolved[i] = *r
			}
		}
	}
	s = &played
	out := &Sheet{Name: s.Subject.Name, Scale: s.Subject.Scale, Subject: subjectFacts(s), Camera: cameraFacts(s)}
	if out.Expose, err = NewExpose(s, opt.Options); err != nil {
		return nil, err
	}
	if out.Flicker, err = NewFlicker(s, opt.Options); err != nil {
		return nil, err
	}
	if out.Power, err = NewPower(s, opt.Options); err != nil {
		return nil, err
	}
	if out.Full, err = NewFullSize(s, FullOptions{Cues: opt.Cues}); err != nil {
		return nil, err
	}
	r, err := fixtures.NewRenderer(s.Rig)
	if err != nil {
		return nil, err
	}
	slates := Slates(s)
	var before *cue.Resolved
	for n, i := range cues {
		c := sheetCue(s, r, i, before)
		c.Slate, c.Exposure = slates[i], &out.Expose.Cues[n]
		if w := &out.Power.Cues[n].Watts; w.Known() {
			c.Watts = w.Text
		}
		out.Cues = append(out.Cues, c)
		before = &s.Resolved[i]
	}
	out.sources(s)
	out.cards(s, slates)
	out.say()
	return out, nil
}

// say gathers notes and cautions of all reports, each once.
func (o *Sheet) say() {
	add := func(to *[]string, texts ...string) {
		for _, t := range texts {
			if t != "" && !slices.Contains(*to, t) {
				*to = append(*to, t)
			}
		}
	}
	add(&o.Cautions,
		"Bright LEDs at arm's length hurt eyes: turn panels away from faces before they come up.",
		"Flashing light can bring on seizures: tell everybody on the set before effects and fast sequences run.",
		"Keep fingers, sleeves and hair off the table while it turns.",
	)
	add(&o.Cautions, o.Power.Cautions...)
	add(&o.Cautions, o.Full.Cautions...)
	add(&o.Notes, o.Expose.Notes...)
	add(&o.Notes, o.Flicker.Notes...)
	add(&o.Notes, o.Power.Notes...)
}

// sheetCue gathers the page of one cue.
func sheetCue(s *cue.Shoot, r *fixtures.Renderer, i int, before *cue.Resolved) SheetCue {
	written, res := &s.Cues[i], &s.Resolved[i]
	c := SheetCue{
		Cue: i, Name: res.Name, Angle: res.Angle, Note: written.Note, Look: lookWords(written),
		Camera: CameraSettings(s, res), Timing: timingWords(res.Fade, res.Delay, res.Curve.String(), res.Path.String()), Hands: s.Hands(before, res),
	}
	if res.HasAngle {
		c.Azimuth = strconv.FormatFloat(res.Azimuth, 'f', -1, 64) + "°"
	}
	for n := range s.Rig.Sources {
		if !(res.Light[n].Asked.Y > 0) {
			c.Dark = append(c.Dark, s.Rig.Sources[n].Name)
			continue
		}
		c.Light = append(c.Light, sheetLight(s, r, res, n))
	}
	for _, p := range res.Cards {
		if card := &s.Cards[p.Card]; !p.Out && p.Place.Known {
			c.Cards = append(c.Cards, SheetStand{card.Name, card.Kind, sizeWords(card.Width.String(), card.Height.String(), card.Width.IsZero()), placeWords(&p.Place), p.Mark})
		}
	}
	for _, p := range res.Places {
		src := &s.Rig.Sources[p.Source]
		c.Moved = append(c.Moved, SheetStand{src.Name, string(src.Role), sizeWords(src.Width.String(), src.Height.String(), src.Width.IsZero()), placeWords(&p.Place), p.Mark})
	}
	c.Slots = slotsOf(s, r, res)
	return c
}

// lookWords tells what a cue is made of.
func lookWords(c *cue.Cue) string {
	var words []string
	if c.From != "" {
		words = append(words, "from "+c.From)
	}
	if len(c.Looks) > 0 {
		words = append(words, "look "+strings.Join(c.Looks, ", "))
	}
	return strings.Join(words, ", ")
}

func timingWords(fade, delay float64, curve, path string) string {
	words := []string{"fade " + seconds(fade)}
	if delay > 0 {
		words = append(words, "after "+seconds(delay))
	}
	if curve != "linear" {
		words = append(words, "curve "+curve)
	}
	if path != "auto" {
		words = append(words, "path "+path)
	}
	return strings.Join(words, ", ")
}

func seconds(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + " s" }

// sheetLight is one source of one cue.
func sheetLight(s *cue.Shoot, r *fixtures.Renderer, res *cue.Resolved, n int) SheetLight {
	src, l := &s.Rig.Sources[n], &res.Light[n]
	out := SheetLight{Source: n, Name: src.Name, Role: string(src.Role), Level: l.Level, Colour: colourOf(l.Asked), Hand: src.Hand}
	switch {
	case n == s.Key():
		out.Stops = "key"
	case !math.IsNaN(l.KeyStops) && !math.IsInf(l.KeyStops, 0):
		out.Stops = SignedStops(l.KeyStops)
	}
	if !math.IsNaN(l.Lux) {
		out.Lux = Lux(l.Lux)
	}
	if l.Cells != nil {
		out.Colour.Note = strings.TrimSpace("ramp " + l.Colour + ", mean of its cells")
	}
	if l.DeltaUV > seenShift && !src.Hand {
		if aim := colourOf(l.Aim.XYZ(1)); aim.Kelvin != "" {
			out.Short = fmt.Sprintf("gives %s %s at the nearest", aim.Kelvin, aim.Tint)
		} else {
			out.Short = "gives xy " + aim.XY + " at the nearest"
		}
	}
	if l.Fade != res.Fade || l.Delay != res.Delay || l.Curve != res.Curve || l.Path != res.Path {
		out.Timing = timingWords(l.Fade, l.Delay, l.Curve.String(), l.Path.String())
	}
	return out
}

// seenShift is the Δu'v' from which two colours side by side differ (common practice, no
// source).
const seenShift = 0.003

// slotsOf are the slots of a cue once it has settled.
func slotsOf(s *cue.Shoot, r *fixtures.Renderer, res *cue.Resolved) []SheetSlots {
	n := len(s.Rig.Sources)
	state := fixtures.State{Offset: make([][]int, n), Azimuth: res.Azimuth}
	for i := range n {
		l := &res.Light[i]
		state.Light = append(state.Light, l.Asked)
		state.Cells = append(state.Cells, l.Cells)
		if s.Rig.Sources[i].Hand {
			continue
		}
		if layout := r.Layout(i); l.Cells != nil && layout.Cells > 1 {
			state.Offset[i] = make([]int, layout.Codes())
			r.LandCells(i, l.Cells, state.Offset[i])
		} else {
			state.Offset[i] = make([]int, r.Controls(i))
			r.Land(i, l.Asked, state.Offset[i])
		}
	}
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(&state, frames)
	var out []SheetSlots
	for i := range n {
		src := &s.Rig.Sources[i]
		if src.Hand || src.Profile == nil {
			continue
		}
		u := slices.Index(r.Universes(), src.Universe)
		for _, address := range src.Addresses {
			unit := SheetSlots{Source: src.Name, Universe: src.Universe, Address: address}
			for k := range src.Profile.Footprint() {
				if at := address - 1 + k; u >= 0 && at >= 0 && at < fixtures.UniverseSize {
					unit.Values = append(unit.Values, int(frames[u][at]))
				}
			}
			out = append(out, unit)
		}
	}
	return out
}

// LightInShort is the light of a cue in a line: "key sky, left stroke -1 stop".
func LightInShort(s *cue.Shoot, r *cue.Resolved) string {
	var words []string
	key := s.Key()
	for i := range r.Light {
		l := &r.Light[i]
		switch {
		case !(l.Asked.Y > 0):
		case i == key:
			words = slices.Insert(words, 0, "key "+s.Rig.Sources[i].Name)
		case math.IsNaN(l.KeyStops) || math.IsInf(l.KeyStops, 0):
			words = append(words, s.Rig.Sources[i].Name+" "+l.Level)
		default:
			words = append(words, s.Rig.Sources[i].Name+" "+strings.TrimSuffix(strings.TrimSuffix(SignedStops(l.KeyStops), "s"), " stop"))
		}
	}
	if len(words) == 0 {
		return "no light"
	}
	return strings.Join(words, ", ") + " stops"
}
