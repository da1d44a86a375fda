package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/profiles/measure"
	"limn/profiles/tomlfile"
)

// meter asks for each emitter at each level, or reads them from a file.
func (m *measuring) meter(chosen []int) ([]*lightResult, error) {
	read := m.askMeter
	if m.readings != "" {
		read = m.fromFile
	}
	bySource, err := read(chosen)
	if err != nil {
		return nil, err
	}
	return m.solve(chosen, bySource, measure.MeterTerms(), "")
}

// solve makes results of readings by source, and ends the run where they cannot be
// right.
func (m *measuring) solve(chosen []int, bySource map[int][]measure.Reading, terms measure.Terms, how string) ([]*lightResult, error) {
	var results []*lightResult
	faults := 0
	for _, i := range chosen {
		readings := bySource[i]
		if len(readings) == 0 {
			continue
		}
		series := m.series(i, terms)
		series.Readings, series.Relative = readings, m.relative
		r, err := series.Solve()
		if err != nil {
			return nil, solveFailure(series.Source, err)
		}
		faults += sayFindings(m.std, r.Findings)
		results = append(results, &lightResult{source: i, result: r, how: how})
	}
	if faults > 0 {
		return nil, m.faulty()
	}
	return results, nil
}

// askMeter asks for the readings of one light after another. What was answered before
// stands; the next question is the first without an answer.
func (m *measuring) askMeter(chosen []int) (map[int][]measure.Reading, error) {
	j, err := openAnswers(m.dir, m.mode, m.std)
	if err != nil {
		return nil, err
	}
	m.book = j
	for _, i := range chosen {
		name := m.shoot.Rig.Sources[i].Name
		steps := m.steps(i)
		k, err := m.resume(j, name, steps)
		if err != nil {
			return nil, err
		}
		note(m.std.Err, "%s: %d readings. Leave the meter where it is, on its mark. back, skip and quit do what they say; every answer is kept.", name, len(steps))
		for k < len(steps) {
			step := steps[k]
			if err := m.show(step); err != nil {
				return nil, err
			}
			ready := ""
			if old := j.find(name, k); old != nil {
				ready = readingText(old)
			}
			word, err := m.askReading(j, k, step, ready, "%d of %d, %s: lux", k+1, len(steps), step)
			if err != nil {
				return nil, err
			}
			if word == wordBack {
				k = max(0, k-1)
				continue
			}
			k++
		}
	}
	return m.kept(chosen, j), nil
}

// resume says where to go on with a light of which something was answered.
func (m *measuring) resume(j *answerBook, name string, steps []measure.Step) (int, error) {
	next, answered := 0, 0
	for k := range steps {
		if old := j.find(name, k); old != nil {
			answered++
			next = k + 1
			const sameLevel = 1e-9 // the journal has its level in per cent
			if old.Control == steps[k].Control && math.Abs(old.Level-steps[k].Level) < sameLevel {
				old.Level = steps[k].Level
			} else {
				note(m.std.Err, "%s: the answers kept are of another plan (--levels %d?) and are set aside", name, m.levels)
				return 0, j.forget(name)
			}
		}
	}
	if answered == 0 {
		return 0, nil
	}
	text, err := m.ask.ask("go on", "%s: %d of %d readings are kept. Go on, or begin again", name, answered, len(steps))
	if err != nil {
		return 0, err
	}
	if strings.HasPrefix(text, "begin") || strings.HasPrefix(text, "again") {
		return 0, j.forget(name)
	}
	return next, nil
}

// handLamp is a measure.Lamp of hands: the question itself says what to set. A lamp
// over the wire takes its place where a run drives the lights.
type handLamp struct{}

func (handLamp) Set(string, string, float64) error { return nil }

var _ measure.Lamp = handLamp{}

