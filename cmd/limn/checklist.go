package main

import (
	"time"

	"limn/cue"
)

// burn notes since when each source has been lit.
func (d *desk) burn(s *cue.Snapshot) {
	if d.lit == nil {
		d.lit = map[string]time.Time{}
	}
	sources := d.stage.engine.Shoot().Rig.Sources
	for i := range s.Sources {
		if i >= len(sources) {
			break // the files have just changed
		}
		name := sources[i].Name
		if !(s.Sources[i].Reached.Y > 0) {
			delete(d.lit, name)
		} else if _, known := d.lit[name]; !known {
			d.lit[name] = time.Now()
		}
	}
}

// checklist says what to look at before the present cue is taken again.
func (d *desk) checklist() {
	lit := make(map[int]time.Duration, len(d.lit))
	for i, src := range d.stage.engine.Shoot().Rig.Sources {
		if since, known := d.lit[src.Name]; known {
			lit[i] = time.Since(since)
		}
	}
	checks := d.stage.engine.Recall(lit)
	if len(checks) == 0 {
		note(d.out, "%11snothing has been called yet", "")
	}
	for _, c := range checks {
		mark := "look: "
		if c.Done {
			mark = "good: "
		}
		note(d.out, "%11s%s%s", "", mark, c.Text)
	}
}
