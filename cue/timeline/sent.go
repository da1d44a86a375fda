package timeline

import (
	"slices"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// sentHandOver is the most frames that the way to slots sent before may take,
// once the light has arrived. Those slots may lie far from what the solver makes
// of the same light today: code by code, 16 bits could take minutes.
const sentHandOver = 2 * Rate

// A landed is a light with the codes that it lands on.
type landed struct {
	light   colour.XYZ
	cells   []colour.XYZ // nil: all alike
	landing []int        // added to the moving rule's
}

// exactly is how a source comes to give the slots of frames: the light that they
// are by a renderer's idea of it, and the way from what that makes of this light.
func exactly(r *fixtures.Renderer, i int, frames [][fixtures.UniverseSize]byte) *landed {
	layout := r.Layout(i)
	cells := make([]colour.XYZ, layout.Cells)
	r.ReadCells(i, frames, cells)
	plain := make([]int, r.Controls(i))
	r.LandOn(i, cells[0], nil, frames, plain)
	if layout.Cells == 1 {
		return &landed{light: cells[0], landing: nilIfZero(plain)}
	}
	row, alike := make([]int, layout.Codes()), make([]int, layout.Codes())
	r.LandOn(i, cells[0], cells, frames, row)
	layout.Spread(plain, alike)
	differ := slices.ContainsFunc(cells, func(c colour.XYZ) bool { return c != cells[0] })
	if !differ && slices.Equal(row, alike) { // else cells of one light have codes of their own, as in the dark under a master
		return &landed{light: cells[0], landing: nilIfZero(plain)}
	}
	return &landed{fixtures.Mean(cells), cells, nilIfZero(row)}
}

// framesOf lays slots out as a renderer does. A universe that is not among them
// is left dark, and its sources are not had: has says so.
func framesOf(r *fixtures.Renderer, slots map[int][fixtures.UniverseSize]byte) (frames [][fixtures.UniverseSize]byte, has func(universe int) bool) {
	frames = make([][fixtures.UniverseSize]byte, len(r.Universes()))
	for n, u := range r.Universes() {
		frames[n] = slots[u]
	}
	return frames, func(universe int) bool { _, ok := slots[universe]; return ok }
}

// sent is a scene played as it was sent: each source's light is what the slots
// mean today, and rows say how it lands on them. Sources set by hand, those whose
// universe was not sent, and those that anything laid over the written cue
// changes are as in the scene: their rows are nil. The renderer is in use.
func (p *Player) sent(written, scene *cue.Resolved, s *Sent) (*cue.Resolved, []*landed) {
	r := p.landings.renderer
	frames, has := framesOf(r, s.Slots)
	out := *scene
	out.Light = make([]cue.Light, len(scene.Light))
	copy(out.Light, scene.Light)
	rows := make([]*landed, len(scene.Light))
	for i := range rows {
		src := &p.shoot.Rig.Sources[i]
		w, l := &written.Light[i], &scene.Light[i]
		if r.Controls(i) == 0 || !has(src.Universe) || w.Asked != l.Asked || !slices.Equal(w.Cells, l.Cells) {
			continue
		}
		rows[i] = exactly(r, i, frames)
		p.shoot.Relit(r, &out, i, rows[i].light, rows[i].cells)
	}
	return &out, rows
}
