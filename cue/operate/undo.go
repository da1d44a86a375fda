package operate

import (
	"fmt"
	"maps"
	"slices"

	"limn/cue"
	"limn/cue/files"
	"limn/cue/timeline"
)

// balance is what undo takes back: all that is laid over cues by hand.
type balance struct {
	layers timeline.Layers
	aside  map[int]trims
	ahead  map[int]bool
}

// change is one command that undo can take back; a stack of them, the latest
// first, never changed once made.
type change struct {
	text          string
	before, after balance
	below         *change
	plan          *files.Plan // that was written with it; nil for most
	to            string      // the new cue that was gone to with it
}

func (m *moment) balance() balance { return balance{m.layers(), m.aside, m.ahead} }

// done puts a command on the undo stack, before being the balance it began with.
func (m *moment) done(text string, before balance) {
	m.past = &change{text: text, before: before, after: m.balance(), below: m.past}
	m.future = nil
}

// undo takes the latest change back, redo gives it again.
func (m *moment) undo(k int64, r *Reply) {
	c := m.past
	if c == nil {
		r.refuse("there is nothing to undo")
		return
	}
	m.revert(k, &c.after, &c.before, r)
	if r.Refused {
		return
	}
	m.past = c.below
	m.future = &change{text: c.text, before: c.before, after: c.after, below: m.future}
	r.say("undone: %s", m.about(c))
}

// filing says whether a command touches files: what it keeps, or takes back of what
// was kept.
func (m *moment) filing(c Command) bool {
	switch {
	case c.Verb == Undo:
		return m.past != nil && m.past.plan != nil
	case c.Verb == Redo:
		return m.future != nil && m.future.plan != nil
	case c.Verb == Apply:
		return m.question != nil && m.question.keep != nil && m.question.about != Reload
	}
	return c.Verb.filing()
}

func (m *moment) redo(k int64, r *Reply) {
	c := m.future
	if c == nil {
		r.refuse("there is nothing to do again")
		return
	}
	m.revert(k, &c.before, &c.after, r)
	if r.Refused {
		return
	}
	m.future = c.below
	m.past = &change{text: c.text, before: c.before, after: c.after, below: m.past}
	r.say("done again: %s", m.about(c))
}

// about is a change in words, with its cue where that is not the present one.
func (m *moment) about(c *change) string {
	if at := c.before.layers.Cue; at != m.layers().Cue {
		return fmt.Sprintf("%s, given at %s", c.text, m.cueName(at))
	}
	return c.text
}

// revert takes what differs between two balances from one to the other; what
// else has changed since stays.
func (m *moment) revert(k int64, from, to *balance, r *Reply) {
	m.total = 0
	l := m.layers()
	a, b := &from.layers, &to.layers
	if !slices.Equal(a.Looks, b.Looks) {
		l.Looks = b.Looks
	}
	if !slices.Equal(a.Without, b.Without) {
		l.Without = b.Without
	}
	if a.Whole != b.Whole {
		l.Whole = b.Whole
	}
	if a.Alone != b.Alone {
		l.Alone = b.Alone
	}
	if a.Aim != b.Aim {
		l.Aim = b.Aim
	}
	if a.Identify != b.Identify {
		l.Identify = b.Identify
	}
	how := timeline.Timing{Fade: timeline.TrimFade}
	switch {
	case a.Here == b.Here:
	case b.Here == nil && a.Cue == l.Cue:
		l.Here = nil
		how.AsWritten = true // the table turns back
	case b.Here != nil:
		if l.Cue != b.Cue {
			l = l.Called(b.Cue)
		}
		l.Here = b.Here
		how.AsWritten = a.Here == nil
	}
	for c := range union(a.Sent, b.Sent) {
		if a.Sent[c] != b.Sent[c] {
			l.Sent = with(l.Sent, c, b.Sent[c], b.Sent[c] != nil)
		}
	}
	for c := range union(union(a.Trims, b.Trims), union(from.aside, to.aside)) {
		if same(a.Trims[c], b.Trims[c]) && same(from.aside[c], to.aside[c]) && from.ahead[c] == to.ahead[c] {
			continue
		}
		l = l.WithTrimsOf(c, b.Trims[c])
		m.put(c, to.aside[c])
		m.ahead = with(m.ahead, c, true, to.ahead[c])
	}
	m.lay(k, l, how, r)
}

// union has the keys of both.
func union[A, B any](a map[int]A, b map[int]B) map[int]bool {
	keys := map[int]bool{}
	for k := range a {
		keys[k] = true
	}
	for k := range b {
		keys[k] = true
	}
	return keys
}

// same says whether two sets of trims say the same.
func same(a, b trims) bool {
	return maps.EqualFunc(a, b, func(x, y cue.Entry) bool {
		return equal(x.Level, y.Level) && equal(x.Colour, y.Colour) && equal(x.Change, y.Change)
	})
}

func equal[T comparable](a, b *T) bool { return a == b || a != nil && b != nil && *a == *b }

// stack puts changes on each other, the first of the list uppermost.
func stack(list []*change) *change {
	var out *change
	for _, n := range slices.Backward(list) {
		n.below = out
		out = n
	}
	return out
}

// mapped is a stack of changes by the indices of a shoot that was read anew.
func (c *change) mapped(from, to *cue.Shoot) *change {
	var list []*change
	for ; c != nil; c = c.below {
		n := *c
		n.before, n.after = c.before.mapped(from, to), c.after.mapped(from, to)
		list = append(list, &n)
	}
	return stack(list)
}

func (b balance) mapped(from, to *cue.Shoot) balance {
	aside := timeline.Bare()
	aside.Trims = b.aside
	aside, _ = aside.Mapped(from, to)
	var ahead map[int]bool
	for c := range maps.Keys(b.ahead) {
		if i := to.CueIndex(from.Cues[c].Name); i >= 0 {
			ahead = with(ahead, i, true, true)
		}
	}
	layers, _ := b.layers.Mapped(from, to)
	return balance{layers, aside.Trims, ahead}
}
