package operate

import (
	"errors"
	"fmt"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
)

// filing says whether a verb touches files: it is then never the frame thread's.
func (v Verb) filing() bool {
	switch v {
	case Keep, KeepHere, KeepEverywhere, KeepAll, KeepAs, CopyTo, Mirror, NewAngle, Reload, MyLight, TheFiles, Approve, Attach, AsSent, SameLight:
		return true
	}
	return false
}

// job is what a command that touches files comes to: all that is slow, and all
// that must not be done twice, is over. What is left acts at a frame.
type job struct {
	refused  string
	question *question
	notices  []string

	shoot *cue.Shoot // to be taken up; nil: the shoot stays
	r     *fixtures.Renderer
	mark  Mark

	sent   *timeline.Sent // the present cue is played as it was sent
	unsent bool           // it is no longer played so
	kept   []int          // cues (of the shoot before) whose trims are in the files now
	to     string         // cue that is gone to; "" = the present one stays
	looks  bool           // the looks laid on by hand are in the new cue, and no longer laid on
	text   string         // what was done

	plan       *files.Plan // that was written; undo takes it back
	done       string      // the command, for undo to name it
	back, redo bool        // it takes back what was kept, or keeps it again
}

func refusal(format string, args ...any) *job { return &job{refused: fmt.Sprintf(format, args...)} }

// act carries out what is left of a job in frame k.
func (j *job) act(m *moment, k int64, r *Reply) {
	for _, n := range j.notices {
		r.say("%s", n)
	}
	switch {
	case j.refused != "":
		r.refuse("%s", j.refused)
		return
	case j.question != nil:
		m.ask(j.question, r)
		return
	}
	l, old := m.layers(), m.shoot
	if j.looks && len(l.Looks) > 0 {
		l.Looks = nil
	}
	if j.unsent {
		l.Sent = with(l.Sent, l.Cue, nil, false)
	}
	before, bottom := m.balance(), m.past
	for _, i := range j.kept {
		l = l.WithTrimsOf(i, nil)
		if i == l.Cue && l.Here != nil {
			l.Here = nil
		}
		m.put(i, nil)
		m.ahead = with(m.ahead, i, true, false)
	}
	if j.back {
		var gone Reply // a cue that is taken back is not missed, where another is gone back to
		m.reload(k, j.shoot, j.r, nil, &gone)
		if m.unkeep(k, j, r); m.layers().Cue < 0 {
			r.Notices = append(gone.Notices, r.Notices...)
		}
		m.mark = j.mark
		r.say("%s", j.text)
		return
	}
	if j.shoot != nil {
		m.reload(k, j.shoot, j.r, func(now timeline.Layers) timeline.Layers {
			now.Trims, now.Here, now.Looks = nil, nil, nil
			mapped, _ := l.Mapped(old, j.shoot)
			now.Trims, now.Here, now.Looks, now.Sent = mapped.Trims, mapped.Here, mapped.Looks, mapped.Sent
			return now
		}, r)
	}
	m.mark = j.mark
	if j.sent != nil {
		before := m.balance()
		now := m.layers()
		now.Sent = with(now.Sent, now.Cue, j.sent, true)
		if m.lay(k, now, timeline.Timing{Fade: timeline.LookFade}, r); r.Refused {
			return
		}
		m.done(string(AsSent), before)
	}
	if j.to != "" {
		if i := m.shoot.CueIndex(j.to); i >= 0 {
			m.call(k, i, r)
		}
	}
	if j.plan != nil && !r.Refused {
		// What going to a new cue may have put on the stack is part of it.
		m.past = bottom.mapped(old, m.shoot)
		m.done(j.done, before.mapped(old, m.shoot))
		m.past.plan, m.past.to = j.plan, j.to
	}
	if j.text != "" {
		r.say("%s", j.text)
	}
}

