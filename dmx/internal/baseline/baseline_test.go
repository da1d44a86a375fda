package baseline

import (
	"net"
	"net/netip"
	"testing"
	"time"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// What the sender claims to have sent arrives, the same number at every address.
func TestSenderSends(t *testing.T) {
	var to []netip.AddrPort
	var sinks []*net.UDPConn
	for range 3 {
		sink, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
		if err != nil {
			t.Fatal(err)
		}
		defer sink.Close()
		sinks = append(sinks, sink)
		to = append(to, sink.LocalAddr().(*net.UDPAddr).AddrPort())
	}
	const size, packets, frames = 530, 6, 4
	s := NewSender(t, size, packets, to)
	if took := s.Send(t, frames); took <= 0 {
		t.Errorf("it took %v", took)
	}
	buf := make([]byte, 2*size)
	for i, sink := range sinks {
		for n := range packets * frames / len(sinks) {
			_ = sink.SetReadDeadline(time.Now().Add(10 * time.Second))
			if got, err := sink.Read(buf); err != nil || got != size {
				t.Fatalf("packet %d at address %d: %d bytes, %v", n, i, got, err)
			}
		}
		_ = sink.SetReadDeadline(time.Now().Add(time.Millisecond))
		if got, err := sink.Read(buf); err == nil {
			t.Errorf("address %d got a packet of %d bytes too many", i, got)
		}
	}
}

// Frames begin after their time, and there are no more of them than were asked for.
func TestClockKeepsTheGrid(t *testing.T) {
	began := time.Now()
	late, _ := NewClock(t).Run(t, 11)
	if took := time.Since(began); took < time.Second/4 {
		t.Errorf("11 frames of 44 a second took %v", took)
	}
	if len(late) == 0 || len(late) > 11 {
		t.Errorf("%d frames of 11", len(late))
	}
	for i, d := range late {
		if d < 0 {
			t.Errorf("frame %d began %v early", i, -d)
		}
	}
}
