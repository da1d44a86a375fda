package timeline

import (
	"math"

	"limn/cue"
	"limn/fixtures/colour"
)

// A source that is identified swells about the level it has, and the rest stand
// lower, so that it can be found from across the room. One swell takes two
// seconds: a sixth of the three a second above which general flashes may harm
// (ITU-R BT.1702).
const (
	swellFrames = 2 * Rate // of one swell
	swellStops  = 0.75     // up and down from where it stands
	dipStops    = 1.0      // that the rest stand lower
)

// sines is one swell, frame by frame. It follows the player's own frames, so that it is held
// where light is held.
var sines = func() (s [swellFrames]float64) {
	for i := range s {
		s[i] = math.Sin(2 * math.Pi * float64(i) / swellFrames)
	}
	return s
}()

// swelling is the factor of a light that swells by stops at frame f.
func swelling(stops float64, f int64) float64 {
	return math.Exp2(float64(stops * sines[((f%swellFrames)+swellFrames)%swellFrames]))
}

// identify makes a target swell, or dip beside one that does. A source that is off
// swells from the level to aim it by; one near its most from so far below that
// it can swell.
func (p *Player) identify(t *target, scene *cue.Resolved, i int, it bool) {
	if !it {
		p.scale(t, i, math.Exp2(-dipStops))
		return
	}
	if t.light == (colour.XYZ{}) {
		*t = target{light: p.aimed(scene, i)}
	}
	t.swell = swellStops
	room := 1.0
	of := func(c colour.XYZ) {
		if xy, lit := c.XY(); lit {
			room = min(room, p.landings.renderer.Reach(i, xy).MaxY/float64(c.Y*math.Exp2(swellStops)))
		}
	}
	of(t.light)
	for _, c := range t.cells {
		of(c)
	}
	if room < 1 {
		p.scale(t, i, room)
	}
}
