package timeline

import (
	"encoding/binary"
	"math"
	"sync"

	"limn/cue"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// landings remembers, for every light a source was prepared for, how far the
// still rule's codes lie from the moving rule's. A row is a function of source
// and light alone, so that a cue lands on the same bytes by whatever way it was
// reached. Safe for use by several goroutines; a reader never waits for a row
// that another is working out.
type landings struct {
	mu   sync.Mutex
	rows map[landingKey][]int

	work     sync.Mutex // held while the renderer's scratch is in use
	renderer *fixtures.Renderer
}

type landingKey struct {
	source int
	light  colour.XYZ
	cells  string // of a ramp: the bits of them all
}

// maxRows bounds what is remembered: as many lights as a shoot can hold.
const maxRows = cue.MaxLights

// bits tells the cells of ramps apart.
func bits(cells []colour.XYZ) string {
	b := make([]byte, 0, 24*len(cells))
	for _, c := range cells {
		for _, x := range [...]float64{c.X, c.Y, c.Z} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
	}
	return string(b)
}

func newLandings(r *fixtures.Renderer) *landings {
	return &landings{rows: map[landingKey][]int{}, renderer: r}
}

// of is the row of a light, nil for zeros; of a strip whose cells differ, that of
// all cells. It takes up to milliseconds a cell the first time; the row must not
// be written to.
func (l *landings) of(source int, light colour.XYZ, cells []colour.XYZ) []int {
	key := landingKey{source: source, light: light}
	if cells != nil {
		key.cells = bits(cells)
	}
	if row, ok := l.known(key); ok {
		return row
	}
	l.work.Lock()
	defer l.work.Unlock()
	if row, ok := l.known(key); ok {
		return row // by who had the renderer before
	}
	row := nilIfZero(l.land(source, light, cells))
	l.mu.Lock()
	if len(l.rows) >= maxRows {
		clear(l.rows) // to be worked out again as they are met
	}
	l.rows[key] = row
	l.mu.Unlock()
	return row
}

func (l *landings) land(source int, light colour.XYZ, cells []colour.XYZ) []int {
	if cells == nil {
		row := make([]int, l.renderer.Controls(source))
		l.renderer.Land(source, light, row)
		return row
	}
	row := make([]int, l.renderer.Layout(source).Codes())
	l.renderer.LandCells(source, cells, row)
	return row
}

func (l *landings) known(key landingKey) ([]int, bool) {
	l.mu.Lock()
	row, ok := l.rows[key]
	l.mu.Unlock()
	return row, ok
}
