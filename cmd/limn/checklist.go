package main

import (
	"time"

	"limn/cue"
)

// burn notes since when each source has been lit.
func (d *desk) burn(s *cue.Snapshot) {
	if d.lit == nil {
		d.lit = map[int]time.Time{}
	}
	for i := range s.Sources {
		if !(s.Sources[i].Reached.Y > 0) {
			delete(d.lit, i)
		} else if _, known := d.lit[i]; !known {
			d.lit[i] = time.Now()
		}
	}
}

// checklist says what to look at before the present cue is taken again.
func (d *desk) checklist() {
	lit := make(map[int]time.Duration, len(d.lit))
	for i, since := range d.lit {
		lit[i] = time.Since(since)
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
