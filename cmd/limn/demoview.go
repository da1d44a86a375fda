package main

import (
	"fmt"
	"math"
	"strings"

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

// Columns, and the widths below which the ruler, the role and the level are left out.
const (
	nameWidth   = 14
	roleWidth   = 10
	colourWidth = 18
	fullWidth   = 103
	rolesWidth  = 84
	levelsWidth = 72
)

// view draws a scene in so many characters of width.
func (s *scene) view(width int) string {
	var b strings.Builder
	line := func(format string, args ...any) {
		text := strings.TrimRight(clean(fmt.Sprintf(format, args...)), " ")
		b.WriteString(cut(text, width) + "\n")
	}
	line("%s, 1:%g", s.subject, s.scale)
	line("")
	line("  table %-6s %s", turnText(s.azimuth), s.angle)
	line("  cue   %-18s %s", s.cue, s.motionText())
	if s.next != "" {
		line("  next  %s", s.next)
	}
	for i, h := range s.hands {
		word := "hands"
		if i > 0 {
			word = ""
		}
		line("  %-5s %s", word, h)
	}
	line("")
	line("%s", rowText(width, "source", "role", rulerScale(), "stops", "asked", "receiver reads", "level"))
	for i := range s.rows {
		r := &s.rows[i]
		read, level := shortColour(r.read), shareText(r.level)
		if r.hand {
			read, level = "(set by hand)", ""
		}
		line("%s", rowText(width, r.name, r.role, ruler(r.stops, r.hand), stopsText(r.stops, r.key), shortColour(r.asked), read, level))
	}
	for i, l := range s.limits {
		if i == 0 {
			line("")
		}
		line("  %s", l)
	}
	line("")
	line("  Art-Net to %s: sent %d, received %d, lost %d", s.where, s.sent, s.received, s.lost)
	return b.String()
}

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

// motionText says what the light is doing, with a bar while it moves.
func (s *scene) motionText() string {
	if s.motion != cue.Fading {
		return string(s.motion)
	}
	return fmt.Sprintf("%s %s %3.0f %%", s.motion, bar(s.progress), 100*s.progress)
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
