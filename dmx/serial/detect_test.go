package serial

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

func frame(level byte) []dmx.Frame { return []dmx.Frame{{level}} }

// scripted is a port with something behind it that answers packets by a script, on a bubble's time.
type scripted struct {
	script func(p Packet) []says // what comes back; nil: nothing ever does

	mu      sync.Mutex
	in      Scanner
	coming  []says // by time
	timeout time.Duration
	brk     error // of a break
	breaks  int
	asked   []Label
	levels  []byte // of packets to send
	line    []byte // bytes that are in no packet, as a line gets them
	closed  bool
}

// says is bytes that come back after a while.
type says struct {
	after time.Duration
	bytes []byte
	at    time.Time
}

func (s *scripted) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.breaks > 0 {
		s.line = append(s.line, b...)
		return len(b), nil
	}
	s.in.Write(b, func(p Packet) {
		if p.Label == LabelSend {
			s.levels = append(s.levels, p.Payload[1])
			return
		}
		s.asked = append(s.asked, p.Label)
		if s.script == nil {
			return
		}
		for _, a := range s.script(p) {
			a.at = time.Now().Add(a.after)
			s.coming = append(s.coming, a)
		}
		slices.SortStableFunc(s.coming, func(a, b says) int { return a.at.Compare(b.at) })
	})
	return len(b), nil
}

func (s *scripted) Read(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	wait, due := s.timeout, false
	if len(s.coming) > 0 {
		if d := time.Until(s.coming[0].at); d <= wait {
			wait, due = d, true
		}
	}
	if wait > 0 {
		s.mu.Unlock()
		time.Sleep(wait)
		s.mu.Lock()
	}
	if !due {
		return 0, nil
	}
	n := copy(b, s.coming[0].bytes)
	if s.coming[0].bytes = s.coming[0].bytes[n:]; len(s.coming[0].bytes) == 0 {
		s.coming = s.coming[1:]
	}
	return n, nil
}

func (s *scripted) SetReadTimeout(d time.Duration) error { s.timeout = d; return nil }
func (s *scripted) Break(d time.Duration) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.brk == nil {
		s.breaks++
	}
	return s.brk
}

func (s *scripted) Drain() error { time.Sleep(lineBytes * slotTime); return nil }

func (s *scripted) Close() error { s.closed = true; return nil }

// reply is the golden answer to a question for parameters.
func reply(t testing.TB) []byte {
	for _, v := range dmxtest.Vectors(t, "widget_get_params_reply") {
		return v.Bytes
	}
	return nil
}

