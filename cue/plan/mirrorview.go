package plan

import (
	"fmt"

	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

// InView is a source or card that stands in the picture itself.
type InView struct {
	Name  string
	Card  bool
	Share Figure // percent of the picture
	Hides Figure // percent of what would be seen of the subject
	Say   string
}

// viewColumns is how many rays across the picture are followed: a card that covers
// less than a five-hundredth of a picture may be missed.
const viewColumns = 144

var lawView = law{"rays from the camera, counted", "straight lines", "within a hundredth of the picture"}

// inView finds what of lights and cards the camera sees directly.
func inView(s *reflect.Scene) []InView {
	type thing struct {
		InView
		face         space.Face
		seen, before int
	}
	var things []thing
	add := func(name string, card, rides bool, f space.Face) {
		if rides {
			f = f.Turn(s.Azimuth)
		}
		things = append(things, thing{InView: InView{Name: name, Card: card}, face: f})
	}
	for i := range s.Lights {
		add(s.Lights[i].Name, false, s.Lights[i].Rides, s.Lights[i].Face)
	}
	for i := range s.Cards {
		add(s.Cards[i].Name, true, s.Cards[i].Rides, s.Cards[i].Face)
	}
	camera := s.Camera.Place
	ahead := s.Camera.LooksAt.Sub(camera).Unit()
	right := ahead.Cross(space.Vec{Z: 1})
	if right.Len() < 1e-9 { // straight down: any way across
		right = space.Vec{X: 1}
	}
	right = right.Unit()
	up := right.Cross(ahead)
	// The sensor stands further behind the lens than its focal length, focused on what
	// it looks at: 1/v = 1/f - 1/u.
	u := s.Camera.LooksAt.Sub(camera).Len()
	v := s.Camera.Focal * u / (u - s.Camera.Focal)
	rows := max(1, int(viewColumns*s.Camera.SensorHeight/s.Camera.SensorWidth+0.5))
	rays, subject := 0, 0
	for y := range rows {
		for x := range viewColumns {
			a := ((float64(x)+0.5)/viewColumns - 0.5) * s.Camera.SensorWidth / v
			b := (0.5 - (float64(y)+0.5)/float64(rows)) * s.Camera.SensorHeight / v
			way := ahead.Add(right.Mul(a)).Add(up.Mul(b))
			rays++
			hit, on := s.Form.Hit(camera.Turn(-s.Azimuth), way.Turn(-s.Azimuth), 0)
			if on {
				subject++
			}
			first, nearest := -1, 0.0
			for i := range things {
				along, _, _, met := things[i].face.Hit(camera, way)
				if !met || along <= 0 || on && along >= hit.Along || first >= 0 && along >= nearest {
					continue
				}
				first, nearest = i, along
			}
			if first >= 0 {
				things[first].seen++
				if on {
					things[first].before++
				}
			}
		}
	}
	var out []InView
	for i := range things {
		t := &things[i]
		if t.seen == 0 {
			continue
		}
		percent := func(v float64) string { return fmt.Sprintf("%s %%", significant(v, 2)) }
		t.Share = lawView.figure("in-picture", t.Name+" in the picture itself", "%", 100*float64(t.seen)/float64(rays)).as(percent)
		hides := 0.0
		if subject > 0 {
			hides = 100 * float64(t.before) / float64(subject)
		}
		t.Hides = lawView.figure("hides", "of the subject that "+t.Name+" hides", "%", hides).as(percent)
		kind := ""
		if t.Card {
			kind = "card "
		}
		if t.before > 0 {
			t.Say = fmt.Sprintf("%s%s stands before the subject and hides %s of it", kind, t.Name, t.Hides.Text)
		} else {
			t.Say = fmt.Sprintf("%s%s is in the picture itself, %s of it", kind, t.Name, t.Share.Text)
		}
		out = append(out, t.InView)
	}
	return out
}
