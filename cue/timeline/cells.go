package timeline

import (
	"limn/cue/fade"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// cells is the part of a change in which the cells of a strip have light of
// their own: before it, after it, or both. A plain light is one whose cells are
// alike, so each cell fades by itself from what it had to what it is asked, and
// rows of codes have those of every cell. Where the strip ends up plain, it is
// plain again once it has landed.
type cells struct {
	way     []fade.Fade // of each cell
	alike   bool        // once landed
	landing []int       // of a strip that is alike then: laid out as a plain light's
}

// differs says whether the cells have light or codes of their own at frame f.
func (c *change) differs(f int64) bool {
	return c.cells != nil && !(c.cells.alike && f >= c.landed)
}

// cell is what is asked of cell j at frame f.
func (c *change) cell(j int, f int64, w swept) colour.XYZ {
	if !c.differs(f) {
		return c.light(f, w)
	}
	return c.bent(c.wayOf(j, f), f, w.cell(j))
}

// wayOf is the light of cell j at frame f by its way alone: where it began for
// one that follows the table.
func (c *change) wayOf(j int, f int64) colour.XYZ {
	way := &c.cells.way[j]
	if c.gain > 0 && f < c.there {
		return way.From()
	}
	return way.At(c.part(f))
}

// newCells makes the fades of a strip's cells from what c has come to at frame
// f; same says that no cell changes.
func (c *change) newCells(f int64, w swept, t *task, layout fixtures.Layout, centre colour.UV) (n *cells, same bool) {
	n, same = &cells{way: make([]fade.Fade, layout.Cells), alike: t.cells == nil}, true
	for j := range n.way {
		from, to := c.cell(j, f, w), t.to
		if t.cells != nil {
			to = t.cells[j]
		}
		n.way[j] = fade.New(t.curve, t.path, from, to, centre)
		same = same && from == to
	}
	return n, same
}

// spread lays out rows of codes for all cells that were a plain light's.
func (n *change) spread(left, landing bool, layout fixtures.Layout) {
	if !left {
		n.left = spread(n.left, layout)
	}
	if !landing {
		n.cells.landing = n.landing
		n.landing = spread(n.landing, layout)
	}
}

func spread(alike []int, layout fixtures.Layout) []int {
	if alike == nil {
		return nil
	}
	row := make([]int, layout.Codes())
	layout.Spread(alike, row)
	return row
}

// mean is the light of the strip at frame f.
func (c *change) mean(f int64, w swept) colour.XYZ {
	var m fixtures.MeanLight
	for j := range c.cells.way {
		m.Add(c.bent(c.wayOf(j, f), f, w.cell(j)))
	}
	return m.Value()
}

// fillCells writes the light of every cell at frame f, at which they differ.
func (c *change) fillCells(f int64, w swept, row []colour.XYZ) {
	for j := range row {
		row[j] = c.bent(c.wayOf(j, f), f, w.cell(j))
	}
}
