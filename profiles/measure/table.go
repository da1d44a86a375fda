package measure

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"limn/fixtures"
	"limn/fixtures/colour"
)

// Limits of a table of readings.
const (
	MaxTableBytes = 8 << 20
	MaxColumns    = 256
	preamble      = 40 // lines before the header that meter software may write
)

// Field is what a column of a table holds.
type Field string

// The fields. Level is a code ("128") or a share ("50 %"); After is seconds, or with
// a unit.
const (
	FieldSource  Field = "source"
	FieldControl Field = "control"
	FieldLevel   Field = "level"
	FieldLux     Field = "lux"
	FieldX       Field = "x"
	FieldY       Field = "y"
	FieldKelvin  Field = "kelvin"
	FieldTint    Field = "tint"
	FieldAfter   Field = "after"
)

// Fields lists every field.
func Fields() []Field {
	return []Field{FieldSource, FieldControl, FieldLevel, FieldLux, FieldX, FieldY, FieldKelvin, FieldTint, FieldAfter}
}

// Columns says in which column of a table each field stands, by its heading.
type Columns map[Field]string

// usual are the headings that instruments' software is known to write for a field,
// without units, in lower case (common practice, no source).
var usual = map[Field][]string{
	FieldSource:  {"source", "light", "lamp", "fixture", "name", "label", "title"},
	FieldControl: {"control", "emitter", "channel", "colour", "color"},
	FieldLevel:   {"level", "code", "dmx", "slot", "dimmer", "drive"},
	FieldLux:     {"lux", "illuminance", "e", "ev", "illuminance lx", "illuminance lux", "lx"},
	FieldX:       {"x", "cie x", "cie1931 x", "cie 1931 x", "chromaticity x"},
	FieldY:       {"y", "cie y", "cie1931 y", "cie 1931 y", "chromaticity y"},
	FieldKelvin:  {"kelvin", "cct", "tcp", "colour temperature", "color temperature", "k"},
	FieldTint:    {"tint", "duv", "delta uv", "δuv", "d uv"},
	FieldAfter:   {"after", "elapsed", "seconds", "time s"},
}

// TableError says what is wrong with a table and what would be right.
type TableError struct {
	Line       int // from 1; 0 = the whole table
	What, Cure string
	Header     []string // the headings, where a column is asked for
}

func (e *TableError) Error() string {
	text := e.What + "; " + e.Cure
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %s", e.Line, text)
	}
	return text
}

// Row is one reading of a table before it is known what light it is of.
type Row struct {
	Line            int
	Source, Control string // "" = no such column or nothing in it
	Level           string // as written
	Lux             float64
	XY              colour.XY
	After           float64
}

// Guess finds the columns of a header by the headings that are usual. Units in
// brackets do not count.
func Guess(header []string) Columns {
	c := Columns{}
	for _, f := range Fields() {
		for _, name := range usual[f] {
			i := slices.IndexFunc(header, func(h string) bool {
				// X and Y are tristimulus values, x and y are not.
				return plainHeading(h) == name && (len(name) > 1 || !strings.ContainsAny(h, "XY"))
			})
			if i >= 0 {
				c[f] = header[i]
				break
			}
		}
	}
	return c
}

// plainHeading is a heading in lower case without its unit.
func plainHeading(h string) string {
	if i := strings.IndexAny(h, "[("); i > 0 {
		h = h[:i]
	}
	return strings.Join(strings.Fields(strings.ToLower(strings.NewReplacer("_", " ", "-", " ", ".", " ").Replace(h))), " ")
}

// ReadTable reads readings out of a table as instruments' software exports it: with
// commas, semicolons or tabs between, a decimal comma where the comma does not
// divide, lines of something else before the header. columns names headings; what it
// leaves out is found by [Guess]. There must be a column of lux or both x and y. The
// error is a *TableError, or that of r.
func ReadTable(r io.Reader, columns Columns) ([]Row, Columns, error) {
	src, err := io.ReadAll(io.LimitReader(bufio.NewReader(r), MaxTableBytes+1))
	if err != nil {
		return nil, nil, err
	}
	if len(src) > MaxTableBytes {
		return nil, nil, &TableError{What: fmt.Sprintf("the table is larger than %d MiB", MaxTableBytes>>20), Cure: "export one series only"}
	}
	text := strings.TrimPrefix(string(src), "\ufeff")
	mark := divider(text)
	lines, err := split(text, mark)
	if err != nil {
		return nil, nil, err
	}
	header, where, err := head(lines, columns)
	if err != nil {
		return nil, nil, err
	}
	t := table{where: where, comma: mark != ','}
	var rows []Row
	for _, l := range lines[header+1:] {
		row, ok, err := t.row(l)
		if err != nil {
			return nil, nil, err
		}
		if !ok {
			continue
		}
		if len(rows) == MaxReadings {
			return nil, nil, &TableError{Line: l.number, What: fmt.Sprintf("more than %d readings", MaxReadings), Cure: "export one series only"}
		}
		rows = append(rows, row)
	}
	if at, counts := where[FieldLux], counting(rows); counts {
		return nil, nil, &TableError{Line: rows[0].Line, What: fmt.Sprintf("the column %q counts the lines", lines[header].cells[at]), Cure: "say which column lux is; those there: " + headings(lines[header].cells), Header: lines[header].cells}
	}
	if len(rows) == 0 {
		return nil, nil, &TableError{What: "the table has no readings below its header", Cure: "export the readings themselves"}
	}
	used := Columns{}
	for f, i := range where {
		used[f] = lines[header].cells[i]
	}
	return rows, used, nil
}

