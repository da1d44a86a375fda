package operate

import (
	"slices"
	"sort"
)

// queued is a command for a later frame.
type queued struct {
	k       int64
	command Command
}

// worked is what a queued command leads to, if nothing comes in between.
type worked struct {
	queued
	from  *moment // that it was worked out from
	to    *moment
	reply Reply
	auto  bool // a sequence does it, no command
}

// maxAhead is how many queued commands are worked out ahead: a moment holds the
// state of every source.
const maxAhead = 8

// wait queues a command behind those of the same frame. mu is held.
func (e *Engine) wait(k int64, c Command) Reply {
	at := sort.Search(len(e.queue), func(i int) bool { return e.queue[i].k > k })
	e.queue = slices.Insert(e.queue, at, queued{k, c})
	e.rouse()
	return Reply{K: k}
}

// rouse wakes Attend. It never waits.
func (e *Engine) rouse() {
	select {
	case e.wake <- struct{}{}:
	default: // it is awake
	}
}

// due gives the commands that are queued up to frame k, until one comes that
// touches files: that one, and what is queued behind it, waits for somebody
// who is not the frame thread. mu is held.
func (e *Engine) due(k int64) {
	for !e.busy {
		if auto := e.now.auto(); auto >= 0 && auto <= k && !e.hasDue(auto-1) {
			e.dueAuto(auto)
			continue
		}
		if !e.hasDue(k) {
			return
		}
		q := e.queue[0]
		e.rouse()
		if e.now.filing(q.command) {
			return
		}
		e.queue = e.queue[1:]
		if len(e.ahead) > 0 && e.ahead[0].from == e.now && !e.ahead[0].auto && e.ahead[0].k == q.k {
			w := e.ahead[0]
			e.ahead = e.ahead[1:]
			e.take(w.to, q.command, w.reply)
			continue
		}
		e.ahead = nil
		to, reply := e.after(e.now, q.k, q.command, nil)
		e.take(to, q.command, reply)
	}
}

// dueAuto lets a sequence do what comes in frame k. mu is held.
func (e *Engine) dueAuto(k int64) {
	e.rouse()
	if len(e.ahead) > 0 && e.ahead[0].from == e.now && e.ahead[0].auto && e.ahead[0].k == k {
		w := e.ahead[0]
		e.ahead = e.ahead[1:]
		e.takeAuto(w.to, w.reply)
		return
	}
	e.ahead = nil
	to, reply := e.by(e.now, k)
	e.takeAuto(to, reply)
}

func (e *Engine) hasDue(k int64) bool { return len(e.queue) > 0 && e.queue[0].k <= k }

// lookAhead works out what comes next by itself: what is queued, and what a
// sequence will do. do is held.
func (e *Engine) lookAhead() {
	for range maxAhead {
		e.mu.Lock()
		from, n, queued := e.now, 0, 0
		for n < len(e.ahead) && e.ahead[n].from == from {
			if !e.ahead[n].auto {
				queued++
			}
			from = e.ahead[n].to
			n++
		}
		e.ahead = e.ahead[:n]
		w, ok := e.nextOf(from, queued)
		e.mu.Unlock()
		if !ok || n >= maxAhead {
			return
		}
		if w.auto {
			w.to, w.reply = e.by(from, w.k)
		} else {
			w.to, w.reply = e.after(from, w.k, w.command, nil)
		}

		e.mu.Lock()
		// Meanwhile the first of them may have become due, or all of it be out of date.
		last := e.now
		if m := len(e.ahead); m > 0 {
			last = e.ahead[m-1].to
		}
		if last == from {
			e.ahead = append(slices.Clip(e.ahead), w)
		}
		e.mu.Unlock()
	}
}

// nextOf is what comes after a moment, so many of the queue being over: false where
// nothing does, or nothing that can be worked out ahead. mu is held.
func (e *Engine) nextOf(m *moment, queuedBefore int) (worked, bool) {
	auto := m.auto()
	if queuedBefore < len(e.queue) && (auto < 0 || e.queue[queuedBefore].k < auto) {
		q := e.queue[queuedBefore]
		return worked{queued: q, from: m}, !m.filing(q.command)
	}
	return worked{queued: queued{k: auto}, from: m, auto: true}, auto >= 0
}

// catchUp carries out what waits for somebody who is not the frame thread.
func (e *Engine) catchUp() {
	e.do.Lock()
	e.mu.Lock()
	late := e.hasDue(e.filled) && e.now.filing(e.queue[0].command)
	e.mu.Unlock()
	if late {
		e.first(0)
	}
	e.lookAhead()
	e.do.Unlock()
	e.Tell()
}
