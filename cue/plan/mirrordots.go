package plan

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/reflect"
)

// MirrorDots says whether the diodes of one source show in the varnish.
type MirrorDots struct {
	Source  int
	Name    string
	Missing string // what would have to be written; "" = it is known
	Show    bool

	InPaint    Figure // ripple, ± percent
	HideBehind Figure // mm from the diodes to the diffuser; each of these by itself hides them
	HideNumber Figure // f-number to open to
	HideSource Figure // mm from the paint to the source
	Say        string
}

// needPitch is what whether diodes show needs.
const needPitch = `led-pitch = "6 mm", from diode to diode, and led-depth = "10 mm", from them to the diffuser`

var (
	lawDots = law{
		"ripple of the diffuser by a grid of cosⁿ emitters, times |2·J1(πq)/(πq)| of the lens's blur of q dot pitches",
		"sum over the grid; Airy's function of a blur disc (geometric)", "full diffusion; the camera focused on the paint; away from the panel's edge",
	}
	lawHide = law{"the same, solved for what leaves no more than is seen", "as the ripple", "everything else as it is"}
)

// dots asks for each lit source how its diodes show.
func (c *CueMirror) dots(s *cue.Shoot, l *lens, images []reflect.Image) {
	for i := range s.Rig.Sources {
		own := lightNamed(c.scene, s.Rig.Sources[i].Name)
		if own < 0 {
			continue
		}
		e := s.Emission(i)
		if e.Bounce >= 0 { // the camera sees the card
			continue
		}
		if e.LEDPitch.Metres == 0 {
			if !c.scene.Lights[own].Diffused && !s.Rig.Sources[i].Hand { // bare or thin: they may show
				c.Dots = append(c.Dots, MirrorDots{Source: i, Name: s.Rig.Sources[i].Name, Missing: needPitch})
			}
			continue
		}
		c.Dots = append(c.Dots, c.dotsOf(i, &s.Rig.Sources[i], &e, l, own, images))
	}
}

// lightNamed finds a source in a scene, -1 if it is not in it.
func lightNamed(s *reflect.Scene, name string) int {
	for i := range s.Lights {
		if s.Lights[i].Name == name {
			return i
		}
	}
	return -1
}

func (c *CueMirror) dotsOf(i int, src *fixtures.Source, e *cue.Emission, l *lens, own int, images []reflect.Image) MirrorDots {
	d := MirrorDots{Source: i, Name: src.Name}
	if !l.marked.ok() {
		d.Missing = l.marked.missing
		return d
	}
	face := c.scene.Lights[own].Face
	if !c.scene.Lights[own].Rides {
		face = face.Turn(-c.scene.Azimuth) // as images have it: in the subject's own axes
	}
	camera := c.scene.Camera.Place.Turn(-c.scene.Azimuth)
	toSource, toCamera := face.Middle.Len(), camera.Len() // by way of the aim point where the camera sees no image
	for k := range images {
		if im := &images[k]; !im.Card && im.Own == own {
			toSource, toCamera = face.Middle.Sub(im.At).Len(), camera.Sub(im.At).Len()
			break
		}
	}
	q := reflect.Dots{
		Pitch: 1000 * e.LEDPitch.Metres, Behind: 1000 * e.LEDDepth.Metres, Focal: l.focal.value, Number: l.marked.value,
		Source: 1000 * toSource, Camera: 1000 * toCamera,
	}
	v, err := q.Verdict()
	if err != nil {
		d.Missing = err.Error()
		return d
	}
	inputs := []Input{
		{"pitch", "mm", "from diode to diode", q.Pitch},
		{"behind", "mm", "from the diodes to the diffuser", q.Behind},
		{"f", "mm", "focal length", q.Focal},
		{"N", "", "f-number", q.Number},
		{"source", "mm", "from the paint to the source", q.Source},
		{"camera", "mm", "from the camera to the paint", q.Camera},
	}
	d.Show = v.Show
	d.InPaint = lawDots.figure("dots-in-paint", "ripple of the diodes in the paint, ±", "%", v.InPaint, inputs...).as(unit(2, "%"))
	hide := func(key, title, u string, value float64, write func(float64) string) Figure {
		if value == 0 {
			why := "nothing: they do not show"
			if v.Show {
				why = "another way: this alone cannot hide them"
			}
			return lawHide.absent(key, title, u, why)
		}
		return lawHide.figure(key, title, u, value, inputs...).as(write)
	}
	mm := func(v float64) string { return Near(v / 1000) }
	d.HideBehind = hide("hide-behind", "diodes that far behind the diffuser hide", "mm", v.HideBehind, func(v float64) string { return significant(v, 2) + " mm" })
	d.HideNumber = hide("hide-aperture", "opening to this aperture hides them", "", v.HideNumber, func(n float64) string { return FNumber(exactMark(n)) })
	d.HideSource = hide("hide-distance", "the source that far from the paint hides them", "mm", v.HideSource, mm)
	d.words(&v, &q)
	return d
}

// farStand is how many times further away a light may be asked to stand: beyond
// that nobody moves it.
const farStand = 4.0

func (d *MirrorDots) words(v *reflect.DotsVerdict, q *reflect.Dots) {
	if !v.Show {
		d.Say = fmt.Sprintf("the diodes of %s do not show at %s: ±%s in the paint, ±%g %% would be seen", d.Name, FNumber(q.Number), d.InPaint.Text, reflect.VisibleRipple)
		if v.OnDiffuser > reflect.VisibleRipple {
			d.Say += fmt.Sprintf("; the diffuser alone has ±%s %%, so mind stopping down", significant(math.Round(10*v.OnDiffuser)/10, 2))
		}
		return
	}
	var ways []string
	if d.HideBehind.Known() {
		ways = append(ways, fmt.Sprintf("the diodes %s behind the diffuser instead of %s mm", d.HideBehind.Text, significant(q.Behind, 2)))
	}
	if d.HideNumber.Known() {
		ways = append(ways, "opening to "+d.HideNumber.Text)
	}
	if d.HideSource.Known() && d.HideSource.Value <= farStand*q.Source {
		ways = append(ways, fmt.Sprintf("the light %s from the paint instead of %s", d.HideSource.Text, Near(q.Source/1000)))
	}
	d.Say = fmt.Sprintf("the diodes of %s show at %s: ±%s in the paint, ±%g %% is seen", d.Name, FNumber(q.Number), d.InPaint.Text, reflect.VisibleRipple)
	if len(ways) > 0 {
		d.Say += "; what hides them: " + strings.Join(ways, ", or ")
	}
}
