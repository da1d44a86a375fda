package operate

import (
	"fmt"
	"slices"

	"limn/cue/timeline"
)

// Reply is the answer to a command.
type Reply struct {
	K       int64    // frame it acts in
	Notices []string // what the operator is told
	Refused bool     // it changed nothing
	Prompts []string // what hands must do now; under AutoConfirm, what was taken as done
}

// maxMessages is the most answers a snapshot shows.
const maxMessages = 5

// queued is a command for a later frame.
type queued struct {
	k       int64
	command Command
}

// Do carries out a command at the next frame. It returns when it is done, which
// may take some milliseconds a source the first time a cue is called.
func (e *Engine) Do(c Command) Reply {
	e.do.Lock()
	defer e.do.Unlock()
	return e.doAt(0, c)
}

// DoAt carries out a command at frame k: at once if k is the next frame or
// past, when its time has come if it is later; the answer then goes to the
// notices of snapshots.
func (e *Engine) DoAt(k int64, c Command) Reply {
	e.do.Lock()
	defer e.do.Unlock()
	return e.doAt(k, c)
}

// doAt prepares outside of mu whatever the command will need, then takes mu to
// give it. If a queued command became due in between, the cue it leads to may
// be another, and is prepared as well.
func (e *Engine) doAt(k int64, c Command) Reply {
	for {
		e.mu.Lock()
		p, queue := e.player, slices.Clone(e.queue)
		e.mu.Unlock()
		e.prepare(p, c, queue)

		e.mu.Lock()
		if e.player != p {
			e.mu.Unlock()
			continue
		}
		reply := e.give(k, c)
		e.mu.Unlock()
		return reply
	}
}

// give applies or queues a command. mu is held.
func (e *Engine) give(k int64, c Command) Reply {
	next := e.filled + 1
	if k > next {
		at, _ := slices.BinarySearchFunc(e.queue, k, func(q queued, k int64) int {
			if q.k <= k {
				return -1 // behind those of the same frame
			}
			return 1
		})
		e.queue = slices.Insert(e.queue, at, queued{k, c})
		return Reply{K: k}
	}
	e.due(next)
	return e.apply(next, c)
}

// due applies what is queued up to frame k. mu is held.
func (e *Engine) due(k int64) {
	for len(e.queue) > 0 && e.queue[0].k <= k {
		q := e.queue[0]
		e.queue = e.queue[1:]
		e.apply(q.k, q.command)
	}
}

// apply gives a command to a clone of the player, which takes its place. mu is
// held; all that is slow is prepared.
func (e *Engine) apply(k int64, c Command) Reply {
	p := e.player.Clone()
	reply := Reply{K: k}
	for _, n := range command(p, k, c, e.cueIndex(c)) {
		reply.Notices = append(reply.Notices, n.Text)
		reply.Refused = reply.Refused || n.Refused
	}
	reply.Prompts = p.Prompts()
	if e.options.AutoConfirm && len(reply.Prompts) > 0 {
		p.Confirm(k)
	}
	e.player = p
	e.messages = append(e.messages, reply.Notices...)
	e.messages = e.messages[max(0, len(e.messages)-maxMessages):]
	return reply
}

func command(p *timeline.Player, k int64, c Command, cueIndex int) []timeline.Notice {
	switch c.Verb {
	case Next:
		return p.Next(k)
	case Back:
		return p.Back(k)
	case Go:
		if cueIndex < 0 {
			return []timeline.Notice{{Text: fmt.Sprintf("there is no cue %q", c.Name), Refused: true}}
		}
		return p.Go(k, cueIndex)
	case Hold:
		return p.Hold(k)
	case Resume:
		return p.Resume(k)
	case Dark:
		return p.Dark(k)
	case DarkOff:
		return p.DarkOff(k)
	case Confirm:
		return p.Confirm(k)
	}
	return []timeline.Notice{{Text: fmt.Sprintf("there is no command %q", c.Verb), Refused: true}}
}

// cueIndex is the cue a command names, -1 for none.
func (e *Engine) cueIndex(c Command) int {
	if c.Verb != Go {
		return -1
	}
	return e.shoot.CueIndex(c.Name)
}

// prepare works out where the light lands that a command, and those queued
// after it, will ask for.
func (e *Engine) prepare(p *timeline.Player, c Command, queue []queued) {
	at := e.follow(p, p.Cue(), c)
	for _, q := range queue {
		at = e.follow(p, at, q.command)
	}
}

// follow prepares the cue that a command leads to from another, and returns it.
func (e *Engine) follow(p *timeline.Player, from int, c Command) int {
	to := from
	switch last := len(e.shoot.Resolved) - 1; c.Verb {
	case Next:
		to = min(from+1, last)
	case Back:
		to = max(from-1, 0)
	case Go:
		if i := e.cueIndex(c); i >= 0 {
			to = i
		}
	}
	if to >= 0 && to < len(e.shoot.Resolved) {
		p.Prepare(to)
	}
	return to
}
