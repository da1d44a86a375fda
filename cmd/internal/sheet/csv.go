package sheet

import (
	"encoding/csv"
	"io"
	"strings"

	"limn/cue/plan"
)

// csvHead names the columns. One row is one source, card or setting of one cue.
var csvHead = []string{"slate", "cue", "table", "kind", "name", "as written", "against key", "light", "kelvin", "tint", "xy", "place", "mark", "note"}

// CSV writes the light of every cue as a table. Cells that a spreadsheet would take
// for a formula are written as text.
func CSV(w io.Writer, s *plan.Sheet) error {
	out := csv.NewWriter(w)
	rows := [][]string{csvHead}
	for i := range s.Cues {
		c := &s.Cues[i]
		row := func(kind, name, level, stops, lux string, colour plan.SheetColour, place, mark, note string) {
			rows = append(rows, []string{c.Slate, c.Name, c.Azimuth, kind, name, level, stops, lux, colour.Kelvin, colour.Tint, colour.XY, place, mark, note})
		}
		row("camera", "camera", c.Camera, "", "", plan.SheetColour{}, "", "", c.Timing)
		for k := range c.Light {
			l := &c.Light[k]
			row("source", l.Name, l.Level, l.Stops, l.Lux, l.Colour, placeOf(s, l.Source), "", notes(l.Colour.Note, l.Short, l.Timing))
		}
		for _, k := range c.Moved {
			row("moved source", k.Name, "", "", "", plan.SheetColour{}, k.Place, k.Mark, k.Size)
		}
		for _, k := range c.Cards {
			row(k.Kind+" card", k.Name, "", "", "", plan.SheetColour{}, k.Place, k.Mark, k.Size)
		}
		for _, h := range c.Hands {
			row("by hand", h, "", "", "", plan.SheetColour{}, "", "", "")
		}
	}
	for _, r := range rows {
		for i := range r {
			r[i] = plain(clean(r[i]))
		}
	}
	return out.WriteAll(rows)
}

func placeOf(s *plan.Sheet, source int) string {
	if source < len(s.Sources) {
		return s.Sources[source].Place
	}
	return ""
}

func notes(texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, "; ")
}

// plain keeps a cell from being run as a formula: spreadsheets run what begins with
// =, +, - or @. A number with a sign, as stops are, is none.
func plain(cell string) string {
	if cell == "" || !strings.ContainsRune("=+-@", rune(cell[0])) {
		return cell
	}
	if len(cell) > 1 && strings.ContainsRune("+-", rune(cell[0])) && strings.TrimLeft(cell[1:], "0123456789. stop") == "" && cell[1] >= '0' && cell[1] <= '9' {
		return cell
	}
	return "'" + cell
}
