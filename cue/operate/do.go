package operate

import "limn/cue/steps"

// MaxMessages is the most lines of answers that a snapshot holds.
const MaxMessages = 20

// Do carries out a command at the next frame. It returns when it is done, which
// may take some milliseconds a source the first time a cue is called.
func (e *Engine) Do(c Command) Reply { return e.DoAt(0, c) }

// DoAt carries out a command at frame k: at once if k is the next frame or
// past, when its time has come if it is later; the answer then goes to the
// notices of snapshots.
func (e *Engine) DoAt(k int64, c Command) Reply {
	e.do.Lock()
	reply := e.doAt(k, c)
	e.lookAhead()
	e.do.Unlock()
	e.Tell()
	return reply
}

// maxTries is how often a command is worked out outside of mu before the frame
// thread is made to wait for it.
const maxTries = 4

// doAt carries out what comes before a command in its frame, and the command. do
// is held.
func (e *Engine) doAt(k int64, c Command) Reply {
	var j *job
	for try := 1; ; try++ {
		e.first(k)
		if reply, ok := e.carry(k, c, &j, try >= maxTries); ok {
			return reply
		}
	}
}

// first carries out what a sequence and the queue have for the next frame, where a
// command of frame k acts in it.
func (e *Engine) first(k int64) {
	for {
		e.mu.Lock()
		m, next := e.now, e.filled+1
		auto := m.auto()
		switch {
		case k > next:
			e.mu.Unlock()
			return
		case auto >= 0 && auto <= next && !e.hasDue(auto-1):
			e.mu.Unlock()
			e.runOn(m, auto)
			continue
		case !e.hasDue(next):
			e.mu.Unlock()
			return
		}
		q := e.pop()
		e.busy = true // nothing overtakes it
		e.mu.Unlock()
		var j *job
		for try := 1; ; try++ {
			if _, ok := e.carry(q.k, q.command, &j, try >= maxTries); ok {
				break
			}
		}
		e.mu.Lock()
		e.busy = false
		e.mu.Unlock()
	}
}

// carry works out what a command does outside of mu, and takes mu only to put it
// in place. Where a frame was filled in between it is not carried out, and is
// to be tried again, all that is slow being remembered; unless it must be. do is
// held.
func (e *Engine) carry(k int64, c Command, j **job, must bool) (Reply, bool) {
	e.mu.Lock()
	m, queue, next := e.now, e.queue, e.filled+1
	e.mu.Unlock()
	e.prepare(m, max(k, next), c, queue)
	if k > next {
		e.mu.Lock()
		defer e.mu.Unlock()
		if k <= e.filled+1 {
			return Reply{}, false
		}
		return e.wait(k, c), true
	}
	if m.filing(c) && *j == nil {
		*j = e.plan(m, c) // once: it may write
	}
	to, reply := e.after(m, next, c, *j)
	if at := to.player.Cue(); at >= 0 && (at != m.player.Cue() || to.set != m.set) {
		differs := e.compared(to)
		for _, text := range differs {
			reply.say("%s", text)
		}
		if len(differs) > 0 {
			reply.say("as sent plays the slots that were approved, same light writes their light anew")
		}
	}

	e.mu.Lock()
	defer e.mu.Unlock()
	if now := e.filled + 1; e.now != m || now != next {
		if !must {
			return Reply{}, false
		}
		to, reply = e.after(e.now, now, c, *j)
	}
	e.take(to, c, reply)
	return reply, true
}

// runOn lets a sequence do what came due in frame k. do is held.
func (e *Engine) runOn(m *moment, k int64) {
	to, reply := e.by(m, k)
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.now == m {
		e.takeAuto(to, reply)
	}
}

// by is the moment once a sequence has done what comes in frame k.
func (e *Engine) by(from *moment, k int64) (*moment, Reply) {
	m := from.next()
	r := Reply{K: k}
	n := *m.run
	m.run = &n
	m.deed(k, &r)
	if m.run != nil {
		m.advance(k, &r)
	}
	if r.Refused && m.run != nil { // the player would not: wait for the operator
		m.run.stepper.Refuse(r.Notices[len(r.Notices)-1])
		m.run.deed, m.run.at = steps.Deed{Action: steps.Rest, Text: r.Notices[len(r.Notices)-1]}, -1
	}
	if p := m.player.Prompts(); len(p) > 0 {
		r.Prompts = append(r.Prompts, p...)
		if e.options.AutoConfirm {
			m.player.Confirm(k)
			m.advance(k, &r)
		}
	}
	return m, r
}

// auto is the frame in which a running sequence does something next; -1 for none.
func (m *moment) auto() int64 {
	if m.run == nil {
		return -1
	}
	return m.run.at
}

// takeAuto puts in place what a sequence did. mu is held.
func (e *Engine) takeAuto(m *moment, r Reply) {
	e.now = m
	e.messages = append(e.messages, r.Notices...)
	e.messages = e.messages[max(0, len(e.messages)-MaxMessages):]
	if e.options.OnDone != nil {
		e.done = append(e.done, Done{K: r.K, Reply: r, Mark: m.mark, Auto: true})
	}
	e.rouse()
}

// pop takes the first of the queue. mu is held.
func (e *Engine) pop() queued {
	q := e.queue[0]
	e.queue, e.ahead = e.queue[1:], nil
	return q
}

