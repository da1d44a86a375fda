package operate

import (
	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
	"limn/fixtures"
)

// planReload reads the folder again. Files with errors change nothing.
func (e *Engine) planReload(*moment) *job {
	if e.options.Folder == nil {
		return refusal("there is no folder here to read again")
	}
	shoot, problems := e.options.Folder.Reload()
	if shoot == nil || hasErrors(problems) {
		j := refusal("the files have errors, and the light stays as it is")
		for _, p := range problems {
			if !p.Warning {
				j.notices = append(j.notices, p.String())
			}
		}
		return j
	}
	j := e.taking(shoot)
	j.text = "the files are read again"
	return j
}

// taking is a job that takes up a shoot.
func (e *Engine) taking(shoot *cue.Shoot) *job {
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		return refusal("%v", err)
	}
	e.prepared = map[*cue.Shoot][]bool{shoot: make([]bool, len(shoot.Resolved))}
	return &job{shoot: shoot, r: r}
}

// Reload takes up a shoot that was read anew, at the next frame: what has changed
// fades in over a second; trims, looks and what else is laid over stay, by name.
// A cue that is gone keeps its light until another is called.
func (e *Engine) Reload(shoot *cue.Shoot) Reply { return e.ReloadAt(0, shoot) }

// ReloadAt is Reload in frame k, which must not be later than the next: a journal
// replayed tells where it was.
func (e *Engine) ReloadAt(k int64, shoot *cue.Shoot) Reply {
	e.do.Lock()
	e.mu.Lock()
	e.filled = max(e.filled, k-1)
	e.mu.Unlock()
	j := e.taking(shoot)
	j.text = "the changed files are in"
	var reply Reply
	for {
		e.mu.Lock()
		m, next := e.now, e.filled+1
		e.mu.Unlock()
		to, answer := e.after(m, next, Command{Verb: Reload}, j)
		e.mu.Lock()
		if e.now == m && e.filled+1 == next {
			reply = answer
			e.take(to, Command{Verb: Reload}, answer)
			e.ahead = nil
			e.mu.Unlock()
			break
		}
		e.mu.Unlock()
	}
	e.lookAhead()
	e.do.Unlock()
	e.Tell()
	return reply
}

// Changed is what a watched folder has come to: a good shoot is taken up, one
// with errors leaves the light and its errors standing as warnings.
func (e *Engine) Changed(ev files.Event) Reply {
	e.mu.Lock()
	e.warnings = nil
	e.mu.Unlock()
	if ev.Shoot != nil && !hasErrors(ev.Problems) {
		return e.Reload(ev.Shoot)
	}
	r := Reply{K: e.NextFrame(), Refused: true}
	r.say("the files have errors, and the light stays as it is")
	for _, p := range ev.Problems {
		if !p.Warning {
			r.say("%s", p.String())
			e.Warn(p.String(), false)
		}
	}
	e.mu.Lock()
	e.messages = append(e.messages, r.Notices...)
	e.messages = e.messages[max(0, len(e.messages)-MaxMessages):]
	e.mu.Unlock()
	return r
}

// reload takes up a shoot in frame k. change, if any, is what is laid over with
// it, as of the shoot before.
func (m *moment) reload(k int64, shoot *cue.Shoot, r *fixtures.Renderer, change func(timeline.Layers) timeline.Layers, reply *Reply) {
	m.total = 0
	old := m.shoot
	universes := m.sending
	m.told(m.player.Reload(k, shoot, r.Clone()), reply)
	m.set = newSet(shoot, r, m.player, universes)
	b := balance{aside: m.aside, ahead: m.ahead}.mapped(old, shoot)
	m.aside, m.ahead = b.aside, b.ahead
	m.past, m.future = m.past.mapped(old, shoot), m.future.mapped(old, shoot)
	if change != nil {
		m.told(m.player.Set(k, change(m.player.Layers()), timeline.Timing{Fade: timeline.LookFade}), reply)
	}
	for _, u := range r.Universes() {
		if !containsInt(universes, u) {
			reply.say("universe %d is new and is sent once limn is started again", u)
		}
	}
}

func containsInt(list []int, v int) bool {
	for _, x := range list {
		if x == v {
			return true
		}
	}
	return false
}
