package artnet

import (
	"fmt"
	"net/netip"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// TimeSender sends ArtTimeCode, for machines that follow the show. One goroutine at a time may use it.
type TimeSender struct {
	rate   FrameRate
	stream byte
	last   TimeCode
	begun  bool
	packet []byte
	start  time.Time
	to     *destination
}

// NewTimeSender makes a sender to one device, or to a network's directed broadcast address. A network that is
// not there is no error; sending tries again.
func NewTimeSender(to netip.AddrPort, rate FrameRate, stream byte) (*TimeSender, error) {
	return newTimeSender(to, rate, stream, udp.Dial)
}

func newTimeSender(to netip.AddrPort, rate FrameRate, stream byte, dial func(netip.AddrPort) (udp.Socket, error)) (*TimeSender, error) {
	if rate > SMPTE {
		return nil, fmt.Errorf("frame rate %v is none of Art-Net's; it has 24, 25, 29.97 and 30 frames a second", rate)
	}
	to = netip.AddrPortFrom(to.Addr().Unmap(), to.Port())
	if err := checkDestination(to); err != nil {
		return nil, err
	}
	s := &TimeSender{rate: rate, stream: stream, packet: make([]byte, 0, timeLength), start: time.Now()}
	s.to = &destination{to: to, dial: dial}
	s.to.msgs = []udp.Message{{Buffers: [][]byte{s.packet[:timeLength]}}}
	s.to.of = []int{notFeed}
	return s, nil
}

// Send sends the time code of an instant of the show if it is another than the last, and says so. Called for
// every frame of the send loop, it sends each frame of the time code. Of an error it may be called again; it allocates nothing
// as long as all goes well. After Close it returns dmx.ErrClosed.
func (s *TimeSender) Send(elapsed time.Duration) (sent bool, err error) {
	if s.to == nil {
		return false, dmx.ErrClosed
	}
	t := TimeCodeAt(max(elapsed, 0), s.rate)
	t.Stream = s.stream
	if s.begun && t == s.last {
		return false, nil
	}
	s.last, s.begun = t, true
	t.AppendTo(s.packet[:0])
	n, err := s.to.send(time.Since(s.start))
	return n > 0, err
}

// Close closes the socket. A second Close does nothing.
func (s *TimeSender) Close() error {
	if s.to == nil {
		return nil
	}
	err := s.to.close()
	s.to = nil
	return err
}