// counting says whether lux go up by one from line to line: then they are no lux.
func counting(rows []Row) bool {
	const enough = 5
	for i := 1; i < len(rows); i++ {
		if rows[i].Lux != rows[i-1].Lux+1 {
			return false
		}
	}
	return len(rows) >= enough
}

type line struct {
	number int
	cells  []string
}

// divider is what stands between the cells: whichever of the three most lines hold.
func divider(text string) rune {
	best, most := ',', 0
	for _, mark := range []rune{'\t', ';', ','} {
		n := 0
		for i, l := range strings.SplitN(text, "\n", preamble+1) {
			if i < preamble && strings.ContainsRune(l, mark) {
				n++
			}
		}
		if n > most {
			best, most = mark, n
		}
	}
	return best
}

func split(text string, mark rune) ([]line, error) {
	in := csv.NewReader(strings.NewReader(text))
	in.Comma = mark
	in.FieldsPerRecord = -1
	in.LazyQuotes = true
	in.TrimLeadingSpace = mark != '\t'
	in.Comment = '#'
	var lines []line
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return lines, nil
		}
		if err != nil {
			var at *csv.ParseError
			if errors.As(err, &at) {
				return nil, &TableError{Line: at.Line, What: fmt.Sprintf("no table: %v", at.Err), Cure: "export as CSV"}
			}
			return nil, err
		}
		number, _ := in.FieldPos(0)
		if len(cells) > MaxColumns {
			return nil, &TableError{Line: number, What: fmt.Sprintf("%d columns", len(cells)), Cure: "export as CSV, one reading a line"}
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		lines = append(lines, line{number, cells})
	}
}

// head finds the header: the line that has the headings asked for, or the most usual
// ones.
func head(lines []line, columns Columns) (at int, where map[Field]int, err error) {
	best, most := -1, 0
	for i, l := range lines[:min(len(lines), preamble)] {
		found := Guess(l.cells)
		n := 0
		for f := range found {
			if _, named := columns[f]; !named {
				n++
			}
		}
		for _, h := range columns {
			if slices.Contains(l.cells, h) {
				n += 2
			}
		}
		if n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		e := &TableError{What: "no line of the table looks like a header", Cure: "let its first line name the columns: source, control, level, lux, x, y"}
		if len(lines) > 0 {
			e.Header = lines[0].cells
		}
		return 0, nil, e
	}
	cells := lines[best].cells
	where = map[Field]int{}
	for f, h := range Guess(cells) {
		where[f] = slices.Index(cells, h)
	}
	for f, h := range columns {
		i := slices.Index(cells, h)
		if i < 0 {
			return 0, nil, &TableError{Line: lines[best].number, What: fmt.Sprintf("there is no column %q", h), Cure: "name one of those there: " + headings(cells), Header: cells}
		}
		where[f] = i
	}
	_, lux := where[FieldLux]
	if !lux {
		return 0, nil, &TableError{Line: lines[best].number, What: "no column of lux is known", Cure: "say which it is, as lux=\"Ev\"; those there: " + headings(cells), Header: cells}
	}
	return best, where, nil
}

func headings(cells []string) string {
	quoted := make([]string, len(cells))
	for i, c := range cells {
		quoted[i] = strconv.Quote(c)
	}
	return strings.Join(quoted, ", ")
}

type table struct {
	where map[Field]int
	comma bool // decimals may have a comma
}

