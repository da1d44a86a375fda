package cue

import (
	"fmt"
	"slices"
	"strings"

	"limn/fixtures/quantity"
)

// Shot is one entry of a sequence told out: what light stands, where the focus
// is, and which picture is taken, if any.
type Shot struct {
	Step    int // index in Sequence.Steps
	Cue     int // index in Shoot.Cues
	Azimuth float64
	HasTurn bool // the cue has an azimuth

	Alone int    // source that is lit by itself, at its level in the cue; -1 = all
	Light string // its name; "" = all
	Pass  int    // 1..; 0 = the sequence has no light passes

	Focus    quantity.Length
	FocusNo  int // 1..; 0 = the focus stays as it is set
	Frame    int // 1.. of this cue
	Exposure int // 1.. of the very same

	Stay    float64 // by time: seconds it rests once it has settled; by step -1: until told
	Picture bool    // a picture is taken
	Name    string  // for its files; "" of what is no picture

	split int // in Name: where the number of the take goes
}

// TakeName is Name for a take: the first is called by Name alone, "harbour-t02-0007-bow" is of
// the second. Names of one take sort in the order they are taken.
func (s *Shot) TakeName(take int) string {
	if take <= 1 || s.Name == "" {
		return s.Name
	}
	return fmt.Sprintf("%s-t%02d%s", s.Name[:s.split], take, s.Name[s.split:])
}

// Expand tells a sequence out, entry by entry. It needs a shoot that is resolved.
// By step and by time there is an entry for each step; by frame, one for each
// picture, in the order asked for; by angle, one for each cue, in the order the
// table passes them. It fails with a message for the user where there would be
// more than MaxShots, or none, and where a step's cue does not exist.
func (s *Shoot) Expand(q *Sequence) ([]Shot, error) {
	cues, unknown := s.stepCues(q)
	if unknown >= 0 {
		return nil, fmt.Errorf("sequence %q: no cue is called %q", q.Name, q.Steps[unknown].Cue)
	}
	if len(cues) == 0 {
		return nil, fmt.Errorf("sequence %q has no steps; write steps = [{ cue = \"bow\" }]", q.Name)
	}
	switch q.By {
	case ByFrame:
		return s.pictures(q, cues)
	case ByAngle:
		return s.passed(q, cues), nil
	}
	shots := make([]Shot, len(cues))
	for i, c := range cues {
		shots[i] = s.shot(i, c)
		shots[i].Stay = -1
		if stay := q.Steps[i].Stay; stay != nil && q.By == ByTime {
			shots[i].Stay = stay.Seconds
		}
	}
	return shots, nil
}

// fewSteps is up to how many steps it is no slower to look for each of their cues.
const fewSteps = 8

// stepCues lists the cue of every step, by its index; unknown is the first step whose cue does not exist or
// is not resolved, -1 if there is none.
func (s *Shoot) stepCues(q *Sequence) (cues []int, unknown int) {
	find := s.CueIndex
	if len(q.Steps) > fewSteps {
		index := make(map[string]int, len(s.Cues))
		for i := range s.Cues {
			put(index, s.Cues[i].Name, i)
		}
		find = func(name string) int {
			if i, ok := index[name]; ok {
				return i
			}
			return -1
		}
	}
	cues = make([]int, len(q.Steps))
	for i := range q.Steps {
		if cues[i] = find(q.Steps[i].Cue); cues[i] < 0 || cues[i] >= len(s.Resolved) {
			return nil, i
		}
	}
	return cues, -1
}

// shot is a step in the whole light of its cue.
func (s *Shoot) shot(step, cue int) Shot {
	r := &s.Resolved[cue]
	return Shot{Step: step, Cue: cue, Azimuth: r.Azimuth, HasTurn: r.HasAngle, Alone: -1, Frame: 1, Exposure: 1}
}

// FirstMark is the azimuth at which a sequence by angle begins: as written, else
// that of its first cue.
func (s *Shoot) FirstMark(q *Sequence) float64 {
	if q.Turning.From != nil {
		return *q.Turning.From
	}
	if len(q.Steps) > 0 {
		if i := s.CueIndex(q.Steps[0].Cue); i >= 0 && i < len(s.Resolved) {
			return s.Resolved[i].Azimuth
		}
	}
	return 0
}

// passed lists the cues in the order the table passes them.
func (s *Shoot) passed(q *Sequence, cues []int) []Shot {
	shots := make([]Shot, len(cues))
	for i, c := range cues {
		shots[i] = s.shot(i, c)
	}
	first := s.FirstMark(q)
	ahead := func(azimuth float64) float64 {
		way := Turn(first, azimuth)
		if q.Turning.Speed < 0 {
			way = -way
		}
		if way < 0 {
			way += 360
		}
		return way
	}
	slices.SortStableFunc(shots, func(a, b Shot) int {
		x, y := ahead(a.Azimuth), ahead(b.Azimuth)
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return shots
}

// Say is a shot in words for the operator: "frame 3 of 7, focus 0.482 m, sky alone".
func (s *Shot) Say(of int, at int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "frame %d of %d", at, of)
	if s.FocusNo > 0 {
		b.WriteString(", focus " + s.Focus.String())
	}
	switch {
	case s.Pass > 0 && s.Light == "":
		b.WriteString(", all lights")
	case s.Pass > 0:
		b.WriteString(", " + s.Light + " alone")
	}
	return b.String()
}