func TestDetect(t *testing.T) {
	params := reply(t)
	number := dmxtest.Vectors(t, "widget_get_serial_reply")[0].Bytes
	// A start byte that promises a long packet, and then other things.
	garbage := append([]byte{packetStart, packetStart, 3, 5}, bytes.Repeat([]byte{packetEnd}, 100)...)
	always := func(after time.Duration, parts ...[]byte) func(Packet) []says {
		return func(p Packet) []says {
			if p.Label == LabelSerial {
				return []says{{after: after, bytes: number}}
			}
			var all []says
			for _, b := range parts {
				all = append(all, says{after: after, bytes: b})
			}
			return all
		}
	}
	second := 0
	for _, c := range []struct {
		what   string
		script func(Packet) []says
		brk    error
		off    int
		want   Kind
		err    string
	}{
		{what: "a widget", script: always(0, params), want: Widget},
		{what: "a slow one", script: always(499*time.Millisecond, params), want: Widget},
		{what: "byte by byte", script: always(0, slices.Collect(slices.Chunk(params, 1))...), want: Widget},
		{what: "after garbage", script: always(0, garbage, params), want: Widget},
		{what: "after a packet of another kind", script: always(0, number, params), want: Widget},
		{what: "after an answer that is too short", script: always(0, Packet{LabelParameters, []byte{1}}.AppendTo(nil), params), want: Widget},
		{what: "only the second question is heard", script: func(p Packet) []says {
			if second++; second == 1 {
				return nil
			}
			return always(0, params)(p)
		}, want: Widget},
		{what: "a widget that holds no line's speed", script: always(0, params), off: 115200, want: Widget},
		{what: "a widget that makes no break", script: always(0, params), brk: syscall.EPIPE, want: Widget},
		{what: "a line", want: Raw},
		{what: "a line that receives noise", script: always(0, bytes.Repeat([]byte{packetStart, 3, 5, 0, 1}, 200)), want: Raw},
		{what: "too late", script: always(2*time.Second, params), want: Raw},
		{what: "wrong", script: always(0, []byte{packetStart, 3, 5, 0, 4, 1, 9, 1, 40, 0}), want: Raw},
		{what: "too slow for a line", off: 115200, err: "115200 bit/s"},
		{what: "neither", brk: syscall.EPIPE, err: "a modem or a console"},
		{what: "gone", brk: syscall.EIO, err: "is gone"},
	} {
		t.Run(c.what, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s := &scripted{script: c.script, brk: c.brk}
				start := time.Now()
				got, err := probe(func(_ string, kind Kind) (port, error) {
					if kind != Auto {
						t.Errorf("opened as %v", kind)
					}
					if c.off > 0 {
						return &offSpeed{s, c.off}, nil
					}
					return s, nil
				}, "/dev/ttyUSB7", true)
				switch {
				case c.err != "":
					if err == nil || !strings.Contains(err.Error(), c.err) {
						t.Errorf("found %+v, %v; want an error with %q", got, err, c.err)
					}
				case err != nil || got.Kind != c.want:
					t.Errorf("found %+v, %v; want %v", got, err, c.want)
				case c.want == Widget && (got.Parameters.Rate != 40 || got.Serial != "12345678"):
					t.Errorf("the widget told %+v", got)
				}
				if took := time.Since(start); took > 3*replyWithin {
					t.Errorf("it took %v", took)
				}
				if !s.closed {
					t.Error("the port stays open")
				}
				if c.want == Raw && slices.Contains(s.asked, LabelSerial) {
					t.Error("a line was asked for a widget's number")
				}
			})
		})
	}
}

// hung takes nothing until it is let go, and never says anything.
type hung struct {
	deaf
	stuck chan struct{}
}

func (h *hung) Write(b []byte) (int, error) { <-h.stuck; return len(b), nil }

func TestProbeOfAPortThatHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &hung{stuck: make(chan struct{})}
		start := time.Now()
		_, err := probe(on(s), "/dev/ttyUSB7", false)
		if !errors.Is(err, errStalled) || time.Since(start) != probeWithin {
			t.Errorf("%v after %v", err, time.Since(start))
		}
		close(s.stuck)
		time.Sleep(2 * replyWithin) // its goroutine ends by itself
		if _, err := probe(func(string, Kind) (port, error) { return nil, syscall.EACCES }, "/dev/ttyUSB7", false); !errors.Is(err, syscall.EACCES) {
			t.Errorf("%v", err)
		}
	})
}

func TestProbeDoesNotStopAWidgetUnasked(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		answer := reply(t)
		s := &scripted{script: func(Packet) []says { return []says{{bytes: answer}} }}
		if got, err := probe(on(s), "/dev/ttyUSB7", false); err != nil || got.Kind != Widget {
			t.Errorf("%+v, %v", got, err)
		}
		if !slices.Equal(s.asked, []Label{LabelParameters}) {
			t.Errorf("it was asked %v", s.asked)
		}
	})
}

func TestDecodeSerial(t *testing.T) {
	for _, v := range dmxtest.Vectors(t, "widget_get_serial_reply") {
		p, err := DecodePacket(v.Bytes)
		if err != nil {
			t.Fatal(err)
		}
		got, err := DecodeSerial(p.Payload)
		if err != nil || got != v.Fields["serial_bcd"] {
			t.Errorf("%q, %v; want %v", got, err, v.Fields["serial_bcd"])
		}
	}
	for _, bad := range [][]byte{{}, {1, 2, 3}, {1, 2, 3, 4, 5}, {0x0a, 0, 0, 0}, {0, 0, 0, 0xa0}} {
		if got, err := DecodeSerial(bad); err == nil {
			t.Errorf("% x passes for %q", bad, got)
		}
	}
}

// Ports that are not there or are no ports are told of in words, by Probe as by an output.
func TestProbeOfRealPaths(t *testing.T) {
	path := t.TempDir() + "/ttyUSB0"
	if _, err := Probe(path, false); err == nil || !strings.Contains(err.Error(), "there is no port "+path) {
		t.Errorf("%v", err)
	}
}
