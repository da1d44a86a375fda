package operate

import (
	"slices"

	"limn/cue"
	"limn/cue/flash"
	"limn/cue/motion"
	"limn/cue/steps"
	"limn/cue/sweep"
	"limn/cue/timeline"
)

// run is a sequence on its way. Like all of a moment it is never changed once it
// stands: a stepper is copied before it is told anything.
type run struct {
	name    string
	shots   []cue.Shot
	stepper steps.Stepper
	deed    steps.Deed // that comes next
	at      int64      // the frame it comes in; -1 = when something is reported

	moving *moving // of a sequence by angle
}

// moving is what a moving shot goes by.
type moving struct {
	sweep  *sweep.Sweep
	shot   *motion.Shot
	limits motion.Limits
	drive  string
	move   *motion.Move // under way
	since  int64        // frame it began in
}

// maxDeeds is how many deeds one frame may hold: none follows itself without light
// or a picture in between, so that it is never reached by a sound sequence.
const maxDeeds = 16

// play begins a sequence.
func (m *moment) play(k int64, c Command, r *Reply) {
	i := slices.IndexFunc(m.shoot.Sequences, func(q cue.Sequence) bool { return q.Name == c.Name })
	if i < 0 {
		r.refuse("there is no sequence %q", c.Name)
		return
	}
	q := &m.shoot.Sequences[i]
	shots, err := m.shoot.Expand(q)
	if err != nil {
		r.refuse("%v", err)
		return
	}
	for _, f := range flash.Check(m.shoot) {
		if within(f.Origin.File, f.Origin.Line, q, m.shoot) {
			if r.say("%s", f.String()); !f.Warning {
				r.Refused = true
			}
		}
	}
	if r.Refused {
		return
	}
	run := &run{name: q.Name, shots: shots, at: -1}
	if q.By == cue.ByAngle {
		if run.moving, err = m.movingShot(q, shots); err != nil {
			r.refuse("%v", err)
			return
		}
	}
	run.stepper = *steps.New(q, shots, steps.Options{Frames: timeline.Frames, Image: m.picture})
	m.run = run
	r.say("%s begins, %s; stop ends it", q.Name, countOf(len(shots), "step"))
	if q.By == cue.ByAngle && run.moving.drive == cue.DriveMotor && (m.player.Scene() == nil || !m.player.TableKnown()) {
		m.show(k, &shots[0], r) // hands are asked to say where the table stands
	}
	if r.Refused {
		return
	}
	m.advance(k, r)
}

// within says whether a fault stands in a sequence: at it, or at one of its steps.
func within(file string, line int, q *cue.Sequence, s *cue.Shoot) bool {
	if file != q.Origin.File || line < q.Origin.Line {
		return false
	}
	for i := range s.Sequences {
		if at := s.Sequences[i].Origin; at.File == file && at.Line > q.Origin.Line && at.Line <= line {
			return false
		}
	}
	return true
}

// movingShot is what a sequence by angle goes by, with the looks that lie on its cues.
func (m *moment) movingShot(q *cue.Sequence, shots []cue.Shot) (*moving, error) {
	cues := make([]*cue.Resolved, len(shots))
	for i := range shots {
		cues[i] = m.scene(shots[i].Cue)
	}
	s, err := sweep.New(cues, m.shoot.Camera.White.XY().UV())
	if err != nil {
		return nil, err
	}
	speed, accel, backlash, settle := m.shoot.TableLimits()
	v := &moving{sweep: s, drive: q.Turning.Drive, limits: motion.Limits{Speed: speed, Accel: accel, Backlash: backlash, Settle: settle}}
	first := m.shoot.FirstMark(q)
	limits, preRoll := v.limits, q.Turning.PreRoll.Seconds
	switch {
	case v.drive == cue.DriveMotor:
		if most := m.shoot.TableMost(); most > 0 {
			limits.Speed = most
		} else {
			limits.Speed = cue.MaxTurnSpeed
		}
		if preRoll == 0 {
			preRoll = cue.DefaultPreRoll
		}
	default: // the table is at its speed as it passes the first mark
		limits = motion.Limits{Speed: cue.MaxTurnSpeed, Accel: constantAccel}
		preRoll = 0
	}
	if v.drive != cue.DriveStream {
		v.shot = motion.NewShot(first, q.Turning.Travel(first), q.Turning.Speed, preRoll, limits)
	}
	return v, nil
}

