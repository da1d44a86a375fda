package plan

import (
	"math"

	"limn/cue"
	"limn/fixtures/reflect"
	"limn/fixtures/space"
)

// Highlight is the mirror image of a source in the subject's coat, where the
// surface faces midway between source and camera.
type Highlight struct {
	Source    int
	Name      string
	Incidence float64 // degrees
	Over      Figure  // stops over the mid-tone
	Left      Figure  // stops from there to clipping; below 0 it clips
}

var lawLeftOver = law{"headroom - stops over the mid-tone", "ISO 12232 or the camera's measured headroom", "a smooth coat; moving the source away changes the highlight's size, never its brightness"}

// headroomOf is how far above the mid-tone the camera clips.
func headroomOf(s *cue.Shoot, l *lens) Figure {
	if s.Camera.HasHeadroom {
		f := law{"as written: [camera] headroom", "measured", ""}.figure("headroom", "from mid-tone to clipping", "stops", s.Camera.Headroom.Stops)
		return f.as(Stops)
	}
	return ask("headroom", "from mid-tone to clipping", "exp-headroom", "stops_to_saturation", with("K", is(l.meterK)), with("S", l.iso)).as(Stops)
}

// highlights finds how bright the lit sources show in the coat.
func (k *reckoner) highlights(light *Light, l *lens) []Highlight {
	surface := &k.shoot.Subject.Surface
	if surface.Matt {
		return nil
	}
	index := surface.Index
	if index == 0 {
		index = reflect.ClearCoat
	}
	camera := space.At(0, l.elevation, 1)
	room := headroomOf(k.shoot, l)
	var out []Highlight
	for i := range light.Sources {
		src := &light.Sources[i]
		if !src.emits() {
			continue
		}
		cos := src.emitter.place.Unit().Dot(camera)
		h := Highlight{Source: i, Name: src.Name, Incidence: math.Acos(math.Max(-1, math.Min(1, cos))) / 2 * 180 / math.Pi}
		share := ask("", "", "ref-fresnel", "R", with("n", is(index)), with("theta_deg", is(h.Incidence)))
		seen := src.Luminance.known()
		if seen.ok() {
			seen.value *= l.loss
		}
		h.Over = ask("over-mid", src.Name+" mirrored, over the mid-tone", "ref-stops", "stops_over_mid",
			with("R", share.known()), with("L", seen), with("N", l.exposing()), with("t", l.seconds), with("S", l.iso), with("K", is(l.meterK))).as(SignedStops)
		if missing := missingOf([]term{with("", h.Over.known()), with("", room.known())}); missing != "" {
			h.Left = lawLeftOver.absent("to-clip", src.Name+" mirrored, left to clipping", "stops", missing)
		} else {
			h.Left = lawLeftOver.figure("to-clip", src.Name+" mirrored, left to clipping", "stops", room.Value-h.Over.Value,
				Input{"headroom", "stops", "from mid-tone to clipping", room.Value}, Input{"over", "stops", "over the mid-tone", h.Over.Value}).as(SignedStops)
		}
		out = append(out, h)
	}
	return out
}
