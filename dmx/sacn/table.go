package sacn

import (
	"cmp"
	"net/netip"
	"slices"
	"time"
)

// Bounds of what strangers on a network can make a receiver remember. Who comes when all is full is
// counted and not heard; senders that are lost make room.
const (
	maxStreams    = 4096 // senders times universes
	maxPerUniv    = 64   // senders in one universe
	maxSyncs      = 256  // senders times synchronization addresses
	sweepEvery    = 100 * time.Millisecond
	forgetWithout = 30 * time.Second // a lost sender is shown that long, if there is room
)

// table is what a receiver knows of senders.
type table struct {
	streams    map[streamKey]*stream
	universes  map[uint16][]*stream
	syncs      map[streamKey]heardSync
	discovered discoveredTable
	swept      time.Duration
	counters   Counters
}

type heardSync struct {
	number byte
	last   time.Duration
}

func newTable() *table {
	return &table{streams: map[streamKey]*stream{}, universes: map[uint16][]*stream{}, syncs: map[streamKey]heardSync{}, swept: -sweepEvery}
}

// hear takes a data packet and says whether it is to drive light: levels of the sender that
// has the universe.
func (t *table) hear(d *Data, from netip.AddrPort, now time.Duration) bool {
	key := streamKey{d.CID, d.Universe}
	s := t.streams[key]
	first := s == nil
	if first {
		if s = t.admit(key, now); s == nil {
			t.counters.Overflow++
			return false
		}
	}
	t.counters.Received++
	return s.take(d, from, now, first) && t.winner(d.Universe, now) == s
}

// admit makes room for a sender in a universe, or gives nil.
func (t *table) admit(key streamKey, now time.Duration) *stream {
	if len(t.streams) >= maxStreams || len(t.universes[key.universe]) >= maxPerUniv {
		t.sweep(now, lossAfter)
	}
	if len(t.streams) >= maxStreams || len(t.universes[key.universe]) >= maxPerUniv {
		return nil
	}
	s := &stream{key: key}
	s.s.CID = key.cid
	t.streams[key] = s
	t.universes[key.universe] = append(t.universes[key.universe], s)
	return s
}

// sweep forgets who has been silent for long, not more often than a flood can afford.
func (t *table) sweep(now, silent time.Duration) {
	if now-t.swept < sweepEvery {
		return
	}
	t.swept = now
	for u, list := range t.universes {
		list = slices.DeleteFunc(list, func(s *stream) bool {
			gone := now-s.last > silent
			if gone {
				delete(t.streams, s.key)
			}
			return gone
		})
		if t.universes[u] = list; len(list) == 0 {
			delete(t.universes, u)
		}
	}
	for key, s := range t.syncs {
		if now-s.last > silent {
			delete(t.syncs, key)
		}
	}
}

// winner is the sender whose levels count in a universe, nil if there is none.
func (t *table) winner(universe uint16, now time.Duration) *stream {
	var best *stream
	for _, s := range t.universes[universe] {
		if s.lit(now) && (best == nil || s.beats(best)) {
			best = s
		}
	}
	return best
}

// hearSync takes a synchronization packet.
func (t *table) hearSync(s *Sync, now time.Duration) {
	key := streamKey{s.CID, s.Address}
	before, known := t.syncs[key]
	if known && now-before.last <= lossAfter {
		if v, _ := judge(before.number, s.Sequence); !v.used() {
			return
		}
	}
	t.counters.Syncs++
	if !known && len(t.syncs) >= maxSyncs {
		if t.sweep(now, lossAfter); len(t.syncs) >= maxSyncs {
			t.counters.Overflow++
			return
		}
	}
	t.syncs[key] = heardSync{s.Sequence, now}
}

// report tells of all universes, by number, and their senders, who counts first.
func (t *table) report(now time.Duration) []Universe {
	t.sweep(now, forgetWithout)
	out := make([]Universe, 0, len(t.universes))
	for number, list := range t.universes {
		best := t.winner(number, now)
		u := Universe{Number: number}
		equals := 0
		for _, s := range list {
			r := s.s
			r.Silent = now - s.last
			r.Present = s.lit(now)
			r.InForce = s == best
			r.Slots = slices.Clone(s.frame[:s.slots])
			if r.Silent > lossAfter {
				r.Rate = 0
			}
			if sync, ok := t.syncs[streamKey{s.key.cid, r.Sync}]; r.Sync != 0 {
				r.Synced = ok && now-sync.last <= lossAfter
			}
			if r.Present && best.s.Priority == r.Priority {
				equals++
			}
			u.Sources = append(u.Sources, r)
		}
		u.Conflict = equals > 1
		slices.SortFunc(u.Sources, func(a, b Source) int {
			return cmp.Or(order(b.InForce)-order(a.InForce), order(b.Present)-order(a.Present),
				cmp.Compare(b.Priority, a.Priority), slices.Compare(a.CID[:], b.CID[:]))
		})
		out = append(out, u)
	}
	slices.SortFunc(out, func(a, b Universe) int { return cmp.Compare(a.Number, b.Number) })
	return out
}

func order(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
