package sacn

import (
	"fmt"
	"net/netip"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// sender makes packets as one source would.
type sender struct {
	Data
	from netip.AddrPort
}

func newSender(n byte, priority byte) *sender {
	s := &sender{from: netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, 0, 0, n}), Port)}
	s.CID, s.Priority, s.Universe = CID{n}, priority, 1
	s.Name = fmt.Appendf(nil, "desk %d", n)
	s.Slots = []byte{n}
	return s
}

// hear lets the table hear the sender's next packet.
func (s *sender) hear(t *table, now time.Duration) bool {
	s.Sequence++
	return t.hear(&s.Data, s.from, now)
}

func inForce(t *table, now time.Duration) string {
	for _, u := range t.report(now) {
		for _, s := range u.Sources {
			if s.InForce {
				return s.Name
			}
		}
	}
	return ""
}

// ANSI E1.31-2018, 6.2.3: the highest priority has the universe, whoever came first; when it is lost or ends, the next has it.
func TestPriority(t *testing.T) {
	tab := newTable()
	low, high := newSender(1, 100), newSender(2, 101)
	if !low.hear(tab, 0) {
		t.Error("the only sender is not used")
	}
	if !high.hear(tab, time.Second) || low.hear(tab, time.Second) {
		t.Error("the lower priority is used")
	}
	if got := inForce(tab, time.Second); got != "desk 2" {
		t.Errorf("%q is in force", got)
	}
	// High is silent; at 2.5 s after its last packet it is not yet lost (6.7.1).
	if low.hear(tab, time.Second+lossAfter) {
		t.Error("lost too early")
	}
	if !low.hear(tab, time.Second+lossAfter+1) || inForce(tab, time.Second+lossAfter+1) != "desk 1" {
		t.Error("not lost after 2.5 s")
	}
	now := 10 * time.Second
	high.hear(tab, now)
	high.Options = StreamTerminated
	if high.hear(tab, now) {
		t.Error("the levels of a packet that ends the stream are used")
	}
	if !low.hear(tab, now) || inForce(tab, now) != "desk 1" {
		t.Error("who ends is still in force")
	}
	for _, s := range tab.report(now)[0].Sources {
		if s.CID == high.CID && (!s.Terminated || s.Present) {
			t.Errorf("%+v", s)
		}
	}
	high.Options = 0
	if !high.hear(tab, now) {
		t.Error("who begins again is not used")
	}
	high.Priority = 50 // a sender may change it
	high.hear(tab, now)
	if !low.hear(tab, now) {
		t.Error("a priority that fell still wins")
	}
}

// Equal priorities are a conflict that is told, and decided alike whoever came first (6.2.3.5).
func TestConflict(t *testing.T) {
	for _, order := range [][]byte{{1, 2}, {2, 1}} {
		tab := newTable()
		all := map[byte]*sender{1: newSender(1, 100), 2: newSender(2, 100), 3: newSender(3, 99)}
		for range 2 {
			for _, n := range append(order, 3) {
				all[n].hear(tab, 0)
			}
		}
		u := tab.report(0)[0]
		if !u.Conflict || len(u.Sources) != 3 || inForce(tab, 0) != "desk 1" {
			t.Errorf("%+v", u)
		}
		want := `universe 1 is sent by 2 senders at priority 100, "desk 1" (10.0.0.1) and "desk 2" (10.0.0.2); stop one, or give one a higher priority`
		if got := u.ConflictText(); got != want {
			t.Errorf("%s\nwant\n%s", got, want)
		}
		all[2].Priority = 101
		all[2].hear(tab, 0)
		if u := tab.report(0)[0]; u.Conflict || u.ConflictText() != "" || u.Sources[0].Name != "desk 2" {
			t.Errorf("%+v", u)
		}
	}
}