// fromFile reads the readings of a file by source.
func (m *measuring) fromFile(chosen []int) (map[int][]measure.Reading, error) {
	out := map[int][]measure.Reading{}
	if strings.EqualFold(filepath.Ext(m.readings), ".toml") {
		sheet, err := m.sheet()
		if err != nil {
			return nil, err
		}
		return out, m.fromSheet(sheet, chosen, out)
	}
	columns := measure.Columns{}
	for _, text := range m.columns {
		field, heading, ok := strings.Cut(text, "=")
		known := make([]string, 0, len(measure.Fields()))
		for _, f := range measure.Fields() {
			known = append(known, string(f))
		}
		if !ok || heading == "" || !slices.Contains(known, field) {
			return nil, usagef("write the field, = and the heading, as --column \"lux=Ev\"; fields are "+inWords(known), "--column: %q", text)
		}
		columns[measure.Field(field)] = heading
	}
	src, err := m.readFile(m.readings)
	if err != nil {
		return nil, err
	}
	rows, err := m.rows(src, columns)
	if err != nil {
		return nil, err
	}
	for _, row := range rows {
		i, err := m.whose(row.Source, chosen)
		if err != nil {
			return nil, m.atLine(row.Line, err)
		}
		s := &m.shoot.Rig.Sources[i]
		control := m.control
		if own := m.ownControls(i); control == "" && m.mode == modeQuick {
			control = measure.Whole
		} else if control == "" && len(own) == 1 {
			control = own[0]
		} else if control == "" && row.Control == "" {
			return nil, m.atLine(row.Line, &measure.TableError{What: fmt.Sprintf("it is not told which emitter of %s this is of", s.Name), Cure: "say it, as --control warm, or let a column say it, as --column control=Channel; it has " + inWords(own)})
		}
		q, err := row.Resolve(m.readings, s.Name, profileOf(s), control)
		if err != nil {
			return nil, m.atLine(0, err)
		}
		out[i] = append(out[i], q)
	}
	return out, nil
}

// profileOf is a source's profile; a light set by hand has one that knows nothing.
func profileOf(s *fixtures.Source) *fixtures.Profile {
	if s.Profile == nil {
		return &fixtures.Profile{}
	}
	return s.Profile
}

func (m *measuring) ownControls(i int) []string {
	return measure.Controls(profileOf(&m.shoot.Rig.Sources[i]))
}

// maxReadingsFile is the most a file of readings may hold.
const maxReadingsFile = measure.MaxTableBytes

func (m *measuring) readFile(name string) ([]byte, error) {
	f, err := openFile(name, m.std)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, maxReadingsFile+1))
	if err != nil {
		return nil, failuref(statusFailed, "", "cannot read %s: %v", name, pathCause(err))
	}
	return src, nil
}

// rows reads a table. A column that is not known is asked for, where somebody is there
// to ask, and the answer kept for the next table with the same headings.
func (m *measuring) rows(src []byte, columns measure.Columns) ([]measure.Row, error) {
	remembered := m.remembered()
	for f, h := range remembered {
		if _, told := columns[f]; !told && strings.Contains(string(src), h) {
			columns[f] = h
		}
	}
	for {
		rows, used, err := measure.ReadTable(strings.NewReader(string(src)), columns)
		var e *measure.TableError
		if err == nil {
			_, told := columns[measure.FieldLux]
			if told && !m.dryRun {
				return rows, m.remember(used)
			}
			return rows, nil
		}
		if !errors.As(err, &e) {
			return nil, failuref(statusFailed, "", "cannot read %s: %v", m.readings, err)
		}
		if e.Header == nil || m.yes || m.dryRun || m.readings == "-" {
			return nil, m.atLine(0, err)
		}
		if columns, err = m.askColumns(e.Header, columns, e); err != nil {
			return nil, err
		}
	}
}

// askColumns asks which column is which.
func (m *measuring) askColumns(header []string, columns measure.Columns, why error) (measure.Columns, error) {
	note(m.std.Err, "%s: %v", m.readings, why)
	for i, h := range header {
		note(m.std.Err, "  %d  %s", i+1, h)
	}
	guess := measure.Guess(header)
	out := measure.Columns{}
	for _, f := range []measure.Field{measure.FieldLux, measure.FieldSource, measure.FieldControl, measure.FieldLevel, measure.FieldX, measure.FieldY, measure.FieldKelvin} {
		ready := guess[f]
		if h := columns[f]; slices.Contains(header, h) {
			ready = h
		}
		for {
			none := " (none: -)"
			if f == measure.FieldLux {
				none = ""
			}
			text, err := m.ask.ask(ready, "which column is %s%s", f, none)
			if err != nil {
				return nil, err
			}
			if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= len(header) {
				text = header[n-1]
			}
			if slices.Contains(header, text) {
				out[f] = text
				break
			}
			if f != measure.FieldLux && (text == "-" || text == "") {
				break
			}
			note(m.std.Err, "write a number of 1 to %d, or the heading", len(header))
		}
	}
	return out, nil
}

// columnsFile remembers which headings of this user's tables hold what.
func (m *measuring) columnsFile() string { return filepath.Join(measureDir(m.dir), "columns.txt") }

func (m *measuring) remembered() measure.Columns {
	src, err := os.ReadFile(m.columnsFile())
	if err != nil {
		return nil // nothing is remembered: it will be asked
	}
	c := measure.Columns{}
	for _, l := range strings.Split(string(src), "\n") {
		if f, h, ok := strings.Cut(l, "="); ok && slices.Contains(measure.Fields(), measure.Field(f)) {
			c[measure.Field(f)] = h
		}
	}
	return c
}

