package plan

import (
	"context"
	"image"
	"math"
	"slices"

	"limn/cue"
	"limn/fixtures/reflect"
)

// Picture draws the cue as its camera sees it: exposed as the camera is set, or,
// where its settings are not known or even is asked for, so that the brighter parts
// of the subject's body come out as middle grey. Nil where the cue has no scene. The
// error is that of the context.
func (c *CueMirror) Picture(ctx context.Context, s *cue.Shoot, size reflect.Size, even bool, effort reflect.Effort) (*image.RGBA, error) {
	if c.scene == nil {
		return nil, nil //nolint:nilnil // Missing tells why there is none
	}
	linear, err := reflect.Picture(ctx, c.scene, size, effort)
	if err != nil {
		return nil, err
	}
	grey := c.grey
	if even || !(grey > 0) {
		grey = middle(linear)
	}
	return linear.Encode(reflect.Exposure{Grey: grey, White: s.Camera.White.XY()}), nil
}

// MetersItself says whether a picture as the camera is set would have to be exposed
// by its own light, since the camera's settings are not known.
func (c *CueMirror) MetersItself() bool { return !(c.grey > 0) }

// middle is a grey for a picture that nobody set a camera for: what its upper
// quarter of lit pixels comes to.
func middle(l *reflect.Linear) float64 {
	var lit []float64
	for y := range l.Size.Height {
		for x := range l.Size.Width {
			if v := l.At(x, y); v > 0 {
				lit = append(lit, v)
			}
		}
	}
	if len(lit) == 0 {
		return 1
	}
	slices.Sort(lit)
	v := lit[len(lit)*3/4]
	if math.IsNaN(v) || v <= 0 {
		return 1
	}
	return v
}