// constantAccel gets a table that turns by itself to its speed at once, for all that a
// frame can tell: degrees a second each second.
const constantAccel = 1e7

// advance asks the stepper what comes next, and does what comes at once.
func (m *moment) advance(k int64, r *Reply) {
	if m.run == nil {
		return
	}
	n := *m.run
	m.run = &n
	for range maxDeeds {
		facts := steps.Facts{K: k, SettledAt: m.settledAt(k)}
		n.deed, n.at = n.stepper.Next(facts)
		if n.deed.Action == steps.Ready && n.moving.drive == cue.DriveMotor {
			// It comes to rest first, and hands have left it.
			if n.at = max(n.at, facts.SettledAt); facts.SettledAt < 0 {
				n.at = -1
			}
		}
		if n.at < 0 && m.self && m.confirmsItself(&n.stepper, k) {
			continue
		}
		if n.at < 0 || n.at > k {
			return
		}
		m.deed(k, r)
		if m.run == nil || r.Refused {
			return
		}
	}
	n.at = -1
}

// confirmsItself takes what a sequence waits for as done, if that is anything but
// hands.
func (m *moment) confirmsItself(s *steps.Stepper, k int64) bool {
	if len(m.player.Prompts()) > 0 || s.Trouble() != "" {
		return false
	}
	return s.Say(steps.Confirm, k) || s.Say(steps.Rolling, k) || m.run.deed.Ask != "" && s.Say(steps.Cut, k)
}

// settledAt is when all that was commanded has settled; -1 where that takes hands, or
// where the light is not the sequence's.
func (m *moment) settledAt(k int64) int64 {
	m.calc.Lock()
	defer m.calc.Unlock()
	if m.scratch == nil {
		m.scratch = m.player.NewState()
	}
	st := m.player.At(k, m.scratch)
	if l := m.layers(); l.Dark || l.Work {
		return -1
	}
	return st.SettledAt
}

// deed does what comes in frame k. m.run is the moment's own.
func (m *moment) deed(k int64, r *Reply) {
	n := m.run
	d := n.deed
	switch d.Action {
	case steps.CallCue:
		m.show(k, d.Shot, r)
	case steps.TakePicture:
		m.mark.Picture = &PictureMark{Entry: d.Entry, Of: len(n.shots), Shot: d.Shot, Take: d.Take, Image: d.Image, Name: d.Name, Text: d.Text}
		r.say("%s", d.Text)
	case steps.Over:
		r.say("%s", d.Text)
		m.run = nil
	case steps.Rest:
	default:
		m.turn(k, d, r)
	}
	n.stepper.Did(d.Action, k)
}

// show calls the light of an entry: its cue, or one source of it alone.
func (m *moment) show(k int64, shot *cue.Shot, r *Reply) {
	if m.layers().Cue != shot.Cue || m.layers().Here != nil {
		m.call(k, shot.Cue, r)
	}
	if l := m.layers(); !r.Refused && l.Alone != shot.Alone {
		l.Alone = shot.Alone
		m.lay(k, l, timeline.Timing{Fade: timeline.TrimFade}, r)
	}
}

