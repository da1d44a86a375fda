package cue

import (
	"math"

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
	alone := *s // the work light as the only cue of a shoot
	alone.Cues = []Cue{{Name: "work light", Light: s.workEntries(r)}}
	v := newResolver(&alone, r)
	v.indexNames()
	v.checkRampsOf(alone.Cues[0].Light)
	st := &state{}
	v.over(&alone.Cues[0], st)
	out := &Resolved{}
	v.settle(0, st, out)
	for i := range out.Light {
		out.Light[i].Fade = WorkFade
	}
	return out
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
