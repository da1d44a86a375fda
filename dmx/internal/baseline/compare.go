package baseline

import (
	"net"
	"net/netip"
	"slices"
	"testing"
	"time"
)

// roundPackets is about how many packets each side sends in a round of Compare: long enough to be timed well, short
// enough for both to meet the same neighbours on the machine.
const roundPackets = 4096

// Sinks binds sockets on loopback that nobody reads, so that a sender pays the whole way to their queues and no
// reader takes its core. They close with the test.
func Sinks(tb testing.TB, n int) (at []netip.AddrPort) {
	tb.Helper()
	for range n {
		sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
		if err != nil {
			tb.Fatal(err)
		}
		tb.Cleanup(func() { sink.Close() })
		at = append(at, sink.LocalAddr().(*net.UDPAddr).AddrPort())
	}
	return at
}

// Compare lets the program in C and ours send the same frames in turn, for as long as b goes on. It reports how many packets ours
// sends in the time of one of the other, and what a packet costs each of them: medians of the rounds, for others use the machine too.
func (s *Sender) Compare(b *testing.B, packets int, ours func()) {
	frames := max(roundPackets/packets, 1)
	var ratio, inC, inGo []float64
	s.Send(b, 1) // both have sent to everybody before the clock starts
	ours()
	b.ReportAllocs()
	for b.Loop() {
		theirs := s.Send(b, frames)
		start := time.Now()
		for range frames {
			ours()
		}
		took := time.Since(start)
		ratio = append(ratio, float64(theirs)/float64(took))
		inC = append(inC, float64(theirs)/float64(frames*packets))
		inGo = append(inGo, float64(took)/float64(frames*packets))
	}
	b.ReportMetric(median(ratio), "of-c")
	b.ReportMetric(median(inC), "c-ns/packet")
	b.ReportMetric(median(inGo), "ns/packet")
}

func median(x []float64) float64 {
	slices.Sort(x)
	return x[len(x)/2]
}
