package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"limn/fixtures"
	"limn/fixtures/nearest"
	"limn/profiles/measure"
	"limn/profiles/tomlfile"
)

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
