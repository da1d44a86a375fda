package cue

import (
	"fmt"
	"math"
	"slices"

	"limn/fixtures"
)

// CheckSequences finds what is wrong or doubtful with sequences beyond the names
// of their cues, which Resolve looks at. It needs a resolved shoot without errors.
func (s *Shoot) CheckSequences() []fixtures.Fault {
	var c sequenceCheck
	for i := range s.Sequences {
		q := &s.Sequences[i]
		cues, unknown := s.stepCues(q)
		if unknown >= 0 || len(cues) == 0 {
			continue // told elsewhere
		}
		switch q.By {
		case ByFrame:
			c.pictures(s, q, cues)
		case ByAngle:
			c.turning(s, q, cues)
		}
	}
	return c.faults
}

type sequenceCheck struct{ faults []fixtures.Fault }

func (c *sequenceCheck) err(at fixtures.Origin, cure, format string, args ...any) {
	c.faults = append(c.faults, fixtures.Fault{Origin: at, What: fmt.Sprintf(format, args...), Cure: cure})
}

func (c *sequenceCheck) warn(at fixtures.Origin, cure, format string, args ...any) {
	c.err(at, cure, format, args...)
	c.faults[len(c.faults)-1].Warning = true
}

// or is a place, or another where the first is none.
func or(at, other fixtures.Origin) fixtures.Origin {
	if at == (fixtures.Origin{}) {
		return other
	}
	return at
}

// pictures checks a sequence by frame.
func (c *sequenceCheck) pictures(s *Shoot, q *Sequence, cues []int) {
	if _, err := s.planPictures(q, cues); err != nil {
		c.err(q.Origin, "make several sequences of it", "angles x frames x focus x passes x exposures come to more than %d pictures", MaxShots)
		return
	}
	for _, i := range q.Pictures.Passes {
		if !slices.ContainsFunc(cues, func(c int) bool { return s.lit(c, i) }) {
			c.warn(or(q.Pictures.At.Passes, q.Origin), "light it, or take it out of passes",
				"%q is off in every cue of the sequence, so it has no pass", s.Rig.Sources[i].Name)
		}
	}
}

// turning checks a sequence by angle.
func (c *sequenceCheck) turning(s *Shoot, q *Sequence, cues []int) {
	t := &q.Turning
	byAzimuth := make([]int, 0, len(q.Steps)) // steps
	for i := range q.Steps {
		r := &s.Resolved[cues[i]]
		if !r.HasAngle {
			c.err(q.Steps[i].Origin, "give the cue an angle", "cue %q has no angle, and the sequence goes by angle", r.Name)
			continue
		}
		byAzimuth = append(byAzimuth, i)
	}
	c.clash(s, q, cues, byAzimuth)
	c.hands(s, q, cues)
	if t.Drive == DriveStream {
		return
	}
	if t.Speed != 0 && math.Abs(t.Travel(s.FirstMark(q))) <= DeadBand {
		c.err(or(t.At.To, q.Origin), "write turns = 1 for one full turn", "the last mark is the first one, so the table does not turn")
	}
	if t.Drive == DriveMotor {
		c.motor(s, q)
	}
}

// clash finds two cues at one azimuth: the light there cannot be both.
func (c *sequenceCheck) clash(s *Shoot, q *Sequence, cues, steps []int) {
	resolved := func(step int) *Resolved { return &s.Resolved[cues[step]] }
	sorted := slices.Clone(steps)
	turned := func(step int) float64 {
		a := math.Mod(resolved(step).Azimuth, 360)
		if a < 0 {
			a += 360
		}
		return a
	}
	slices.SortStableFunc(sorted, func(a, b int) int {
		if turned(a) < turned(b) {
			return -1
		}
		if turned(a) > turned(b) {
			return 1
		}
		return a - b
	})
	for i := range sorted {
		a, b := sorted[i], sorted[(i+1)%len(sorted)]
		if len(sorted) < 2 || (len(sorted) == 2 && i == 1) {
			break
		}
		if math.Abs(Turn(resolved(a).Azimuth, resolved(b).Azimuth)) <= DeadBand {
			c.err(q.Steps[max(a, b)].Origin, "keep one of the two",
				"cues %q and %q stand at the same angle, %s°, where the light can only be one of them",
				resolved(min(a, b)).Name, resolved(max(a, b)).Name, degrees(resolved(a).Azimuth))
		}
	}
}

// hands warns of what would have to be moved while the table turns.
func (c *sequenceCheck) hands(s *Shoot, q *Sequence, cues []int) {
	first := s.Resolved[cues[0]]
	for i := 1; i < len(q.Steps); i++ {
		r := s.Resolved[cues[i]]
		r.HasAngle = false // the turn itself is no matter for hands
		if todo := s.Hands(&first, &r); len(todo) > 0 {
			c.warn(q.Steps[i].Origin, "keep what hands set the same in all cues of the sequence",
				"cue %q would need hands while the table turns: %s", r.Name, todo[0])
		}
	}
}

// motor checks that the table can do what is asked.
func (c *sequenceCheck) motor(s *Shoot, q *Sequence) {
	t := &q.Turning
	if s.Turntable.Hand || s.Turntable.Drive == "" {
		c.err(or(t.At.Drive, q.Origin), `write drive = "constant" or "stream", or name the table's source in [turntable]`,
			"the sequence is driven by motor, and the turntable is turned by hand")
		return
	}
	if most := s.TableMost(); most > 0 && math.Abs(t.Speed) > most {
		c.err(or(t.At.Speed, q.Origin), fmt.Sprintf("it allows up to %g deg/s; see speed in [turntable] and in its profile", most),
			"%q cannot turn at %g deg/s", s.Turntable.Drive, math.Abs(t.Speed))
	}
}
