package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// colourBatch answers lines of "x,y" by lines of "x,y,cct,duv". A header line is
// taken and not needed. Where there is no colour temperature the last two fields are empty.
func colourBatch(name string, std stdio) error {
	in, err := openFile(name, std)
	if err != nil {
		return err
	}
	defer in.Close()
	out := bufio.NewWriter(std.Out)
	fmt.Fprintln(out, "x,y,cct,duv")
	lines, bad, without := newLineReader(in), 0, 0
	for {
		line, err := lines.next()
		if errors.Is(err, io.EOF) {
			break
		}
		text := strings.TrimSpace(string(line))
		if err == nil && (text == "" || lines.number == 1 && isHeader(text)) {
			continue
		}
		row, hasWhite := "", false
		if err == nil {
			row, hasWhite, err = colourRow(text)
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

func isHeader(line string) bool {
	x, y, ok := strings.Cut(strings.ToLower(line), ",")
	return ok && strings.TrimSpace(x) == "x" && strings.TrimSpace(y) == "y"
}

// colourRow answers one line of a batch; the chromaticity is echoed as written.
func colourRow(line string) (row string, hasWhite bool, err error) {
	fields := strings.Split(line, ",")
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
