package artnet

import (
	"cmp"
	"net/netip"
	"slices"
	"time"
)

// Bounds on what strangers on a network can make the table remember.
const (
	maxNodes       = 1024 // parts of devices
	maxDiagnostics = 4    // lines of text a node
	// maxTakers is to how many nodes one Port-Address is sent; the first heard have it.
	maxTakers = 64
)

const (
	missedAfter = 3 * time.Second // the standard's time for an answer
	// A node is given up when it has not answered this many polls, over this time: one lost datagram must
	// not cost it its light.
	goneAfter      = 9 * time.Second
	goneAfterPolls = 3
	// forgetAfter is how long a node that is gone is remembered, so that its return is known as one.
	forgetAfter = 10 * time.Minute
)

// key tells the parts of devices apart. By the address alone, only the last part
// of a device would be fed.
type key struct {
	addr netip.Addr
	bind byte
}

type entry struct {
	reply PollReply
	node  Node
	polls int64 // that had gone out at its last answer
	// What the device says of itself is kept with one part of it.
	said []DiagData
}

// table is the nodes that answer. It is bounded whatever arrives: what does not fit
// is counted and left out, and who is in stays in.
type table struct {
	entries  map[key]*entry
	polls    int64 // gone out so far
	views    int64 // made so far
	gone     int   // of the entries; so that a flood pays for no vain search
	overflow int64
}

func newTable() *table { return &table{entries: map[key]*entry{}} }

// hear takes an answer. changed says that something has to be told to whoever follows; event what the operator is
// told, if its kind is not 0.
func (t *table) hear(from netip.Addr, r *PollReply, now time.Duration) (event Event, changed bool) {
	k := key{from, max(r.BindIndex, 1)}
	e := t.entries[k]
	if e == nil {
		if len(t.entries) >= maxNodes && !t.forgetOne() {
			t.overflow++
			return Event{}, false
		}
		e = &entry{node: Node{Addr: from, BindIndex: k.bind, First: now, Heard: now}, reply: *r, polls: t.polls}
		e.node.describe(r)
		t.entries[k] = e
		return eventOf(NodeAppeared, &e.node), true
	}
	before := e.node.Presence
	if before == Gone {
		t.gone--
	}
	e.node.Heard, e.polls, e.node.Presence = now, t.polls, Present
	if e.reply == *r {
		if before == Gone {
			return eventOf(NodeReturned, &e.node), true
		}
		return Event{}, before != Present
	}
	moved := outputsDiffer(&e.reply, r)
	merges := merging(r) &^ merging(&e.reply)
	e.reply = *r
	e.node.describe(r)
	switch {
	case before == Gone:
		return eventOf(NodeReturned, &e.node), true
	case moved:
		return eventOf(NodeMoved, &e.node), true
	case merges != 0:
		return eventOf(NodeMerges, &e.node), true
	}
	return Event{}, true
}

// outputsDiffer says that one puts out what the other does not.
func outputsDiffer(a, b *PollReply) bool {
	for i := range portsPerReply {
		aa, aok := a.Output(i)
		ba, bok := b.Output(i)
		if aok != bok || aok && aa != ba {
			return true
		}
	}
	return false
}

// merging has a bit for each output that mixes two senders.
func merging(r *PollReply) (bits byte) {
	for i := range portsPerReply {
		if _, ok := r.Output(i); ok && r.GoodOutput[i]&GoodOutputMerging != 0 {
			bits |= 1 << i
		}
	}
	return bits
}

// diagnose keeps a line of text of a node that is known.
func (t *table) diagnose(from netip.Addr, d DiagData) (Event, bool) {
	e := t.entries[key{from, 1}]
	if e == nil {
		for bind := byte(2); e == nil && bind != 0; bind++ { // a device whose root does not answer
			e = t.entries[key{from, bind}]
		}
	}
	if e == nil || d.Text == "" {
		return Event{}, false
	}
	if len(e.said) == maxDiagnostics {
		e.said = e.said[1:]
	}
	e.said = append(slices.Clip(e.said), d)
	return Event{Kind: NodeSays, Node: e.node, Text: e.node.String() + " says: " + d.Text}, true
}

// polled notes that a poll has gone out.
func (t *table) polled() { t.polls++ }

// expire gives up who has been silent too long. While no poll can go out, nobody is: that we
// hear nothing is then no news of the nodes.
func (t *table) expire(now time.Duration, tell func(Event)) (changed bool) {
	for k, e := range t.entries {
		silent := now - e.node.Heard
		switch {
		case e.node.Presence == Gone:
			if silent > forgetAfter {
				delete(t.entries, k)
				t.gone--
				changed = true
			}
		case silent >= goneAfter && t.polls-e.polls >= goneAfterPolls:
			e.node.Presence = Gone
			t.gone++
			tell(eventOf(NodeVanished, &e.node))
			changed = true
		case e.node.Presence == Present && silent > missedAfter+pollEvery && t.polls > e.polls:
			e.node.Presence = Missed
			changed = true
		}
	}
	return changed
}

// forgetOne makes room by the longest gone node, if there is one.
func (t *table) forgetOne() bool {
	if t.gone == 0 {
		return false
	}
	var oldest key
	var at time.Duration
	found := false
	for k, e := range t.entries {
		if e.node.Presence == Gone && (!found || e.node.Heard < at) {
			oldest, at, found = k, e.node.Heard, true
		}
	}
	delete(t.entries, oldest)
	t.gone--
	return true
}

// view is what the table held at one time. Nobody changes it.
type view struct {
	serial int64  // later ones have higher numbers
	nodes  []Node // by address and part
	takers map[uint16][]netip.Addr
}

// view makes a copy for others.
func (t *table) view() *view {
	t.views++
	v := &view{serial: t.views, takers: map[uint16][]netip.Addr{}}
	for _, e := range t.entries {
		n := e.node
		n.Diagnostics = e.said
		v.nodes = append(v.nodes, n)
	}
	// The first heard first, for their claim on a Port-Address is the oldest.
	slices.SortFunc(v.nodes, func(a, b Node) int {
		return cmp.Or(cmp.Compare(a.First, b.First), a.Addr.Compare(b.Addr), cmp.Compare(a.BindIndex, b.BindIndex))
	})
	for i := range v.nodes {
		if v.nodes[i].Presence == Gone {
			continue
		}
		for _, p := range v.nodes[i].Ports {
			all := v.takers[p.PortAddress]
			if p.Output && len(all) < maxTakers && !slices.Contains(all, v.nodes[i].Addr) {
				v.takers[p.PortAddress] = append(all, v.nodes[i].Addr)
			}
		}
	}
	slices.SortFunc(v.nodes, func(a, b Node) int {
		return cmp.Or(a.Addr.Compare(b.Addr), cmp.Compare(a.BindIndex, b.BindIndex))
	})
	return v
}
