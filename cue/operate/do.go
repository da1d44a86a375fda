package operate

import (
	"fmt"
	"slices"
	"sort"

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

// doAt works out what a command does outside of mu, and takes mu only to put it
// in place. Where a frame was filled in between, the command acts a frame later
// and is worked out again, all that is slow being prepared; where a queued
// command became due, the cue it leads to may be another, and is prepared first.
func (e *Engine) doAt(k int64, c Command) Reply {
	for {
		e.mu.Lock()
		p, queue, next := e.player, e.queue, e.filled+1
		e.mu.Unlock()
		e.prepare(p, max(k, next), c, queue)
		var ahead *timeline.Player
		var answer Reply
		if k <= next {
			ahead, answer = e.after(p, next, c)
		}

		e.mu.Lock()
		if e.player != p {
			e.mu.Unlock()
			continue
		}
		var reply Reply
		switch now := e.filled + 1; {
		case k > now:
			reply = e.wait(k, c)
		case ahead != nil && now == next && !e.hasDue(now):
			reply = e.take(ahead, answer)
		default:
			e.due(now)
			reply = e.take(e.after(e.player, now, c))
		}
		e.mu.Unlock()
		return reply
	}
}

// after is the player once a command has acted in frame k, and the answer to it.
func (e *Engine) after(p *timeline.Player, k int64, c Command) (*timeline.Player, Reply) {
	p = p.Clone()
	reply := Reply{K: k}
	for _, n := range command(p, k, c, e.cueIndex(c)) {
		reply.Notices = append(reply.Notices, n.Text)
		reply.Refused = reply.Refused || n.Refused
	}
	reply.Prompts = slices.Clone(p.Prompts())
	if e.options.AutoConfirm && len(reply.Prompts) > 0 {
		p.Confirm(k)
	}
	return p, reply
}

// take puts a player in the place of the present one. mu is held.
func (e *Engine) take(p *timeline.Player, reply Reply) Reply {
	e.player = p
	e.messages = append(e.messages, reply.Notices...)
	e.messages = e.messages[max(0, len(e.messages)-maxMessages):]
	return reply
}

// wait queues a command behind those of the same frame. mu is held.
func (e *Engine) wait(k int64, c Command) Reply {
	at := sort.Search(len(e.queue), func(i int) bool { return e.queue[i].k > k })
	e.queue = slices.Insert(e.queue, at, queued{k, c})
	return Reply{K: k}
}

// due gives the commands that are queued up to frame k. mu is held.
func (e *Engine) due(k int64) {
	for e.hasDue(k) {
		q := e.queue[0]
		e.queue = e.queue[1:]
		e.take(e.after(e.player, q.k, q.command))
	}
}

func (e *Engine) hasDue(k int64) bool { return len(e.queue) > 0 && e.queue[0].k <= k }

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
// after it, will ask for. do is held: the queue may lose commands meanwhile, to
// the frame thread, but none of it is written to.
func (e *Engine) prepare(p *timeline.Player, k int64, c Command, queue []queued) {
	if n := len(queue); n > 0 && k >= queue[n-1].k {
		e.tail = e.follow(p, e.tail, c) // it comes last
		return
	}
	e.tail = p.Cue()
	given := false
	for _, q := range queue {
		if !given && q.k > k {
			e.tail, given = e.follow(p, e.tail, c), true
		}
		e.tail = e.follow(p, e.tail, q.command)
	}
	if !given {
		e.tail = e.follow(p, e.tail, c)
	}
}

// follow prepares the cue that a command leads to from another, and returns it.
func (e *Engine) follow(p *timeline.Player, from int, c Command) int {
	to := from
	switch last := len(e.shoot.Resolved) - 1; c.Verb {
	case Next:
		to = min(from+1, last)
	case Back:
		if from > 0 {
			to = from - 1
		}
	case Go:
		if i := e.cueIndex(c); i >= 0 {
			to = i
		}
	}
	if to >= 0 && to < len(e.prepared) && !e.prepared[to] {
		p.Prepare(to)
		e.prepared[to] = true
	}
	return to
}
