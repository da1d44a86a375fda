package main

import (
	"net/netip"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"limn/dmx"
	"limn/dmx/artnet"
)

var (
	deskA = netip.MustParseAddrPort("127.0.0.1:40001")
	deskB = netip.MustParseAddrPort("127.0.0.1:40002")
)

func datagram(from netip.AddrPort, port uint16, sequence byte, data ...byte) *artnet.Datagram {
	return &artnet.Datagram{From: from, PortAddress: port, Sequence: sequence, Data: data}
}

// Sequence numbers of ArtDmx: 1..255, then 1 again; 0 is not counted.
func TestReceptionCountsGaps(t *testing.T) {
	for _, c := range []struct {
		name string
		seq  []byte
		lost int64
	}{
		{"in order", []byte{1, 2, 3}, 0},
		{"starts anywhere", []byte{200, 201}, 0},
		{"wraps to 1", []byte{254, 255, 1, 2}, 0},
		{"one missing", []byte{1, 3}, 1},
		{"missing at the wrap", []byte{255, 2}, 1},
		{"twice the same", []byte{1, 1, 2}, 0},
		{"not counted by the sender", []byte{0, 0, 0}, 0},
		{"many missing", []byte{1, 101}, 99},
	} {
		var r reception
		for _, n := range c.seq {
			r.heard(datagram(deskA, 1, n))
		}
		if _, lost := r.totals(); lost != c.lost {
			t.Errorf("%s: %d lost, want %d", c.name, lost, c.lost)
		}
	}
}

// Each sender is followed by itself: two of them are no gap.
func TestReceptionFollowsEachSender(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var r reception
		next := map[netip.AddrPort]byte{deskA: 1, deskB: 200}
		for _, b := range rapid.SliceOfN(rapid.Bool(), 1, 1000).Draw(t, "from B") {
			from := deskA
			if b {
				from = deskB
			}
			r.heard(datagram(from, 7, next[from]))
			next[from] = next[from]%255 + 1
		}
		if _, lost := r.totals(); lost != 0 {
			t.Fatalf("%d lost", lost)
		}
	})
}

// A datagram that comes late changes nothing any more.
func TestReceptionDropsWhatComesLate(t *testing.T) {
	var r reception
	r.heard(datagram(deskA, 1, 1, 10))
	r.heard(datagram(deskA, 1, 3, 30))
	r.heard(datagram(deskA, 1, 2, 20))
	if got := r.report()[0]; got.Data[0] != 30 || got.Received != 3 {
		t.Errorf("slot 1 is %d after %d datagrams", got.Data[0], got.Received)
	}
}

func TestReceptionReports(t *testing.T) {
	var r reception
	r.heard(datagram(deskA, 2, 1, 10, 20))
	r.heard(datagram(deskB, 2, 9, 10, 30))
	r.heard(datagram(deskA, 1, 1))
	first := r.report()
	if len(first) != 2 || first[0].PortAddress != 1 || first[1].PortAddress != 2 {
		t.Fatalf("reports %+v", first)
	}
	two := first[1]
	if two.Senders != 2 || two.From != deskB || two.Received != 2 || two.Fresh != 2 || two.Lost != 0 {
		t.Errorf("universe 2: %+v", two)
	}
	if !slices.Equal(two.Changed, []int{1, 2}) || two.Length != 2 || two.Data[1] != 30 {
		t.Errorf("universe 2: changed %v, length %d, slot 2 = %d", two.Changed, two.Length, two.Data[1])
	}
	r.heard(datagram(deskA, 2, 2, 10, 31))
	second := r.report()[1]
	if second.Fresh != 1 || second.Received != 3 || second.Senders != 1 || !slices.Equal(second.Changed, []int{2}) {
		t.Errorf("next interval: %+v", second)
	}
	frames := make([]dmx.Frame, 2)
	if heard := r.frames([]uint16{2, 5}, frames); heard != 1 || frames[0][1] != 31 || frames[1] != (dmx.Frame{}) {
		t.Errorf("%d universes heard, slots %v %v", heard, frames[0][:2], frames[1][:2])
	}
}

// Strangers cannot fill the memory.
func TestReceptionIsBounded(t *testing.T) {
	var r reception
	for i := range 3 * maxPorts {
		r.heard(datagram(deskA, uint16(i), 1, 1))
	}
	for i := range 3 * maxSenders {
		r.heard(datagram(netip.AddrPortFrom(deskA.Addr(), uint16(i+1)), 0, 1))
	}
	if len(r.ports) > maxPorts || len(r.ports[0].senders) > maxSenders {
		t.Errorf("%d universes, %d senders of one", len(r.ports), len(r.ports[0].senders))
	}
	if received, _ := r.totals(); received != 3*maxPorts+3*maxSenders {
		t.Errorf("%d counted", received)
	}
}
