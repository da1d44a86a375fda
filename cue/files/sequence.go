package files

import (
	"limn/cue"
	"limn/cue/flash"
	"limn/profiles/tomlfile"
)

func isEmpty(v tomlfile.Value) bool {
	list, ok := v.List()
	return ok && len(list) == 0
}

// sequence reads one [[sequence]].
func (l *loader) sequence(t *tomlfile.Table) {
	if !l.room(len(l.shoot.Sequences), cue.MaxNames, "sequences", t) {
		return
	}
	s := cue.Sequence{Origin: origin(t.Pos()), By: cue.ByStep}
	s.Name = l.name(t, `name = "round the boat"`)
	if by, ok := t.OneOf("by", cue.SequenceKinds()...); ok {
		s.By = by
	}
	l.steps(t, &s)
	pictures := l.pictures(t)
	turning := l.turning(t)
	switch s.By {
	case cue.ByFrame:
		s.Pictures = pictures
	case cue.ByAngle:
		l.completeTurning(t, &turning)
		s.Turning = turning
	}
	l.only(t, &s, cue.ByFrame, "frames", "interval", "exposures", "focus", "passes", "order")
	l.only(t, &s, cue.ByAngle, "drive", "speed", "from", "to", "turns", "pre-roll", "return")
	l.shoot.Sequences = append(l.shoot.Sequences, s)
}

// only reports keys that have a meaning in another kind of sequence.
func (l *loader) only(t *tomlfile.Table, s *cue.Sequence, by string, keys ...string) {
	if s.By == by {
		return
	}
	for _, key := range keys {
		if t.Has(key) {
			l.ps.Error(t.KeyPos(key), "write by = "+tomlfile.Quote(by)+", or take it out",
				"%s is for sequences by %s, and this one goes by %s", key, by, s.By)
		}
	}
}

// steps reads the cues of a sequence.
func (l *loader) steps(t *tomlfile.Table, s *cue.Sequence) {
	t.Require("steps", `steps = [{ cue = "bow", stay = "4 s" }]`)
	steps := t.Tables("steps")
	if len(steps) > cue.MaxSteps {
		l.ps.Error(t.ValuePos("steps"), "split it", "a sequence of %d steps, more than %d", len(steps), cue.MaxSteps)
		steps = steps[:cue.MaxSteps]
	}
	if v, ok := t.Value("steps"); ok && isEmpty(v) {
		l.ps.Error(v.Pos(), `write steps = [{ cue = "bow", stay = "4 s" }]`, "the sequence has no steps")
	}
	for _, st := range steps {
		step := cue.Step{}
		if st.Require("cue", `cue = "bow"`) {
			name, ok := st.String("cue")
			if ok && name == "" {
				l.ps.Error(st.ValuePos("cue"), `write cue = "bow"`, "the name of the cue is empty")
			}
			step.Cue = name
		}
		step.Origin = origin(st.ValuePos("cue"))
		step.Stay, _ = tomlfile.Read(st, "stay", l.words.time)
		if s.By == cue.ByTime {
			st.Require("stay", `stay = "4 s", as the sequence goes by time`)
		}
		step.Frames = l.count(st, "frames", cue.MaxFrames)
		if s.By != cue.ByFrame && st.Has("frames") {
			l.ps.Error(st.KeyPos("frames"), `write by = "frame", or take it out`, "frames is for sequences by frame, and this one goes by %s", s.By)
		}
		if step.Cue != "" {
			s.Steps = append(s.Steps, step)
		}
	}
}

// count reads a whole number from 1 on; 0 where there is none that counts.
func (l *loader) count(t *tomlfile.Table, key string, most int) int {
	n, ok := t.Int(key)
	if ok && (n < 1 || n > most) {
		l.ps.Error(t.ValuePos(key), "write a whole number from 1 to "+itoa(most), "%s = %d is out of range", key, n)
		return 0
	}
	return n
}

// checkSequences looks at sequences as a whole, once the light of every cue is
// known: where it is not, its figures would only mislead.
func (l *loader) checkSequences() {
	if !l.damaged && !l.ps.Failed() {
		l.report(l.shoot.CheckSequences())
		l.report(flash.Check(l.shoot))
	}
}
