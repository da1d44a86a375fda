package plan

import (
	"fmt"
	"math"

	"limn/cue"
	"limn/cue/camera"
	"limn/fixtures/colour"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

// MissingError says what would have to be written for a scene.
type MissingError struct{ Missing string }

func (e *MissingError) Error() string { return "needs " + e.Missing }

// DefaultBody is the reflectance of a body nobody wrote one of: middle grey.
const DefaultBody = 0.18

// FormOf is the subject as a form that can be seen and mirrored. A mesh that was
// read stands for a subject that has one; without it, and without a form, the
// bounding box does. The error is a *MissingError, or of package reflect.
func FormOf(s *cue.Subject, mesh *reflect.Mesh) (reflect.Form, error) {
	l, w, h := s.Length.Metres, s.Width.Metres, s.Height.Metres
	switch s.Form.Kind {
	case cue.FormMesh:
		if mesh != nil {
			return mesh, nil
		}
	case cue.FormSphere:
		if d := max(l, w, h); d > 0 {
			return reflect.Sphere{Radius: d / 2}, nil
		}
		return nil, &MissingError{needLength}
	case cue.FormCylinder:
		if d := max(l, w); d > 0 && h > 0 {
			return reflect.Cylinder{Radius: d / 2, Height: h}, nil
		}
		return nil, &MissingError{missingOf([]term{with("", written(max(l, w), needLength)), with("", written(h, needHeight))})}
	}
	if missing := missingOf([]term{with("", written(l, needLength)), with("", written(w, needWidth)), with("", written(h, needHeight))}); missing != "" {
		return nil, &MissingError{missing}
	}
	if s.Form.Kind != cue.FormHull {
		return reflect.Box{Length: l, Width: w, Height: h}, nil
	}
	sections := make([]reflect.Section, len(s.Form.Sections))
	for i, from := range s.Form.Sections {
		sections[i].At = from.At
		for _, p := range from.Points {
			sections[i].Points = append(sections[i].Points, reflect.Outline{Half: p[0], Height: p[1]})
		}
	}
	hull, err := reflect.Hull(sections, l, w, h)
	if err != nil {
		return nil, fmt.Errorf("the sections of %s: %w", s.Name, err)
	}
	return hull, nil
}

// SurfaceOf is what the subject is finished with: clear coat over middle grey
// where nothing is written.
func SurfaceOf(s *cue.Subject) reflect.Surface {
	out := reflect.Surface{Index: s.Surface.Index, Reflectance: [3]float64{DefaultBody, DefaultBody, DefaultBody}, Spread: s.Surface.Gloss.Degrees}
	if s.Surface.HasBody {
		out.Reflectance = s.Surface.Body
	}
	switch {
	case s.Surface.Matt:
		out.Index = 1
	case out.Index == 0:
		out.Index = reflect.ClearCoat
	}
	return out
}

// SceneOf is a resolved cue as its camera sees it: every lit source of a known
// face and light, in its colour, and every card that stands. Notes name what is
// left out and why. Grey is the luminance that comes out as middle grey, NaN where
// the camera's settings are not known. The error is a *MissingError, or that of a
// rig that cannot be compiled.
func SceneOf(s *cue.Shoot, r *cue.Resolved, form reflect.Form) (scene *reflect.Scene, grey float64, notes []string, err error) {
	k, err := newReckoner(s, nil)
	if err != nil {
		return nil, math.NaN(), nil, err
	}
	l := lensOf(s, &r.Camera)
	if missing := missingOf([]term{with("", l.focus), with("", l.width), with("", l.height)}); missing != "" {
		return nil, math.NaN(), nil, &MissingError{missing}
	}
	scene = &reflect.Scene{Form: form, Azimuth: r.Azimuth, Surface: SurfaceOf(&s.Subject)}
	scene.Camera = reflect.Camera{
		Place: space.At(0, l.elevation, l.focus.value/1000), Focal: l.focal.value / 1000,
		SensorWidth: l.width.value / 1000, SensorHeight: l.height.value / 1000, FNumber: l.marked.or(0).value,
	}
	if room := s.Room.Ambient.Lux; room > 0 {
		scene.Background = s.Camera.White.XY().XYZ(room / math.Pi)
	}
	taken := map[int]bool{} // cards that shine as a source
	for i := range s.Rig.Sources {
		src := k.source(r, i)
		if !src.Lit {
			continue
		}
		if light, why := k.lightOf(r, &src); why == "" {
			scene.Lights = append(scene.Lights, light)
			taken[src.bounce] = true
		} else {
			notes = append(notes, src.Name+" is left out: needs "+why)
		}
	}
	for i := range s.Cards {
		face, place := cardFace(s, r, i)
		switch {
		case !place.Known || taken[i]:
		case face.Area() == 0:
			notes = append(notes, "the card "+s.Cards[i].Name+" is left out: needs "+needSize(s.Cards[i].Name))
		default:
			scene.Cards = append(scene.Cards, reflect.Card{Name: s.Cards[i].Name, Face: home(face, place.Rides, r.Azimuth), Reflectance: reflectanceOf(&s.Cards[i]), Rides: place.Rides})
		}
	}
	grey = math.NaN()
	if n := l.exposing(); n.ok() && l.seconds.ok() && l.iso.ok() {
		grey = camera.Luminance(n.value, l.seconds.value, l.iso.value, l.meterK) / l.loss
	}
	return scene, grey, notes, nil
}

// lightOf is a source as a face that shines; why says what is missing for it.
func (k *reckoner) lightOf(r *cue.Resolved, src *SourceLight) (light reflect.Light, why string) {
	if !src.Luminance.Known() {
		return light, src.Luminance.Missing
	}
	fixture := &k.shoot.Rig.Sources[src.Source]
	asked := r.Light[src.Source].Asked
	place, _ := placeOf(k.shoot, r, src.Source)
	light = reflect.Light{Name: src.Name, Face: src.emitter.face, Diffused: lossOf(fixture).Full}
	scale := src.Luminance.Value / asked.Y
	light.Luminance = colour.XYZ{X: asked.X * scale, Y: asked.Y * scale, Z: asked.Z * scale}
	if src.bounce >= 0 {
		_, place = cardFace(k.shoot, r, src.bounce)
		light.Diffused = true
	}
	light.Rides = place.Rides
	light.Face = home(light.Face, place.Rides, r.Azimuth)
	return light, ""
}

// home is a face as it stands with the table at 0.
func home(f space.Face, rides bool, azimuth float64) space.Face {
	if rides {
		return f.Turn(-azimuth)
	}
	return f
}
