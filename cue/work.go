package cue

import (
	"math"
	"slices"

	"limn/fixtures"
)

const (
	// WorkShare is the level of the work light where nobody wrote one, of the
	// most each source gives. Common practice, no source.
	WorkShare = 0.25
	// WorkFade is how long work light takes to come and go, seconds.
	WorkFade = 1.0
	// whiteReach is how far off the camera's white, in Δu'v', a source may be at
	// its nearest and still serve as work light when there is no key: what anybody
	// still calls white, by the Duv that [colour.IsWhite] allows.
	whiteReach = 0.02
)

// WorkLight is the light to work by, as of a cue without an angle: what was
// written; else the key, else every source that can make about the camera's
// white, at [WorkShare] of the most it gives there.
//
// The renderer must not be in use by another goroutine.
func (s *Shoot) WorkLight(r *fixtures.Renderer) *Resolved {
	out, _ := s.workLight(r, s.workEntries(r))
	for i := range out.Light {
		out.Light[i].Fade = WorkFade
	}
	return out
}

// workLight resolves the work light as the only cue of a shoot.
func (s *Shoot) workLight(r *fixtures.Renderer, entries map[int]Entry) (*Resolved, []fixtures.Fault) {
	alone := *s
	alone.Cues = []Cue{{Name: "work light", Light: entries}}
	v := newResolver(&alone, r)
	v.indexNames()
	v.checkRampsOf(entries)
	v.findings = findings{} // of ramps, which Resolve looks at with the others
	st := &state{}
	v.over(&alone.Cues[0], st)
	v.checkOwn(&alone.Cues[0], st)
	out := &Resolved{}
	v.settle(0, st, out)
	return out, v.findings.faults()
}

// checkWork finds what is wrong or doubtful with a written work light, but for
// what is known already of its colours.
func (v *resolver) checkWork(known []fixtures.Fault) []fixtures.Fault {
	if len(v.shoot.Work.Light) == 0 {
		return nil
	}
	_, faults := v.shoot.workLight(v.renderer, v.shoot.Work.Light)
	return slices.DeleteFunc(faults, func(f fixtures.Fault) bool {
		return slices.ContainsFunc(known, func(k fixtures.Fault) bool { return k.What == f.What })
	})
}

func (s *Shoot) workEntries(r *fixtures.Renderer) map[int]Entry {
	if len(s.Work.Light) > 0 {
		return s.Work.Light
	}
	level := Level{}.With(WorkShare)
	if key := s.Key(); key >= 0 && !s.Rig.Sources[key].Hand {
		return map[int]Entry{key: {Level: &level}}
	}
	entries := map[int]Entry{}
	white := s.Camera.White.XY()
	for i := range s.Rig.Sources {
		if aim := r.Reach(i, white); !s.Rig.Sources[i].Hand && aim.MaxY > 0 && aim.DeltaUV <= whiteReach {
			entries[i] = Entry{Level: &level}
		}
	}
	return entries
}

// Total is the light of several sources together, as a flat meter reads it at
// the aim point facing each in turn.
type Total struct {
	Lux     float64 // of the sources with a reading
	Unknown []int   // lit sources without one
}

// TotalLux adds up what the lit sources of a light give at the aim point.
func (r *Resolved) TotalLux() Total {
	var t Total
	for i := range r.Light {
		switch l := &r.Light[i]; {
		case !(l.Asked.Y > 0):
		case math.IsNaN(l.Lux):
			t.Unknown = append(t.Unknown, i)
		default:
			t.Lux += l.Lux
		}
	}
	return t
}