// turn moves the table, or lets the light follow one that turns by itself.
func (m *moment) turn(k int64, d steps.Deed, r *Reply) {
	v := *m.run.moving
	at := m.azimuthAt(k)
	motor := v.drive == cue.DriveMotor
	shot := v.shot
	if d.Dry && shot != nil {
		shot = shot.Dry()
	}
	var how timeline.Timing
	var move *motion.Move
	switch d.Action {
	case steps.Ready:
		how.Fade = timeline.LookFade
		if motor {
			move = shot.Approach(at, true)
		} else {
			m.show(k, &m.run.shots[0], r)
			return
		}
	case steps.Roll:
		switch v.drive {
		case cue.DriveStream:
			m.told(m.player.Drive(k, v.sweep, nil, timeline.Timing{Fade: timeline.TrimFade}), r)
			return
		default:
			move = shot.Run
		}
	case steps.StopTable:
		if !motor || v.move == nil {
			return
		}
		move = v.move.Stop(float64(k-v.since)/timeline.Rate, v.limits)
	case steps.GoBack:
		move = shot.Back(at)
	default: // the end is held: light and table stay
		return
	}
	v.move, v.since = move, k
	m.run.moving = &v
	m.told(m.player.Drive(k, v.sweep, timeline.ByMove(move), how), r)
}

// azimuthAt is where the table is in frame k.
func (m *moment) azimuthAt(k int64) float64 {
	m.calc.Lock()
	defer m.calc.Unlock()
	if m.scratch == nil {
		m.scratch = m.player.NewState()
	}
	m.player.At(k, m.scratch)
	return m.scratch.Azimuth
}

// word tells a running sequence what the operator says.
func (m *moment) word(k int64, w steps.Word, r *Reply) {
	if m.run == nil {
		r.refuse("no sequence is running")
		return
	}
	n := *m.run
	m.run = &n
	if !n.stepper.Say(w, k) {
		r.refuse("the sequence does not wait for that: %s", n.deed.Text)
		return
	}
	m.advance(k, r)
}

// stop ends a sequence; the light stays.
func (m *moment) stop(r *Reply) {
	if m.run == nil {
		r.refuse("no sequence is running")
		return
	}
	r.say("%s is stopped at step %d of %d; the light stays", m.run.name, min(m.run.stepper.Entry()+1, len(m.run.shots)), len(m.run.shots))
	m.run = nil
}

// waits says whether the running sequence waits for a word, and for which deed.
func (m *moment) waits() (ask string, ok bool) {
	if m.run == nil {
		return "", false
	}
	d := m.run.deed
	switch {
	case d.Ask != "":
		return d.Ask, true
	case m.mayConfirmPicture():
		return d.Text, true
	case m.run.stepper.Trouble() != "":
		return m.run.stepper.Trouble() + "; resume takes it again, next leaves it out, stop ends", true
	}
	return "", false
}

// mayConfirmPicture says whether a picture is being taken.
func (m *moment) mayConfirmPicture() bool {
	if m.run == nil {
		return false
	}
	probe := m.run.stepper
	return m.run.at < 0 && m.run.deed.Action == steps.Rest && probe.Trouble() == "" && len(m.player.Prompts()) == 0 && probe.Say(steps.Confirm, 0)
}

// sequenced carries out a command that has another meaning while a sequence runs. It
// says whether it had one.
func (m *moment) sequenced(k int64, c Command, r *Reply) bool {
	if m.run == nil {
		return false
	}
	n := *m.run
	switch c.Verb {
	case Confirm:
		if len(m.player.Prompts()) > 0 || !n.stepper.Say(steps.Confirm, k) {
			return false
		}
	case Next:
		if !n.stepper.Say(steps.Onward, k) {
			return false
		}
	case Resume:
		if !n.stepper.Say(steps.Continue, k) {
			return false
		}
	case Missed:
		n.stepper.Captured(k, c.Name)
		r.say("the picture failed: %s; resume takes it again, next leaves it out", c.Name)
	case Picture:
		m.picture = c.Number
		n.stepper.Number(c.Number)
		r.say("the next picture is number %d", c.Number)
	case Go, GoTo, Back:
		r.say("%s is stopped", n.name)
		m.run = nil
		return false
	default:
		return false
	}
	m.run = &n
	return true
}