// row reads one line; ok is false for an empty one.
func (t *table) row(l line) (row Row, ok bool, err error) {
	row = Row{Line: l.number, Lux: math.NaN(), After: math.NaN()}
	if !slices.ContainsFunc(l.cells, func(c string) bool { return c != "" }) {
		return row, false, nil
	}
	row.Source, row.Control, row.Level = t.cell(l, FieldSource), t.cell(l, FieldControl), t.cell(l, FieldLevel)
	var x, y, kelvin, tint float64
	for _, n := range []struct {
		field Field
		value *float64
		low   float64
		high  float64
		what  string
	}{
		{FieldLux, &row.Lux, 0, MaxLux, "lux"},
		{FieldX, &x, 0, 1, "a chromaticity"},
		{FieldY, &y, 0, 1, "a chromaticity"},
		{FieldKelvin, &kelvin, 0, 100_000, "kelvin"},
		{FieldTint, &tint, -1, 1, "a Duv"},
		{FieldAfter, &row.After, 0, 7 * 24 * 3600, "seconds"},
	} {
		text := t.cell(l, n.field)
		if text == "" || text == "-" || strings.EqualFold(text, "under") || strings.EqualFold(text, "n/a") {
			continue
		}
		v, err := t.number(text)
		if err != nil {
			return row, false, &TableError{Line: l.number, What: fmt.Sprintf("%q is no number, where %s is read", text, n.field), Cure: fmt.Sprintf("say which column %s is", n.field)}
		}
		if !(v >= n.low && v <= n.high) {
			return row, false, &TableError{Line: l.number, What: fmt.Sprintf("%s of %g", n.field, v), Cure: fmt.Sprintf("%s is between %g and %g: say which column %s is", n.what, n.low, n.high, n.field)}
		}
		*n.value = v
	}
	switch {
	case x > 0 && y > 0:
		row.XY = colour.XY{X: x, Y: y}
		if !colour.IsReal(row.XY) {
			return row, false, &TableError{Line: l.number, What: fmt.Sprintf("x %g, y %g is a colour no light can have", x, y), Cure: "say which columns x and y are"}
		}
	case kelvin > 0:
		if kelvin < colour.MinKelvin || kelvin > colour.MaxKelvin {
			return row, false, &TableError{Line: l.number, What: fmt.Sprintf("%g K is no white of a light", kelvin), Cure: "say which column kelvin is"}
		}
		if math.Abs(tint) > colour.MaxDuv {
			return row, false, &TableError{Line: l.number, What: fmt.Sprintf("a tint of %g is far off any white", tint), Cure: "say which column tint is"}
		}
		row.XY = colour.White{Kelvin: kelvin, Duv: tint}.XY()
	}
	return row, true, nil
}

func (t *table) cell(l line, f Field) string {
	if i, ok := t.where[f]; ok && i < len(l.cells) {
		return l.cells[i]
	}
	return ""
}

// number reads a number with a decimal point or comma, units behind it passed over.
func (t *table) number(text string) (float64, error) {
	for _, unit := range []string{"lx", "lux", "K", "s"} {
		text = strings.TrimSpace(strings.TrimSuffix(text, unit))
	}
	if t.comma && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, "\u2212", "-"), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, errors.New("no number")
	}
	return v, nil
}

// Resolve turns a row into a reading of a light: source and control stand for what
// the table leaves out, file names it in messages. A level that is left out is full.
// The error is a *TableError.
func (row Row) Resolve(file, source string, p *fixtures.Profile, control string) (Reading, error) {
	q := Reading{
		Origin: fixtures.Origin{File: file, Line: row.Line, Col: 1},
		Source: source, Control: row.Control, Level: 1, Lux: row.Lux, XY: row.XY, After: row.After,
	}
	if q.Control == "" {
		q.Control = control
	}
	if q.Control == Dark {
		q.Control, q.Level = Whole, 0
		return q, nil
	}
	most := fixtures.Max8
	if q.Control != Whole {
		if most = highest(p, q.Control); most == 0 {
			return q, &TableError{Line: row.Line, What: fmt.Sprintf("%s has nothing called %q", source, q.Control), Cure: fmt.Sprintf("name one of %s, or %q for the whole light", strings.Join(Controls(p), ", "), Whole)}
		}
	}
	if row.Level == "" {
		return q, nil
	}
	level, err := ParseLevel(row.Level, most)
	if err != nil {
		return q, &TableError{Line: row.Line, What: err.Error(), Cure: fmt.Sprintf("write a code of 0 to %d, or a share as 50 %%", most)}
	}
	q.Level = level
	return q, nil
}

// ParseLevel reads a level: a code, or a share with a per cent sign. It comes out as
// a share of the highest code.
func ParseLevel(text string, most int) (float64, error) {
	text = strings.TrimSpace(text)
	if share, ok := strings.CutSuffix(text, "%"); ok {
		v, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
		if err != nil || !(v >= 0 && v <= 100) {
			return 0, fmt.Errorf("%q is no level", text)
		}
		return v / 100, nil
	}
	code, err := strconv.Atoi(text)
	if err != nil || code < 0 || code > most {
		return 0, fmt.Errorf("%q is no level", text)
	}
	return float64(code) / float64(most), nil
}
