package main

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"limn/cue"
	"limn/fixtures/colour"
)

// scene is one instant of the demo: what the shoot asks for, and what the
// receiver reads back from the slots that reached it. Pure data.
type scene struct {
	subject string
	scale   float64
	where   string // the receiver's address

	cue, angle, next string
	azimuth          float64
	motion           cue.Motion
	progress         float64
	hands            []string // what hands have to do for this cue
	rows             []sceneRow
	limits           []string // sources that cannot make what is asked

	sent, received, lost int64
}

type sceneRow struct {
	name, role string
	hand, key  bool
	stops      float64 // against the key
	asked      colour.XYZ
	read       colour.XYZ // by the receiver
	level      float64    // of read, a share of the most at that colour
}

// The exposure ruler: stops against the key, two cells each.
const (
	rulerFrom, rulerTo = -6, 2
	rulerCells         = (rulerTo-rulerFrom)*2 + 1
	rulerKey           = -rulerFrom * 2
)

// Columns, and the widths below which the ruler, the role, the level and the bar
// of a fade are left out.
const (
	nameWidth   = 14
	roleWidth   = 10
	colourWidth = 18
	fullWidth   = 103
	rolesWidth  = 84
	levelsWidth = 72
	barWidth    = 60
)

// rowText lays out one row; what a narrow screen has no room for is left out.
func rowText(width int, name, role, ruler, stops, asked, read, level string) string {
	var b strings.Builder
	cell := func(text string, n int) { fmt.Fprintf(&b, "  %-*s", n, fit(text, n)) }
	cell(name, nameWidth)
	if width >= rolesWidth {
		cell(role, roleWidth)
	}
	if width >= fullWidth {
		cell(ruler, rulerCells)
	}
	fmt.Fprintf(&b, "  %5s", stops)
	cell(asked, colourWidth)
	cell(read, colourWidth)
	if width >= levelsWidth {
		fmt.Fprintf(&b, "  %7s", level)
	}
	return b.String()
}

// text is the row of a source.
func (r *sceneRow) text(width int) string {
	read, level := shortColour(r.read), shareText(r.level)
	if r.hand {
		read, level = "(set by hand)", ""
	}
	return rowText(width, r.name, r.role, ruler(r.stops, r.hand), stopsText(r.stops, r.key), shortColour(r.asked), read, level)
}

// rulerScale is the ruler's head.
func rulerScale() string {
	cells := []rune(strings.Repeat(" ", rulerCells))
	put := func(stops int, text string) { copy(cells[(stops-rulerFrom)*2:], []rune(text)) }
	put(rulerFrom, fmt.Sprint(rulerFrom))
	put(rulerFrom/2, fmt.Sprint(rulerFrom/2))
	copy(cells[rulerKey-1:], []rune("key"))
	copy(cells[rulerCells-2:], []rune(fmt.Sprintf("+%d", rulerTo)))
	return string(cells)
}

// ruler shows a source against the key; an arrow where it lies beyond the end.
func ruler(stops float64, hand bool) string {
	cells := []rune(strings.Repeat("·", rulerCells))
	cells[rulerKey] = '│'
	mark := '●'
	if hand {
		mark = '○'
	}
	switch at := int(math.Round((stops - rulerFrom) * 2)); {
	case math.IsNaN(stops) || math.IsInf(stops, 0): // unknown, or no light
	case at < 0:
		cells[0] = '◂'
	case at >= rulerCells:
		cells[rulerCells-1] = '▸'
	default:
		cells[at] = mark
	}
	return string(cells)
}

// motionText says what the light is doing while it moves: with a bar, where there is room.
func (s *scene) motionText(width int) string {
	switch {
	case s.motion != cue.Fading:
		return string(s.motion)
	case width < barWidth:
		return fmt.Sprintf("%s %3.0f %%", s.motion, 100*s.progress)
	}
	return fmt.Sprintf("%s %s %3.0f %%", s.motion, bar(s.progress), 100*s.progress)
}

// countsText is what went over the wire. The counts come before the address
// where there is no room for both.
func (s *scene) countsText(width int) string {
	counts := fmt.Sprintf("sent %d, received %d, lost %d", s.sent, s.received, s.lost)
	for _, text := range []string{"  Art-Net to " + s.where + ": " + counts, "  Art-Net: " + counts} {
		if utf8.RuneCountInString(text) <= width {
			return text
		}
	}
	return counts
}

// shortColour is a light's colour in a narrow column: kelvin and tint, or xy.
func shortColour(c colour.XYZ) string {
	xy, ok := c.XY()
	if !ok {
		return "off"
	}
	if w, ok := nearWhite(xy); ok {
		return shortWhite(w)
	}
	return fmt.Sprintf("xy %.4f %.4f", xy.X, xy.Y)
}
