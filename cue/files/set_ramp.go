package files

import (
	"fmt"

	"limn/cue"
	"limn/profiles/tomlfile"
)

func (w *planner) rampTarget(e SetRamp) ([]target, error) {
	source, err := w.source(e.Source)
	if err != nil {
		return nil, err
	}
	if e.Ramp == nil || len(e.Ramp.Points) == 0 || !allLevelled(e.Ramp) {
		return nil, fmt.Errorf("the ramp of %s does not say how bright it is everywhere", tomlfile.Quote(e.Source))
	}
	return w.copyTarget(copyOne{to: e.Cue, source: source})
}

// setRamp writes a ramp over whatever the cue said of a strip's light.
func (w *planner) setRamp(t *target, e SetRamp) error {
	points := make([]tomlfile.Inline, len(e.Ramp.Points))
	for i := range points {
		p := &e.Ramp.Points[i]
		points[i] = rampPoint(p, p.Level, p.Colour)
	}
	name, source, cueName := t.name, t.source, t.resolved
	w.proofs = append(w.proofs, func(is *cue.Shoot) error {
		r := is.Cues[is.CueIndex(cueName)].Light[source].Ramp
		if r == nil || len(r.Points) != len(points) {
			return fmt.Errorf("%s would not have the ramp in %s", name, cueName)
		}
		for i := range r.Points {
			got, want := &r.Points[i], &e.Ramp.Points[i]
			if got.At != want.At || words(got.Level) != words(want.Level) || words(got.Colour) != words(want.Colour) {
				return fmt.Errorf("%s would have another ramp in %s", name, cueName)
			}
		}
		return nil
	})
	return w.overwrite(t, tomlfile.Inline{{Key: "level", Value: e.Ramp.Points[0].Level.String()}, {Key: "ramp", Value: points}})
}
