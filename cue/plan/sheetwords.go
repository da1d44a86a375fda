package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// SheetColour is a colour as a crew reads it: a white as kelvin and tint, any as xy.
type SheetColour struct {
	Kelvin string // "5600 K"; "" = it is no white
	Tint   string // "tint green 0.003"; "no tint"; "" = it is no white
	XY     string // "0.3291 0.3420"
	Note   string
}

// whiteWithin is how far from the Planckian locus a light is still read as a white:
// the quadrangles of ANSI C78.377 reach 0.006, and a panel of two whites sags to
// 0.0055 between them.
const whiteWithin = 0.007

func colourOf(c colour.XYZ) SheetColour {
	xy, ok := c.XY()
	if !ok {
		return SheetColour{}
	}
	out := SheetColour{XY: fmt.Sprintf("%.4f %.4f", xy.X, xy.Y)}
	if w, ok := xy.White(); ok && math.Abs(w.Duv) <= whiteWithin {
		out.Kelvin = fmt.Sprintf("%.0f K", roundKelvin(w.Kelvin))
		out.Tint = "no tint"
		if math.Abs(w.Duv) >= 0.0005 {
			out.Tint = w.Tint()
		}
	}
	return out
}

// roundKelvin rounds as whites are told on a set: to 10 K.
func roundKelvin(k float64) float64 { return math.Round(k/10) * 10 }

// sizeWords is "0.60 m x 0.40 m", "" where nobody wrote it.
func sizeWords(w, h string, none bool) string {
	if none {
		return ""
	}
	return w + " x " + h
}

// placeWords is a place as it is called across the set.
func placeWords(p *fixtures.Place) string {
	if !p.Known {
		return ""
	}
	words := []string{degrees(p.Azimuth.Degrees)}
	switch e := p.Elevation.Degrees; {
	case e > 0:
		words = append(words, degrees(e)+" up")
	case e < 0:
		words = append(words, degrees(-e)+" down")
	default:
		words = append(words, "level")
	}
	words = append(words, p.Distance.String())
	if p.Rides {
		words = append(words, "rides on the table")
	}
	return strings.Join(words, ", ")
}

func degrees(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + "°" }

// subjectFacts tell of the model.
func subjectFacts(s *cue.Shoot) []Fact {
	sub := &s.Subject
	var out []Fact
	add := func(name, text string, ok bool) {
		if ok {
			out = append(out, Fact{name, text})
		}
	}
	full := func(metres float64) string { return " (" + Far(metres*sub.Scale) + " at full size)" }
	add("scale", fmt.Sprintf("1:%g", sub.Scale), sub.Scale > 0)
	add("length", sub.Length.String()+full(sub.Length.Metres), !sub.Length.IsZero())
	add("width", sub.Width.String()+full(sub.Width.Metres), !sub.Width.IsZero())
	add("height", sub.Height.String()+full(sub.Height.Metres)+"; the aim point is half of it above the table", !sub.Height.IsZero())
	table := "turned by hand"
	if !s.Turntable.Hand {
		table = "driven as " + s.Turntable.Drive
	}
	add("turntable", table, s.Turntable.Hand || s.Turntable.Drive != "")
	return out
}

// cameraFacts tell of the camera as the rig has it.
func cameraFacts(s *cue.Shoot) []Fact {
	c := &s.Camera
	var out []Fact
	add := func(name, text string, ok bool) {
		if ok {
			out = append(out, Fact{name, text})
		}
	}
	add("sensor", c.Sensor.String(), !c.Sensor.IsZero())
	add("lens", c.Focal.String(), !c.Focal.IsZero())
	add("distance", c.Distance.String()+" from sensor mark to table axis", !c.Distance.IsZero())
	add("height", c.Height.String()+" of the lens above the table", !c.Height.IsZero())
	add("elevation", degrees(c.Elevation.Degrees), c.HasElevation)
	settings := CameraSettings(s, &cue.Resolved{})
	add("settings", settings, settings != "")
	add("neutral filters", fmt.Sprintf("ND %g", c.ND), c.ND > 0)
	add("white", c.WhiteSpec.String(), c.WhiteSpec.String() != "")
	add("headroom", c.Headroom.String(), c.HasHeadroom)
	return out
}

// sources is the source list.
func (o *Sheet) sources(s *cue.Shoot) {
	for i := range s.Rig.Sources {
		src := &s.Rig.Sources[i]
		l := SheetSource{
			Name: src.Name, Role: string(src.Role), Size: sizeWords(src.Width.String(), src.Height.String(), src.Width.IsZero()),
			Place: placeWords(&src.Place), Diffusion: src.Diffusion, Note: src.Note,
		}
		switch {
		case src.Hand:
			l.Profile, l.Patch = "set by hand", "none"
		case src.Profile != nil:
			l.Profile = src.Profile.Name
			var at []string
			for _, a := range src.Addresses {
				at = append(at, fmt.Sprintf("%d to %d", a, a+src.Profile.Footprint()-1))
			}
			l.Patch = fmt.Sprintf("universe %d, slots %s", src.Universe, strings.Join(at, ", "))
		}
		if src.Full > 0 {
			l.Full = Lux(src.Full)
		}
		if e := s.Emission(i); e.Bounce >= 0 {
			l.Place += "; turned to the card " + s.Cards[e.Bounce].Name
		}
		o.Sources = append(o.Sources, l)
	}
}

// cards is the card list.
func (o *Sheet) cards(s *cue.Shoot, slates []string) {
	for i := range s.Cards {
		card := &s.Cards[i]
		l := SheetCard{Name: card.Name, Kind: card.Kind, Size: sizeWords(card.Width.String(), card.Height.String(), card.Width.IsZero()), Note: card.Note}
		for k := range o.Cues {
			for _, p := range s.Resolved[o.Cues[k].Cue].Cards {
				if p.Card == i && !p.Out && p.Place.Known {
					l.In = append(l.In, slates[o.Cues[k].Cue])
				}
			}
		}
		o.Cards = append(o.Cards, l)
	}
}
