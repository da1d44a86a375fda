package main

import (
	"math"
	"slices"
	"time"

	"limn/cue"
	"limn/cue/journal"
	"limn/fixtures"
	"limn/fixtures/colour"
)

// shotCue is a cue as a run last left it: as its last picture was taken, or where none
// was, as it last settled.
type shotCue struct {
	state   journal.State
	picture bool
	at      time.Time
}

// shotCues reads from a run's journal how each cue stood.
func shotCues(run *journal.Run) map[string]shotCue {
	out := map[string]shotCue{}
	for e, err := range run.Entries() {
		if err != nil {
			continue // told of as damage
		}
		// Without any light it was a blackout, or hands wanted it dark: no picture.
		switch {
		case e.What == journal.KindCapture && e.Capture != nil && e.Capture.Cue != "" && e.Capture.Failure == "" && len(e.Capture.Lights) > 0:
			out[e.Capture.Cue] = shotCue{e.Capture.State, true, e.Time}
		case e.What == journal.KindSettle && e.State != nil && e.State.Cue != "" && len(e.State.Lights) > 0 && !out[e.State.Cue].picture:
			out[e.State.Cue] = shotCue{*e.State, false, e.Time}
		}
	}
	return out
}

// asShot gives the cues of a shoot the light that a run had. Those that it did not
// have stay nil. Cards and camera are told as the log has them only by its words, so
// they stay as the files have them.
func asShot(shoot *cue.Shoot, shot map[string]shotCue) ([]*cue.Resolved, error) {
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		return nil, err
	}
	out := make([]*cue.Resolved, len(shoot.Cues))
	for i := range shoot.Cues {
		c, ok := shot[shoot.Cues[i].Name]
		if !ok {
			continue
		}
		res := shoot.Resolved[i]
		res.Light = slices.Clone(res.Light)
		if c.state.Azimuth != nil && res.HasAngle {
			res.Azimuth = *c.state.Azimuth
		}
		// The key first: what stands against it follows it, and is then told its own.
		order := make([]int, 0, len(shoot.Rig.Sources))
		if key := shoot.Key(); key >= 0 {
			order = append(order, key)
		}
		for n := range shoot.Rig.Sources {
			if n != shoot.Key() {
				order = append(order, n)
			}
		}
		for _, n := range order {
			l := loggedOf(c.state.Lights, shoot.Rig.Sources[n].Name)
			if l == nil {
				if res.Light[n].Asked.Y > 0 {
					shoot.Relit(r, &res, n, colour.XYZ{}, nil)
				}
				continue
			}
			light, known := loggedLight(r, n, &shoot.Rig.Sources[n], l)
			if !known || alike(light, res.Light[n].Asked) {
				continue
			}
			shoot.Relit(r, &res, n, light, nil)
			if l.Level != "" {
				res.Light[n].Level = l.Level
			}
			if l.Colour != "" {
				res.Light[n].Colour = l.Colour
			}
		}
		out[i] = &res
	}
	return out, nil
}

func loggedOf(all []journal.Light, name string) *journal.Light {
	for i := range all {
		if all[i].Source == name {
			return &all[i]
		}
	}
	return nil
}

// loggedLight is a light out of the log in the source's own unit.
func loggedLight(r *fixtures.Renderer, n int, src *fixtures.Source, l *journal.Light) (light colour.XYZ, known bool) {
	if l.XY == nil || !(l.XY[1] > 0) {
		return light, false
	}
	xy := colour.XY{X: l.XY[0], Y: l.XY[1]}
	switch {
	case l.Lux != nil && src.Full > 0:
		light = xy.XYZ(*l.Lux / src.Full)
	case l.Share != nil && !src.Hand:
		light = xy.XYZ(*l.Share * r.Reach(n, xy).MaxY)
	default:
		return light, false
	}
	return light, light.Y > 0 && light.Y <= mostLogged
}

// mostLogged is more than any light gives of its most: beyond it a log is damaged.
const mostLogged = 2.0

// alike says whether a light of the log is the written one but for the rounding of its
// codes: then it keeps its words, and a ramp its cells.
func alike(a, b colour.XYZ) bool {
	if !(b.Y > 0) {
		return false
	}
	p, okA := a.XY()
	q, okB := b.XY()
	u, v := p.UV(), q.UV()
	return okA && okB && math.Abs(math.Log2(a.Y/b.Y)) <= alikeStops && math.Hypot(u.U-v.U, u.V-v.V) <= alikeColour
}

const (
	alikeStops  = 0.1  // the rounding rule's 5 %, and some
	alikeColour = 0.02 // u'v', as deep down as the moving rule takes over
)

// sheetLog reads the log of a sheet "as shot": the light of its cues, which they are,
// and what to call it.
func sheetLog(at string, shoot *cue.Shoot, wanted []string, std stdio) (light []*cue.Resolved, cues []string, source string, err error) {
	run, _, err := openLog(at)
	if err != nil {
		return nil, nil, "", err
	}
	for _, d := range run.Damage {
		note(std.Err, "%s: %s", run.Path, d)
	}
	shot := shotCues(run)
	for name := range shot {
		if shoot.CueIndex(name) < 0 {
			note(std.Err, "%q was shot but is no cue of the shoot any more; it is left out", name)
		}
	}
	if light, err = asShot(shoot, shot); err != nil {
		return nil, nil, "", failuref(statusFiles, "", "%v", err)
	}
	for i := range shoot.Cues {
		if name := shoot.Cues[i].Name; light[i] != nil && (len(wanted) == 0 || slices.Contains(wanted, name)) {
			cues = append(cues, name)
		}
	}
	if len(cues) == 0 {
		return nil, nil, "", failuref(statusFailed, "name another log, or leave --log out", "none of the cues asked for settled in the run of %s", run.Begun.Format("2006-01-02 15:04"))
	}
	return light, cues, "as shot in the run of " + run.Begun.Format("2006-01-02 15:04"), nil
}
