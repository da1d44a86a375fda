package main

import (
	"bufio"
	"bytes"
	"fmt"
	"strings"

	"limn/cue"
	"limn/cue/operate"
	"limn/dmx/pace"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// A row of the table for people comes with every change of cue or state, and
// so often in between.
const textEvery = pace.Rate / 2

// cellWidth is a source's column: "100.0 % 20000 K".
const cellWidth = 18

// textTrace prints a trace as a table: what each source's slots give.
type textTrace struct {
	out      *bufio.Writer
	changes  bool
	shoot    *cue.Shoot
	renderer *fixtures.Renderer
	cue      string
	motion   cue.Motion
	before   []byte
}

func newTextTrace(shoot *cue.Shoot, r *fixtures.Renderer, out *bufio.Writer, changes bool) *textTrace {
	t := &textTrace{out: out, changes: changes, shoot: shoot, renderer: r}
	var head strings.Builder
	fmt.Fprintf(&head, "%10s  %-16s %-8s %7s", "time", "cue", "state", "table")
	for i := range shoot.Rig.Sources {
		if s := &shoot.Rig.Sources[i]; givesLight(s) {
			fmt.Fprintf(&head, "  %-*s", cellWidth, fit(clean(s.Name), cellWidth))
		}
	}
	fmt.Fprintln(out, strings.TrimRight(head.String(), " "))
	return t
}

func (t *textTrace) frame(f *operate.Frame) error {
	if f.K%textEvery != 0 && f.Cue == t.cue && f.Status.Motion == t.motion {
		return nil
	}
	t.cue, t.motion = f.Cue, f.Status.Motion
	var row bytes.Buffer
	name := "-"
	if f.Cue != "" {
		name = fit(clean(f.Cue), 16)
	}
	fmt.Fprintf(&row, "  %-16s %-8s %7s", name, f.Status.Motion, turnText(f.Azimuth))
	for i := range t.shoot.Rig.Sources {
		if src := &t.shoot.Rig.Sources[i]; givesLight(src) {
			told := &f.Reached[i]
			if src.Hand {
				told = &f.Asked[i]
			}
			fmt.Fprintf(&row, "  %-*s", cellWidth, t.cell(i, told.XY.XYZ(told.Y)))
		}
	}
	if t.changes && bytes.Equal(row.Bytes(), t.before) {
		return nil
	}
	t.before = row.Bytes()
	_, err := fmt.Fprintf(t.out, "%8.3f s%s\n", pace.Offset(f.K).Seconds(), bytes.TrimRight(row.Bytes(), " "))
	return err
}

// cell is a source's level and colour in one short column.
func (t *textTrace) cell(i int, c colour.XYZ) string {
	level := shareText(share(t.renderer, i, c))
	xy, ok := c.XY()
	if !ok {
		return level
	}
	if w, ok := nearWhite(xy); ok {
		return fmt.Sprintf("%s %.0f K", level, w.Kelvin)
	}
	return fmt.Sprintf("%s %.3f %.3f", level, xy.X, xy.Y)
}

// fit cuts a text to a number of characters.
func fit(text string, n int) string {
	if r := []rune(text); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return text
}