// plan works out what a command that touches files comes to, and does to the disk
// what it does. do is held.
func (e *Engine) plan(m *moment, c Command) *job {
	if c.Verb == Reload {
		return e.planReload(m)
	}
	if e.options.Folder == nil {
		return refusal("there is no folder here to keep anything in")
	}
	q, agreed := m.question, false
	switch c.Verb {
	case Apply: // to what was told before it is kept
		c, agreed = *q.keep, true
	case Undo, Redo:
		return e.planBack(m, c)
	case Approve:
		return e.planApproval(m)
	case Attach:
		return e.planPicture(m, c)
	case AsSent:
		return e.planAsSent(m)
	case MyLight, TheFiles:
		if q == nil || q.keep == nil || q.about != Reload {
			return refusal("nothing was asked that %q answers", c.Verb)
		}
		if c.Verb == TheFiles {
			return e.planReload(m)
		}
		if _, problems := e.options.Folder.Reload(); hasErrors(problems) {
			return refusal("what somebody else has written has errors: %s; mend it, then keep", firstError(problems))
		}
		c = *q.keep
	}
	w, bad := m.filingWork(c, e.options.Folder)
	if bad != nil {
		return bad
	}
	plan, err := e.options.Folder.Plan(w.edits)
	again := w.pins != nil || w.settle != nil
	if w.pins != nil { // without a plan too: the key switched off here may be what others count from
		pins := w.pins(plan)
		w.edits = append(pins, w.edits...)
		if text := pinned(pins); text != "" {
			w.job.notices = append(w.job.notices, text)
		}
	} else if err == nil && w.settle != nil {
		if j := w.settle(plan); j != nil {
			return j
		}
	}
	if err != nil && w.instead != nil {
		if j := w.instead(); j != nil {
			return j
		}
	}
	if again && (err == nil || w.pins != nil) {
		plan, err = e.options.Folder.Plan(w.edits)
	}
	if err != nil {
		return refusal("%v", err)
	}
	if w.check != nil && !agreed {
		if j := w.check(plan); j != nil {
			return j
		}
	}
	j := &w.job
	if len(plan.Changes()) > 0 {
		j.plan, j.done = plan, c.String()
	}
	j.notices = append(j.notices, plan.Said()...)
	for _, ch := range plan.Changes() {
		j.mark.Files = append(j.mark.Files, ch.Path)
	}
	j.mark.Kept = c.String()
	if e.options.Write {
		if err := plan.Write(files.By{What: c.String()}); err != nil {
			var changed *files.ChangedError
			if agreed && errors.As(err, &changed) {
				return refusal("somebody else has changed %s since it was read; nothing was written: reload, then %s again", cue.ShortList(changed.Files), c.Verb)
			}
			return writeFailed(err, c)
		}
	} else {
		plan.Adopt()
	}
	j.shoot = plan.Shoot()
	if j.r, err = fixtures.NewRenderer(j.shoot.Rig); err != nil {
		return refusal("%v", err)
	}
	e.prepared = map[*cue.Shoot][]bool{j.shoot: make([]bool, len(j.shoot.Resolved))}
	if len(j.mark.Files) == 0 {
		j.text = "the files say so already"
	} else if !e.options.Write {
		j.text += "; the files stay as they are (without --write)"
	}
	return j
}

// writeFailed is what becomes of a plan that could not be written.
func writeFailed(err error, c Command) *job {
	var changed *files.ChangedError
	if !errors.As(err, &changed) {
		return refusal("nothing was written: %v; the light and its trims stay", err)
	}
	return &job{question: &question{
		about: Reload, keep: &c,
		ask: Ask{
			Text: fmt.Sprintf("somebody else has changed %s since it was read; nothing was written", cue.ShortList(changed.Files)),
			Choices: []cue.Choice{
				{Text: "their changes, with yours over them", Command: string(MyLight)},
				{Text: "their changes; your trims stay unkept", Command: string(TheFiles)},
				{Text: "leave it for now", Command: string(NeverMind)},
			},
		},
	}}
}

func hasErrors(problems []files.Problem) bool { return firstError(problems) != "" }

func firstError(problems []files.Problem) string {
	for _, p := range problems {
		if !p.Warning {
			return p.String()
		}
	}
	return ""
}

// work is the edits of one command.
type work struct {
	edits   []files.Edit
	instead func() *job                    // where the first plan has errors: what may be done, nil = nothing
	settle  func(*files.Plan) *job         // looks at the first plan; may ask, or change the edits
	pins    func(*files.Plan) []files.Edit // hold the light of others; the plan is nil where it has errors
	check   func(*files.Plan) *job         // looks at the plan that is to be carried out; may ask first
	job     job
}

// filingWork is what a command asks of the files.
func (m *moment) filingWork(c Command, f *files.Folder) (*work, *job) {
	switch {
	case m.player.Scene() == nil:
		return nil, refusal("no cue has been called yet; next calls the first")
	case m.layers().Cue < 0:
		return nil, refusal("the cue is no longer in the files, and its light stays as it is; go to another first")
	}
	switch c.Verb {
	case Keep, KeepHere, KeepEverywhere:
		return m.keepWork(c, f)
	case KeepAll:
		return m.keepAllWork(c)
	case KeepAs, NewAngle:
		return m.newCueWork(c)
	case CopyTo:
		return m.copyWork(c)
	case Mirror:
		return m.mirrorWork(c)
	case SameLight:
		return m.sameLightWork(f)
	}
	return nil, refusal("%q is not to be had here", c.Verb)
}