// after is the moment once a command has acted in frame k, and the answer to it.
// Whoever calls it may be the frame thread, with anything but a command that
// touches files.
func (e *Engine) after(from *moment, k int64, c Command, j *job) (*moment, Reply) {
	m := from.next()
	r := Reply{K: k}
	q := m.question
	if c.Verb != Confirm && c.Verb != Hold && c.Verb != Resume {
		m.question = nil // another command is an answer too
	}
	switch {
	case j != nil:
		j.act(m, k, &r)
	case c.Verb.onlyAnswers():
		m.answer(k, c, q, &r)
	default:
		m.command(k, c, &r)
	}
	if !r.Refused && m.run != nil && m.run == from.run {
		m.advance(k, &r) // what the command has changed may change what comes when
	}
	if r.Refused {
		// The hold or the dark that a refused command met goes on.
		m = from
		if from.question != m.question {
			m = from.next()
		}
	}
	if p := m.player.Prompts(); len(p) > 0 {
		r.Prompts = append(r.Prompts, p...)
		if e.options.AutoConfirm && !r.Refused {
			m.player.Confirm(k)
			m.advance(k, &r)
		}
	}
	return m, r
}

// command carries out a command that touches no files.
func (m *moment) command(k int64, c Command, r *Reply) {
	if m.sequenced(k, c, r) {
		m.advance(k, r)
		return
	}
	switch c.Verb {
	case Next:
		m.step(k, 1, r)
	case Back:
		m.step(k, -1, r)
	case Go:
		if i := m.shoot.CueIndex(c.Name); i >= 0 {
			m.call(k, i, r)
		} else {
			r.refuse("there is no cue %q", c.Name)
		}
	case GoTo:
		m.goTo(k, c, r)
	case Hold:
		m.told(m.player.Hold(k), r)
	case Resume:
		m.told(m.player.Resume(k), r)
	case Quicker:
		m.pace(k, paceStep, r)
	case Slower:
		m.pace(k, 1/paceStep, r)
	case Dark:
		m.told(m.player.Dark(k), r)
	case DarkOff:
		m.told(m.player.DarkOff(k), r)
	case Confirm:
		m.told(m.player.Confirm(k), r)
	case WholeBy, WholeTo:
		m.whole(k, c, r)
	case Look:
		m.look(k, c, r)
	case WorkLight:
		m.work(k, c, r)
	case Identify, Aim, Alone:
		m.one(k, c, r)
	case Without, With:
		m.takeOut(k, c, r)
	case TrimVerb:
		m.trim(k, c, r)
	case Undo:
		m.undo(k, r)
	case Redo:
		m.redo(k, r)
	case UndoTrims:
		m.untrim(k, c, r)
	case Kept, Trimmed:
		m.compare(k, c.Verb == Trimmed, r)
	case HoldExposure:
		m.holdExposure(c, r)
	case MatchExposure:
		m.match(k, c, r)
	case Picture:
		m.picture = c.Number
		r.say("the next picture is number %d", c.Number)
	case Play:
		m.play(k, c, r)
	case Stop:
		m.stop(r)
	case Rolling:
		m.word(k, steps.Rolling, r)
	case Cut:
		m.word(k, steps.Cut, r)
	case Again:
		m.word(k, steps.Again, r)
	case Missed:
		r.refuse("no picture is being taken")
	case Azimuth:
		m.told(m.player.Azimuth(k, c.Azimuth.Degrees), r)
	case Note:
		m.mark.Note = c.Name
		r.say("noted")
	default:
		r.refuse("%q is not to be had here", c.Verb)
	}
}

// holdExposure switches the hold of the total.
func (m *moment) holdExposure(c Command, r *Reply) {
	switch {
	case m.exposure == c.On:
		r.refuse("hold exposure is%s already", onOff(c.On))
		return
	case c.On && m.shoot.Key() >= 0 && !(m.shoot.Rig.Sources[m.shoot.Key()].Full > 0):
		r.say(`%s has no meter reading (full = "… lx"), so little of the total can be held`, m.name(m.shoot.Key()))
	}
	m.exposure, m.total = c.On, 0
	if scene := m.player.Scene(); scene != nil && c.On {
		m.total = scene.TotalLux().Lux
	}
	if c.On {
		r.say("trims keep the total at the model; what is not trimmed is scaled")
	} else {
		r.say("trims are free again")
	}
}

// take puts a moment in the place of the present one. mu is held.
func (e *Engine) take(m *moment, c Command, r Reply) {
	e.now = m
	e.messages = append(e.messages, r.Notices...)
	e.messages = e.messages[max(0, len(e.messages)-MaxMessages):]
	if e.options.OnDone != nil && !r.Refused {
		e.done = append(e.done, Done{K: r.K, Command: c, Reply: r, Mark: m.mark})
		e.rouse()
	}
}

// prepare works out where the light lands that a command, and those queued
// after it, will ask for. do is held: the queue may lose commands meanwhile, to
// the frame thread, but none of it is written to.
func (e *Engine) prepare(m *moment, k int64, c Command, queue []queued) {
	if n := len(queue); n > 0 && k >= queue[n-1].k {
		e.tail = e.follow(m, e.tail, c) // it comes last
		return
	}
	e.tail = m.player.Cue()
	given := false
	for _, q := range queue {
		if !given && q.k > k {
			e.tail, given = e.follow(m, e.tail, c), true
		}
		e.tail = e.follow(m, e.tail, q.command)
	}
	if !given {
		e.tail = e.follow(m, e.tail, c)
	}
}

// follow prepares the cue that a command leads to from another, and returns it.
func (e *Engine) follow(m *moment, from int, c Command) int {
	to := from
	switch last := len(m.shoot.Resolved) - 1; c.Verb {
	case Next:
		to = min(from+1, last)
	case Back:
		if from > 0 {
			to = from - 1
		}
	case Go:
		if i := m.shoot.CueIndex(c.Name); i >= 0 {
			to = i
		}
	}
	prepared := e.prepared[m.shoot]
	if to >= 0 && to < len(prepared) && !prepared[to] {
		m.player.Prepare(to)
		prepared[to] = true
	}
	return to
}