// What a visualizer is sent, and what are no levels, never drives light and is no sender in force.
func TestPreviewAndOtherStartCodes(t *testing.T) {
	for name, change := range map[string]func(*sender){
		"preview": func(s *sender) { s.Options = Preview },
		"text":    func(s *sender) { s.StartCode = 0x17 },
		"0xdd":    func(s *sender) { s.StartCode = 0xdd },
	} {
		tab := newTable()
		s := newSender(1, 200)
		change(s)
		if s.hear(tab, 0) || inForce(tab, 0) != "" {
			t.Errorf("%s drives light", name)
		}
		other := newSender(2, 1)
		if !other.hear(tab, 0) {
			t.Errorf("%s keeps levels of a lower priority away", name)
		}
		got := tab.report(0)[0].Sources[1]
		if got.Previews+got.Others != 1 || got.Present || len(got.Slots) != 0 || got.PerAddress != (name == "0xdd") {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

func TestStreamCounts(t *testing.T) {
	tab := newTable()
	s := newSender(1, 100)
	hear := func(sequence byte, at time.Duration) bool {
		s.Sequence = sequence
		return tab.hear(&s.Data, s.from, at)
	}
	const ms = time.Millisecond
	for _, c := range []struct {
		sequence byte
		at       time.Duration
		use      bool
	}{
		{254, 0, true},
		{255, 25 * ms, true},
		{0, 50 * ms, true},
		{3, 75 * ms, true}, // 1 and 2 are lost
		{2, 80 * ms, false},
		{3, 90 * ms, false}, // late, repeated
		{4, 100 * ms, true},
		{200, 125 * ms, true}, // -60: started again
		{201, 150 * ms, true},
		{190, 5000 * ms, true}, // lost meanwhile, so that any number will do
	} {
		if got := hear(c.sequence, c.at); got != c.use {
			t.Errorf("number %d is used: %v", c.sequence, got)
		}
	}
	got := tab.report(5 * time.Second)[0].Sources[0]
	if got.Received != 8 || got.Lost != 2 || got.Late != 1 || got.Repeated != 1 || got.Restarts != 1 {
		t.Errorf("%+v", got)
	}
	if got.LongestGap != 25*ms || got.Jitter != 0 {
		t.Errorf("gap %v, jitter %v", got.LongestGap, got.Jitter)
	}
	if got := tab.report(5*time.Second + 40*time.Second); len(got) != 0 {
		t.Errorf("forty seconds later it still stands there: %+v", got)
	}
}

func TestRateAndJitter(t *testing.T) {
	tab := newTable()
	s := newSender(1, 100)
	at := time.Duration(0)
	for k := range 400 { // 20 and 30 ms by turns: 40 a second
		s.hear(tab, at)
		at += 20*time.Millisecond + time.Duration(k%2)*10*time.Millisecond
	}
	got := tab.report(at)[0].Sources[0]
	if got.Rate < 39 || got.Rate > 41 {
		t.Errorf("%v packets a second", got.Rate)
	}
	// RFC 3550's mean of differences that are all 10 ms.
	if got.Jitter < 9900*time.Microsecond || got.Jitter > 10*time.Millisecond || got.LongestGap != 30*time.Millisecond {
		t.Errorf("jitter %v, longest gap %v", got.Jitter, got.LongestGap)
	}
	if got := tab.report(at + 3*time.Second)[0].Sources[0]; got.Rate != 0 || got.Present {
		t.Errorf("three seconds later: %+v", got)
	}
}

func TestSynced(t *testing.T) {
	tab := newTable()
	s := newSender(1, 100)
	s.Sync = 7962
	synced := func(now time.Duration) bool { return tab.report(now)[0].Sources[0].Synced }
	s.hear(tab, 0)
	if synced(0) {
		t.Error("synced before any synchronization packet")
	}
	tab.hearSync(&Sync{CID: s.CID, Address: 7961}, 0)
	tab.hearSync(&Sync{CID: CID{9}, Address: 7962}, 0)
	if synced(0) {
		t.Error("synced by another address or sender")
	}
	tab.hearSync(&Sync{CID: s.CID, Address: 7962, Sequence: 5}, 0)
	tab.hearSync(&Sync{CID: s.CID, Address: 7962, Sequence: 5}, time.Second) // came twice
	if !synced(lossAfter) || synced(lossAfter+1) || tab.counters.Syncs != 3 {
		t.Errorf("synchronization is not lost after 2.5 s, %d counted", tab.counters.Syncs)
	}
}

// However many senders are made up, memory stays bounded, the real ones are heard, and room is made when the flood ends.
func TestFloodOfForgedSenders(t *testing.T) {
	tab := newTable()
	real := newSender(1, 100)
	real.hear(tab, 0)
	forged := newSender(2, 100)
	forge := func(n int, now time.Duration) {
		forged.CID = CID{2, byte(n), byte(n >> 8), byte(n >> 16)}
		forged.Universe = uint16(n%MaxUniverse) + 1
		if n%3 == 0 {
			forged.Universe = 1
		}
		forged.Name = fmt.Appendf(nil, "x%d", n)
		forged.hear(tab, now)
		tab.hearSync(&Sync{CID: forged.CID, Address: forged.Universe}, now)
		tab.discovered.hear(&DiscoveryPage{CID: forged.CID, Last: 255, Page: byte(n), Universes: []uint16{1, 2}}, forged.from, now)
	}
	for n := range 50000 {
		now := time.Duration(n) * time.Microsecond
		forge(n, now)
		if n%1000 == 0 && !real.hear(tab, now) {
			t.Fatal("the real sender is not heard any more")
		}
	}
	if len(tab.streams) > maxStreams || len(tab.universes[1]) > maxPerUniv || len(tab.universes) > maxStreams || len(tab.syncs) > maxSyncs || len(tab.discovered) > maxDiscovered {
		t.Errorf("%d streams, %d in universe 1, %d universes, %d syncs, %d discovered",
			len(tab.streams), len(tab.universes[1]), len(tab.universes), len(tab.syncs), len(tab.discovered))
	}
	if tab.counters.Overflow == 0 {
		t.Error("nobody was counted as turned away")
	}
	late := newSender(3, 100)
	if late.hear(tab, 100*time.Millisecond) {
		t.Error("there was room in a full universe")
	}
	now := time.Minute
	if !late.hear(tab, now) {
		t.Error("a minute after the flood there is no room")
	}
}

func TestDiscoveredLists(t *testing.T) {
	var tab discoveredTable
	from := newSender(1, 0).from
	hear := func(page, last byte, now time.Duration, universes ...uint16) {
		if !tab.hear(&DiscoveryPage{CID: CID{1}, Name: []byte("desk\x1b[2J"), Page: page, Last: last, Universes: universes}, from, now) {
			t.Error("no room")
		}
	}
	list := func(now time.Duration) []uint16 {
		all := tab.report(now)
		if len(all) == 0 {
			return nil
		}
		return all[0].Universes
	}
	hear(0, 1, 0, 1, 2)
	hear(1, 1, 0, 700)
	if !slices.Equal(list(0), []uint16{1, 2, 700}) || tab.report(0)[0].Name != "desk[2J" {
		t.Errorf("%+v", tab.report(0))
	}
	hear(0, 0, 10*time.Second, 2) // universe 1 and the second page are dropped
	if !slices.Equal(list(10*time.Second), []uint16{2}) {
		t.Errorf("%v", list(10*time.Second))
	}
	if list(30*time.Second) == nil || list(31*time.Second) != nil {
		t.Error("a sender is not forgotten after two intervals (12.2)")
	}
}

// In whatever order packets of several senders come, the sender in force is the one with the highest priority
// among those present.
func TestArbitrationHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tab := newTable()
		all := []*sender{newSender(1, 0), newSender(2, 0), newSender(3, 0)}
		last := map[*sender]time.Duration{}
		now := time.Duration(0)
		for range rapid.IntRange(1, 60).Draw(t, "packets") {
			now += time.Duration(rapid.IntRange(0, 1500).Draw(t, "ms")) * time.Millisecond
			s := rapid.SampledFrom(all).Draw(t, "sender")
			s.Priority = rapid.ByteRange(0, 200).Draw(t, "priority")
			used := s.hear(tab, now)
			last[s] = now
			best := s
			for o, at := range last {
				if now-at <= lossAfter && (o.Priority > best.Priority || o.Priority == best.Priority && o.CID[0] < best.CID[0]) {
					best = o
				}
			}
			if used != (best == s) || inForce(tab, now) != string(best.Name) {
				t.Fatalf("at %v %q is in force, want %q", now, inForce(tab, now), best.Name)
			}
		}
	})
}

func TestHostileNames(t *testing.T) {
	tab := newTable()
	s := newSender(1, 100)
	s.Name = []byte("\x1b]0;owned\x07\u202ekcab")
	s.hear(tab, 0)
	if got := tab.report(0)[0].Sources[0].Title(); strings.ContainsAny(got, "\x1b\x07\u202e") {
		t.Errorf("%q", got)
	}
}
