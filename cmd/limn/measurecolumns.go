package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"limn/profiles/measure"
)

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