func (m *measuring) remember(c measure.Columns) error {
	var b strings.Builder
	for _, f := range measure.Fields() {
		if h, ok := c[f]; ok && !strings.ContainsAny(h, "\r\n") {
			fmt.Fprintf(&b, "%s=%s\n", f, h)
		}
	}
	if err := os.MkdirAll(measureDir(m.dir), 0o777); err != nil {
		return failuref(statusFailed, "", "cannot make %s: %v", measureDir(m.dir), pathCause(err))
	}
	return writeFile(m.columnsFile(), []byte(b.String()))
}

// whose is the source that a row names, or the only one there is.
func (m *measuring) whose(name string, chosen []int) (int, error) {
	if name == "" {
		if len(chosen) == 1 {
			return chosen[0], nil
		}
		return 0, &measure.TableError{What: "it is not told which light this is of", Cure: "say it, as --source sky, or let a column say it, as --column source=Name"}
	}
	i := m.shoot.Rig.Index(name)
	if i < 0 {
		cure := nearest.DidYouMean(name, sourceNames(m.shoot.Rig))
		if cure == "" {
			cure = "the rig has " + inWords(sourceNames(m.shoot.Rig))
		}
		return 0, &measure.TableError{What: fmt.Sprintf("the rig has no light %q", name), Cure: cure}
	}
	if !slices.Contains(chosen, i) && m.sources == nil {
		return 0, &measure.TableError{What: fmt.Sprintf("%s cannot be measured so", name), Cure: "leave it out, or measure it with --mode quick"}
	}
	return i, nil
}

// atLine gives a fault of a table its place in the file.
func (m *measuring) atLine(line int, err error) error {
	var e *measure.TableError
	if !errors.As(err, &e) {
		return err
	}
	if e.Line > 0 {
		line = e.Line
	}
	pos := tomlfile.Pos{File: m.readings, Line: line}
	if line > 0 {
		pos.Col = 1
	}
	printProblems(m.std.Err, []tomlfile.Problem{{Pos: pos, What: e.What, Cure: e.Cure}})
	return failuref(statusFiles, "", "%s cannot be read as readings; nothing was written", m.readings)
}

// sheet reads a TOML file of readings.
func (m *measuring) sheet() (*measure.Sheet, error) {
	src, err := m.readFile(m.readings)
	if err != nil {
		return nil, err
	}
	var ps tomlfile.Problems
	s, ok := measure.ParseSheet(m.readings, src, &ps)
	errs, _ := printProblems(m.std.Err, ps.Sorted())
	if !ok {
		return nil, failuref(statusFiles, "", "%s has %s; nothing was written", m.readings, count(errs, "fault"))
	}
	if m.instrument == "" {
		m.instrument = s.Instrument
	}
	if m.note == "" {
		m.note = s.Note
	}
	if m.distance.Metres == 0 {
		m.distance = s.Distance
	}
	if m.converter == "" {
		m.converter = s.Converter
	}
	if m.region == "" {
		m.region = s.Region
	}
	if m.reference == "" {
		m.reference = s.Reference
	}
	return s, nil
}

// fromSheet sorts a sheet's readings by source.
func (m *measuring) fromSheet(s *measure.Sheet, chosen []int, out map[int][]measure.Reading) error {
	for i := range s.Readings {
		q := s.Readings[i]
		at, step, err := m.placed(q.Origin, q.Source, q.Control, q.Level, chosen)
		if err != nil {
			return err
		}
		if at < 0 {
			continue
		}
		q.Control, q.Reading.Level = step.Control, step.Level
		out[at] = append(out[at], q.Reading)
	}
	return nil
}

// placed finds the source, control and level that an entry of a sheet names; -1 is a
// source that was not asked for.
func (m *measuring) placed(at fixtures.Origin, source, control, level string, chosen []int) (int, measure.Step, error) {
	i, err := m.whose(source, chosen)
	if err != nil {
		return 0, measure.Step{}, m.atLine(at.Line, err)
	}
	if !slices.Contains(chosen, i) {
		return -1, measure.Step{}, nil
	}
	if own := m.ownControls(i); control == "" && m.mode == modeQuick {
		control = measure.Whole
	} else if control == "" && len(own) == 1 {
		control = own[0]
	}
	row := measure.Row{Line: at.Line, Control: control, Level: level}
	q, err := row.Resolve(m.readings, source, profileOf(&m.shoot.Rig.Sources[i]), m.control)
	if err != nil {
		return 0, measure.Step{}, m.atLine(0, err)
	}
	return i, measure.Step{Source: source, Control: q.Control, Level: q.Level}, nil
}
