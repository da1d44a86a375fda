package cue

import (
	"fmt"
	"strings"

	"limn/fixtures"
)

// checkRamps finds ramps that are none, and ramps on sources without cells.
// Entries of a group share one ramp, which is complained of once.
func (v *resolver) checkRamps() {
	for i := range v.shoot.Looks {
		v.checkRampsOf(v.shoot.Looks[i].Light)
	}
	for i := range v.shoot.Cues {
		c := &v.shoot.Cues[i]
		v.checkRampsOf(c.Light)
		for k := range c.Exceptions {
			v.checkRampsOf(c.Exceptions[k].Light)
		}
	}
	v.checkRampsOf(v.shoot.Work.Light)
}

func (v *resolver) checkRampsOf(light map[int]Entry) {
	for i := range v.shares {
		r := light[i].Ramp
		if r == nil {
			continue
		}
		sound, seen := v.ramps[r]
		if !seen {
			sound = v.checkRamp(r)
		}
		if sound && v.cellCount(i) == 1 {
			v.noCells(i, r)
			sound = false
		}
		v.ramps[r] = sound
	}
}

// sound is an entry whose ramp can be used. One that cannot has been reported:
// what is missing then is unclear.
func (v *resolver) sound(i int, e *Entry) *Entry {
	if e.Ramp == nil || v.ramps[e.Ramp] {
		return e
	}
	without := *e
	without.Ramp, without.Unclear = nil, true
	return &without
}

// cellCount is the number of cells of a source. One whose profile is not known
// is taken for a strip: who looked the profile up has said so.
func (v *resolver) cellCount(i int) int {
	switch src := &v.shoot.Rig.Sources[i]; {
	case src.Profile != nil:
		return src.Profile.CellCount()
	case src.Hand:
		return 1
	}
	return 2
}

func (v *resolver) noCells(i int, r *Ramp) {
	var strips []string
	for k := range v.shoot.Rig.Sources {
		if src := &v.shoot.Rig.Sources[k]; src.Profile != nil && v.cellCount(k) > 1 {
			strips = append(strips, fmt.Sprintf("%q", src.Name))
		}
	}
	cure := "write one level and colour"
	if len(strips) > 0 {
		cure += ", or a ramp for " + strings.Join(strips, ", ")
	}
	v.findings.err(r.Origin, cure, "%q has no cells that a ramp could run along", v.shoot.Rig.Sources[i].Name)
}

// checkRamp looks at one ramp by itself.
func (v *resolver) checkRamp(r *Ramp) bool {
	n := len(v.findings.list)
	switch count := len(r.Points); {
	case count > MaxRampPoints:
		v.findings.err(r.Origin, fmt.Sprintf("%d are the most", MaxRampPoints), "a ramp of %d points", count)
		return false
	case count < 2:
		v.findings.err(r.Origin, `write both ends, as in ramp = [{ at = 0, level = "20 %" }, { at = 1, level = "60 %" }]`,
			"a ramp of %s", [...]string{"no points", "one point"}[count])
	}
	says := false
	for i := range r.Points {
		p := &r.Points[i]
		says = says || p.Level != nil || p.Colour != nil
		switch {
		case !(p.At >= 0 && p.At <= 1):
			v.findings.err(p.AtAt, "it is a share of the strip's length: 0 is its first cell, 1 its last", "there is no point at %g of a strip", p.At)
		case i > 0 && p.At == r.Points[i-1].At:
			low := min(p.At, 0.99)
			v.findings.err(p.AtAt, fmt.Sprintf("leave a little between them for a hard edge, as in %.4g and %.4g", low, low+0.01), "a second point at %g", p.At)
		case i > 0 && p.At < r.Points[i-1].At:
			v.findings.err(p.AtAt, "write the points in the order of the strip", "the point at %g comes after that at %g", p.At, r.Points[i-1].At)
		}
		if i == 0 && (p.Curve != nil || p.Path != nil) {
			v.findings.err(p.Origin, "write curve and path at the point that a stretch leads to", "the first point of a ramp has a curve or a path, but no stretch leads to it")
		}
	}
	sound := len(v.findings.list) == n
	if sound && !says {
		v.findings.warn(r.Origin, `write what differs, as in { at = 0, level = "20 %" } or { at = 0, colour = "3200 K" }`,
			"no point of the ramp has a level or a colour")
	}
	return sound
}

// darkPoint tells of a point that nobody gave a level, beside others that have one.
func (v *resolver) darkPoint(i int, p *wantAt) {
	v.findings.in(i, v.shoot.Cues[i].Name, noLevel, p.source, 0, fixtures.Fault{
		Origin: p.place, Warning: true,
		What: fmt.Sprintf("%q has no level at %g of its ramp: it is dark there", v.shoot.Rig.Sources[p.source].Name, p.at),
		Cure: `write a level there, level = "off" if dark is meant`,
	})
}
