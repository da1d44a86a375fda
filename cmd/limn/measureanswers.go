package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"limn/cue/files"
	"limn/fixtures"
	"limn/fixtures/colour"
	"limn/profiles/measure"
)

// answerBook keeps the answers of one way of measuring in the shoot's folder, written
// anew after every one: .limn/measure/meter.csv. It is a table that --readings reads.
type answerBook struct {
	path string
	rows []answerRow
}

// answerRow is one answer. Its step counts within its source.
type answerRow struct {
	step int
	measure.Reading
}

// maxAnswers is the most it may hold.
const maxAnswers = 8 << 20

// answersHead names the columns; step is ours alone.
var answersHead = []string{"step", "source", "control", "level", "lux", "x", "y", "after"}

func measureDir(dir string) string { return filepath.Join(dir, files.StateDir, "measure") }

// openAnswers reads what was answered before. A table that cannot be read is put
// aside, never overwritten.
func openAnswers(dir, mode string, std stdio) (*answerBook, error) {
	j := &answerBook{path: filepath.Join(measureDir(dir), mode+".csv")}
	f, err := os.Open(j.path)
	if errors.Is(err, fs.ErrNotExist) {
		return j, nil
	}
	if err != nil {
		return nil, failuref(statusFailed, "see who may read it", "cannot read the answers kept in %s: %v", j.path, pathCause(err))
	}
	defer f.Close()
	if err := j.read(io.LimitReader(f, maxAnswers)); err != nil {
		aside := unusedName(j.path + ".damaged")
		if err := os.Rename(j.path, aside); err != nil {
			return nil, failuref(statusFailed, "move it away", "%s is no table of answers", j.path)
		}
		note(std.Err, "%s was no table of answers and lies now in %s", j.path, aside)
		j.rows = nil
	}
	return j, nil
}

// errNoAnswers says that a file is no answerBook.
var errNoAnswers = errors.New("not a table of answers")

func (j *answerBook) read(r io.Reader) error {
	in := csv.NewReader(r)
	in.FieldsPerRecord = len(answersHead)
	records, err := in.ReadAll()
	if err != nil || len(records) == 0 || !slices.Equal(records[0], answersHead) {
		return errNoAnswers
	}
	for i, c := range records[1:] {
		row := answerRow{Reading: measure.Reading{Origin: fixtures.Origin{File: j.path, Line: i + 2, Col: 1}, Source: c[1], Control: c[2], After: none}}
		if row.step, err = strconv.Atoi(c[0]); err != nil {
			return err
		}
		level, err := measure.ParseLevel(c[3], fixtures.Max8)
		if err != nil {
			return err
		}
		row.Level = level
		for _, n := range []struct {
			text string
			to   *float64
		}{{c[4], &row.Lux}, {c[5], &row.XY.X}, {c[6], &row.XY.Y}, {c[7], &row.After}} {
			if n.text == "" {
				continue
			}
			if *n.to, err = strconv.ParseFloat(n.text, 64); err != nil || !(*n.to >= 0 && *n.to <= measure.MaxLux) {
				return errNoAnswers
			}
		}
		j.rows = append(j.rows, row)
	}
	return nil
}

// find is the answer to a step, nil if there is none.
func (j *answerBook) find(source string, step int) *measure.Reading {
	for i := range j.rows {
		if j.rows[i].Source == source && j.rows[i].step == step {
			return &j.rows[i].Reading
		}
	}
	return nil
}

// keep writes an answer, in place of an earlier one to the same step.
func (j *answerBook) keep(step int, q measure.Reading) error {
	at := slices.IndexFunc(j.rows, func(r answerRow) bool { return r.Source == q.Source && r.step == step })
	if at < 0 {
		at = len(j.rows)
		j.rows = append(j.rows, answerRow{})
	}
	j.rows[at] = answerRow{step, q}
	return j.write()
}

// forget takes the answers of a source out.
func (j *answerBook) forget(source string) error {
	j.rows = slices.DeleteFunc(j.rows, func(r answerRow) bool { return r.Source == source })
	return j.write()
}

func (j *answerBook) write() error {
	if err := os.MkdirAll(filepath.Dir(j.path), 0o777); err != nil {
		return failuref(statusFailed, "", "the answer cannot be kept in %s: %v", j.path, pathCause(err))
	}
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	write := func(cells []string) {
		must(out.Write(cells)) // into memory
	}
	write(answersHead)
	for i := range j.rows {
		r := &j.rows[i]
		r.Origin = fixtures.Origin{File: j.path, Line: i + 2, Col: 1}
		cells := []string{strconv.Itoa(r.step), r.Source, r.Control, fmt.Sprintf("%s %%", plainNumber(100*r.Level)), plainNumber(r.Lux), "", "", ""}
		if r.XY != (colour.XY{}) {
			cells[5], cells[6] = plainNumber(r.XY.X), plainNumber(r.XY.Y)
		}
		if r.After == r.After { // told
			cells[7] = plainNumber(r.After)
		}
		write(cells)
	}
	out.Flush()
	return writeFile(j.path, b.Bytes())
}

// done puts the answers aside under its day: what was typed is never lost.
func (j *answerBook) done(day string) error {
	if len(j.rows) == 0 {
		return nil
	}
	ending := filepath.Ext(j.path)
	to := unusedName(j.path[:len(j.path)-len(ending)] + "." + day + ending)
	if err := os.Rename(j.path, to); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return failuref(statusFailed, "", "the answers stay in %s: %v", j.path, pathCause(err))
	}
	return nil
}

// plainNumber prints a number as it is, without an exponent.
func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// unusedName is a name that no file has yet: the one given, or it with a number.
func unusedName(name string) string {
	ending := filepath.Ext(name)
	stem := name[:len(name)-len(ending)]
	for n := 2; ; n++ {
		if _, err := os.Lstat(name); err != nil {
			return name
		}
		name = fmt.Sprintf("%s-%d%s", stem, n, ending)
	}
}
