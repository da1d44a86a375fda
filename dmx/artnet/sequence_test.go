package artnet

import (
	"net/netip"
	"testing"

	"pgregory.net/rapid"

	"limn/dmx/dmxtest"
)

// The protocol text's counting: testdata/wire.
func TestNextSequence(t *testing.T) {
	var cases []struct{ Last, Next byte }
	dmxtest.Table(t, "artnet_sequence", &cases)
	for _, c := range cases {
		if got := nextSequence(c.Last); got != c.Next {
			t.Errorf("after %d comes %d, want %d", c.Last, got, c.Next)
		}
	}
	if len(cases) == 0 {
		t.Error("no cases")
	}
}

// ANSI E1.31-2018, 6.7.2 counts on a circle of 256; where the two numbers do not straddle the end of
// ours, of 255, and neither is 0, the answers must be the same.
func TestSequenceWindow(t *testing.T) {
	var cases []struct {
		Last, Next byte
		Accept     bool
	}
	dmxtest.Table(t, "e131_sequence", &cases)
	n := 0
	for _, c := range cases {
		if d := int(c.Next) - int(c.Last); c.Last == 0 || c.Next == 0 || d > 127 || d < -127 {
			continue
		}
		n++
		s := Sequence{last: c.Last}
		if use, _ := s.Next(c.Next); use != c.Accept {
			t.Errorf("%d after %d: use %v, want %v", c.Next, c.Last, use, c.Accept)
		}
	}
	if n < 5 {
		t.Errorf("only %d cases fit", n)
	}
}

func TestSequenceGaps(t *testing.T) {
	for _, c := range []struct {
		name    string
		numbers []byte
		use     int
		missing int
	}{
		{"in order", []byte{1, 2, 3}, 3, 0},
		{"over the end", []byte{254, 255, 1, 2}, 4, 0},
		{"two missing", []byte{7, 10}, 2, 2},
		{"missing over the end", []byte{254, 2}, 2, 2},
		{"a late one", []byte{5, 7, 6, 8}, 3, 1},
		{"a repeated one", []byte{5, 5, 6}, 2, 0},
		{"late over the end", []byte{1, 255, 2}, 2, 0},
		{"started again", []byte{100, 1, 2}, 3, 0},
		{"not counting", []byte{0, 0, 0}, 3, 0},
		{"stops counting and starts", []byte{9, 0, 200}, 3, 0},
	} {
		var s Sequence
		use, missing := 0, 0
		for _, n := range c.numbers {
			ok, gap := s.Next(n)
			if ok {
				use++
			}
			missing += gap
		}
		if use != c.use || missing != c.missing {
			t.Errorf("%s: %d used, %d missing; want %d, %d", c.name, use, missing, c.use, c.missing)
		}
	}
}

// What is dropped from a steady sender, up to the half circle in a row, is counted to the last one.
func TestSequenceCountsEveryLoss(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gaps := rapid.SliceOf(rapid.IntRange(0, sequences/2-1)).Draw(t, "gaps")
		var s Sequence
		n := nextSequence(0)
		s.Next(n)
		want, got := 0, 0
		for _, gap := range gaps {
			for range gap {
				n = nextSequence(n)
			}
			n = nextSequence(n)
			use, missing := s.Next(n)
			if !use {
				t.Fatalf("%d was not used", n)
			}
			want += gap
			got += missing
		}
		if got != want {
			t.Fatalf("%d missing, want %d", got, want)
		}
	})
}

func TestSequencesKeepStreamsApart(t *testing.T) {
	a, b := netip.MustParseAddrPort("127.0.0.1:1"), netip.MustParseAddrPort("127.0.0.1:2")
	var s Sequences
	for n := byte(1); n < 10; n++ {
		for _, d := range []*Datagram{
			{From: a, PortAddress: 1, Sequence: n},
			{From: a, PortAddress: 2, Sequence: n + 100},
			{From: b, PortAddress: 1, Sequence: n + 200},
		} {
			if use, missing := s.Next(d); !use || missing != 0 {
				t.Fatalf("%v, %d: use %v, %d missing", d.From, d.PortAddress, use, missing)
			}
		}
	}
	if _, missing := s.Next(&Datagram{From: a, PortAddress: 2, Sequence: 112}); missing != 2 {
		t.Errorf("%d missing, want 2", missing)
	}
}

func TestSequencesAreBounded(t *testing.T) {
	var s Sequences
	for port := range 3 * maxStreams {
		from := netip.AddrPortFrom(netip.MustParseAddr("10.0.0.1"), uint16(port))
		if use, _ := s.Next(&Datagram{From: from, Sequence: 5}); !use {
			t.Fatal("a new sender's datagram was dropped")
		}
		if len(s.streams) > maxStreams {
			t.Fatalf("%d streams are remembered", len(s.streams))
		}
	}
}
