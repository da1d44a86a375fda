package main

import (
	"fmt"
	"math"
	"strings"

	"limn/cue"
	"limn/cue/files"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// settledFrames are the slots of a cue when its fade is over.
func settledFrames(shoot *cue.Shoot, res *cue.Resolved, r *fixtures.Renderer) [][fixtures.UniverseSize]byte {
	n := len(shoot.Rig.Sources)
	state := fixtures.State{Light: make([]colour.XYZ, n), Cells: make([][]colour.XYZ, n), Offset: make([][]int, n)}
	for i := range res.Light {
		l := &res.Light[i]
		state.Light[i], state.Cells[i] = l.Asked, l.Cells
		if l.Cells != nil {
			state.Offset[i] = make([]int, r.Layout(i).Codes())
			r.LandCells(i, l.Cells, state.Offset[i])
			continue
		}
		state.Offset[i] = make([]int, r.Controls(i))
		r.Land(i, l.Asked, state.Offset[i])
	}
	frames := make([][fixtures.UniverseSize]byte, len(r.Universes()))
	r.Render(&state, frames)
	return frames
}

// missed says how what was sent missed what was asked; empty for what nobody sees.
func missed(d *files.Difference) string {
	if d.Source == "" || math.IsInf(d.Stops, 0) {
		return ""
	}
	const seenStops, seenSteps = 0.05, 0.5
	var parts []string
	if s := math.Abs(d.Stops); s >= seenStops {
		parts = append(parts, fmt.Sprintf("%.2f stop %s", s, map[bool]string{true: "brighter", false: "dimmer"}[d.Stops > 0]))
	}
	if d.Steps >= seenSteps {
		text := fmt.Sprintf("%.1f u'v' steps off in colour", d.Steps)
		if !math.IsNaN(d.Kelvin) {
			text += fmt.Sprintf(" (%+.0f K, Duv %+.4f)", d.Kelvin, d.Tint)
		}
		parts = append(parts, text)
	}
	if parts == nil {
		return ""
	}
	return d.Source + " was " + strings.Join(parts, " and ")
}

// changeText is how a reading differs from what was known: "0.12 stop more than known".
func changeText(now, was float64) string {
	stops := math.Log2(now / was)
	switch {
	case math.Abs(stops) < 0.05:
		return "as known"
	case stops > 0:
		return fmt.Sprintf("%.2g stop more than known", stops)
	}
	return fmt.Sprintf("%.2g stop less than known", -stops)
}

func stepsApart(a, b colour.XY) float64 { return colour.Steps(a, b) }
