package artnet

import (
	"fmt"
	"net/netip"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// churn is a network of nodes that appear, move, vanish and return, and the table that follows it; beside it the plain truth.
type churn struct {
	table *table
	now   time.Duration
	// truth is what each part that answers puts out, and when it last answered.
	truth map[key]*lamp
}

type lamp struct {
	on      bool
	address uint16
	said    uint16 // the address it last told
	heard   time.Duration
	polls   int64
	known   bool
}

func newChurn(nodes, parts int) *churn {
	c := &churn{table: newTable(), truth: map[key]*lamp{}}
	for i := range nodes {
		for b := range parts {
			c.truth[key{netip.AddrFrom4([4]byte{10, 9, byte(i >> 8), byte(i)}), byte(b + 1)}] = &lamp{}
		}
	}
	return c
}

func (c *churn) keys() []key {
	out := make([]key, 0, len(c.truth))
	for k := range c.truth {
		out = append(out, k)
	}
	slices.SortFunc(out, func(a, b key) int {
		if n := a.addr.Compare(b.addr); n != 0 {
			return n
		}
		return int(a.bind) - int(b.bind)
	})
	return out
}

// poll lets time pass to the next poll, and lets all that are on answer.
func (c *churn) poll() {
	c.now += pollEvery
	c.table.polled()
	c.table.expire(c.now, func(Event) {})
	for k, l := range c.truth {
		if !l.on {
			continue
		}
		l.heard, l.polls, l.known, l.said = c.now, c.table.polls, true, l.address
		r := PollReply{BindIndex: k.bind}
		r.SetOutput(0, l.address)
		c.table.hear(k.addr, &r, c.now)
	}
}

// check compares the subscriptions with the truth: a node has its Port-Address from its first answer on, until it has
// missed three polls and 9 s.
func (c *churn) check() error {
	want := map[uint16]map[netip.Addr]bool{}
	for k, l := range c.truth {
		if !l.known || c.now-l.heard >= goneAfter && c.table.polls-l.polls >= goneAfterPolls {
			continue
		}
		at := l.said
		if want[at] == nil {
			want[at] = map[netip.Addr]bool{}
		}
		want[at][k.addr] = true
	}
	v := c.table.view()
	for a, takers := range v.takers {
		for _, n := range takers {
			if !want[a][n] {
				return fmt.Errorf("%v is sent Port-Address %d, which it does not put out", n, a)
			}
		}
		if len(takers) != min(len(want[a]), maxTakers) {
			return fmt.Errorf("Port-Address %d goes to %d nodes, want %d", a, len(takers), len(want[a]))
		}
	}
	for a := range want {
		if len(v.takers[a]) == 0 {
			return fmt.Errorf("Port-Address %d goes to nobody, want %d", a, len(want[a]))
		}
	}
	gone := 0
	for _, e := range c.table.entries {
		if e.node.Presence == Gone {
			gone++
		}
	}
	if gone != c.table.gone {
		return fmt.Errorf("%d are gone, counted as %d", gone, c.table.gone)
	}
	if len(c.table.entries) > maxNodes || len(c.table.entries) > len(c.truth) {
		return fmt.Errorf("%d entries for %d parts", len(c.table.entries), len(c.truth))
	}
	return nil
}

func TestSubscriptionsFollowTheNetwork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := newChurn(6, 2)
		keys := c.keys()
		for range rapid.IntRange(1, 80).Draw(t, "polls") {
			for range rapid.IntRange(0, 3).Draw(t, "changes") {
				l := c.truth[rapid.SampledFrom(keys).Draw(t, "part")]
				l.on = rapid.Bool().Draw(t, "on")
				l.address = rapid.Uint16Range(0, 4).Draw(t, "address")
			}
			c.poll()
			if err := c.check(); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// runChurn lets a network of many nodes churn for a time, and gives the most entries there were.
func runChurn(t testing.TB, long time.Duration, random func(n int) int) (most int) {
	c := newChurn(400, 2)
	keys := c.keys()
	for at := time.Duration(0); at < long; at += pollEvery {
		for range random(20) {
			l := c.truth[keys[random(len(keys))]]
			l.on, l.address = random(3) > 0, uint16(random(600))
		}
		c.poll()
		if random(200) == 0 {
			if err := c.check(); err != nil {
				t.Fatal(err)
			}
		}
		most = max(most, len(c.table.entries))
	}
	return most
}

func TestTableRules(t *testing.T) {
	tab := newTable()
	a := netip.MustParseAddr("10.9.9.1")
	var r PollReply
	r.SetOutput(0, 7)
	tab.polled()
	if e, changed := tab.hear(a, &r, 0); e.Kind != NodeAppeared || !changed {
		t.Fatalf("the first answer: %v, %v", e.Kind, changed)
	}
	if e, changed := tab.hear(a, &r, time.Second); e.Kind != 0 || changed {
		t.Errorf("the same again: %v, %v", e.Kind, changed)
	}
	r.BindIndex = 1
	if _, _ = tab.hear(a, &r, time.Second); len(tab.entries) != 1 {
		t.Error("BindIndex 0 and 1 are two parts; both mean the root")
	}
	none := func(e Event) { t.Errorf("told: %s", e.Text) }
	// No poll has gone out since: nobody can have answered it.
	if tab.expire(time.Hour, none) {
		t.Error("given up without having been asked")
	}
	tab.polled()
	tab.polled()
	tab.expire(time.Hour, none) // two polls are not three
	if p := tab.view().nodes[0].Presence; p != Missed {
		t.Errorf("it is %v", p)
	}
	tab.polled()
	var told []EventKind
	tab.expire(time.Hour, func(e Event) { told = append(told, e.Kind) })
	if !slices.Equal(told, []EventKind{NodeVanished}) || tab.view().nodes[0].Presence != Gone || len(tab.view().takers) != 0 {
		t.Errorf("told %v", told)
	}
	if e, changed := tab.hear(a, &r, time.Hour); e.Kind != NodeReturned || !changed {
		t.Errorf("back: %v, %v", e.Kind, changed)
	}
	for range 3 {
		tab.polled()
	}
	tab.expire(2*time.Hour, func(Event) {})
	tab.expire(2*time.Hour+forgetAfter, none)
	if len(tab.entries) != 0 || tab.gone != 0 {
		t.Errorf("%d entries are remembered", len(tab.entries))
	}
}

// A full table takes no stranger, but makes room by who is gone.
func TestFullTable(t *testing.T) {
	tab := newTable()
	var r PollReply
	at := func(i int) netip.Addr { return netip.AddrFrom4([4]byte{10, 9, byte(i >> 8), byte(i)}) }
	for i := range maxNodes {
		tab.hear(at(i), &r, time.Duration(i))
	}
	if e, changed := tab.hear(at(maxNodes), &r, 0); e.Kind != 0 || changed || tab.overflow != 1 || len(tab.entries) != maxNodes {
		t.Errorf("one too many: %v, %d entries", e.Kind, len(tab.entries))
	}
	for range 3 {
		tab.polled()
	}
	tab.hear(at(0), &r, goneAfter)
	tab.expire(goneAfter+time.Duration(20), func(Event) {})
	if tab.gone != 20 { // parts 1..20
		t.Fatalf("%d are gone", tab.gone)
	}
	if e, _ := tab.hear(at(maxNodes), &r, 0); e.Kind != NodeAppeared || tab.entries[key{at(1), 1}] != nil || tab.entries[key{at(2), 1}] == nil {
		t.Errorf("a new one: %v; the longest gone one has to make room", e.Kind)
	}
}

func TestHearingTheSameAllocatesNothing(t *testing.T) {
	tab := newTable()
	a := netip.MustParseAddr("10.9.9.1")
	var r PollReply
	r.SetOutput(0, 7)
	b := r.AppendTo(nil)
	tab.hear(a, &r, 0)
	if n := testing.AllocsPerRun(100, func() {
		if r.Decode(b) != nil {
			t.Fatal("refused")
		}
		tab.hear(a, &r, 0)
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
