package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// byteOrderMark is what some meters' programs put before the first line.
const byteOrderMark = "\ufeff"

// colourBatch answers lines of "x,y" by lines of "x,y,cct,duv". A header line is
// not needed; one that names x and y says which columns they are, and others are left alone.
// Where there is no colour temperature the last two fields are empty.
func colourBatch(name string, std stdio) error {
	in, err := openFile(name, std)
	if err != nil {
		return err
	}
	defer in.Close()
	out := bufio.NewWriter(std.Out)
	fmt.Fprintln(out, "x,y,cct,duv")
	lines, bad, without := newLineReader(in), 0, 0
	columns := columnsXY{0, 1, 2}
	for {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		text := strings.TrimSpace(string(line))
		if lines.number == 1 {
			text = strings.TrimPrefix(text, byteOrderMark)
			if named, ok := headerXY(text); ok {
				columns = named
				continue
			}
		}
		if err == nil && text == "" {
			continue
		}
		row, hasWhite := "", false
		if err == nil {
			row, hasWhite, err = colourRow(text, columns)
		} else if !errors.Is(err, errLongLine) {
			return fmt.Errorf("reading %s: %w", name, err)
		}
		switch {
		case err != nil:
			note(std.Err, "%s:%d: %v", name, lines.number, err)
			bad++
			row = ",,,"
		case !hasWhite:
			without++
		}
		fmt.Fprintln(out, row)
		if !lines.waiting() {
			if err := out.Flush(); err != nil {
				return err
			}
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	if without > 0 {
		note(std.Err, "%d of the colours: %s", without, noTemperature)
	}
	if bad > 0 {
		return failuref(statusFailed, "their rows are left empty; a line is x,y", "%d lines could not be read", bad)
	}
	return nil
}

// columnsXY is where x and y stand in a line of so many fields.
type columnsXY struct{ x, y, fields int }

// headerXY reads a header line; ok is false where it names no x and y. Beside a
// y, a Y is luminance; a line of capitals alone is taken too.
func headerXY(line string) (c columnsXY, ok bool) {
	names := strings.Split(line, ",")
	for i := range names {
		names[i] = strings.Trim(names[i], " \t\"")
	}
	for _, want := range [][2]string{{"x", "y"}, {"X", "Y"}} {
		c = columnsXY{slices.Index(names, want[0]), slices.Index(names, want[1]), len(names)}
		if c.x >= 0 && c.y >= 0 {
			return c, true
		}
	}
	return c, false
}

// colourRow answers one line of a batch; the chromaticity is echoed as written.
func colourRow(line string, columns columnsXY) (row string, hasWhite bool, err error) {
	fields := strings.Split(line, ",")
	if len(fields) != columns.fields {
		return "", false, fmt.Errorf("%d values where %d are needed", len(fields), columns.fields)
	}
	fields = []string{fields[columns.x], fields[columns.y]}
	c, err := splitXY(fields)
	if err != nil {
		return "", false, err
	}
	x, y := strings.TrimSpace(fields[0]), strings.TrimSpace(fields[1])
	w, ok := c.White()
	if !ok {
		return fmt.Sprintf("%s,%s,,", x, y), false, nil
	}
	return fmt.Sprintf("%s,%s,%s,%s", x, y,
		appendFixed(nil, w.Kelvin, kelvinDecimals), appendFixed(nil, w.Duv, duvDecimals)), true, nil
}
