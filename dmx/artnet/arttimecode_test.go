package artnet

import (
	"net/netip"
	"os"
	"syscall"
	"testing"
	"time"

	"pgregory.net/rapid"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

func rapidTime(t *rapid.T) time.Duration {
	return time.Duration(rapid.Int64Range(0, int64(100*24*time.Hour)).Draw(t, "elapsed"))
}

// Frame counts and drop frame numbers: the rule of SMPTE ST 12-1, from memory.
func TestTimeCodeAt(t *testing.T) {
	const ms = time.Millisecond
	frame := func(n int64) time.Duration { // the beginning of frame n at 30000/1001 a second, rounded up
		return time.Duration((n*1001*int64(time.Second) + 29999) / 30000)
	}
	for _, c := range []struct {
		at   time.Duration
		rate FrameRate
		want string
	}{
		{0, Film, "00:00:00:00"},
		{41 * ms, Film, "00:00:00:00"},
		{42 * ms, Film, "00:00:00:01"},
		{time.Second - 1, Film, "00:00:00:23"},
		{40 * ms, EBU, "00:00:00:01"},
		{3723*time.Second + 160*ms, EBU, "01:02:03:04"},
		{24*time.Hour - 1, EBU, "23:59:59:24"},
		{24 * time.Hour, EBU, "00:00:00:00"},
		{time.Minute, SMPTE, "00:01:00:00"},
		{frame(1799), DropFrame, "00:00:59;29"},
		{frame(1800) - 1, DropFrame, "00:00:59;29"},
		{frame(1800), DropFrame, "00:01:00;02"},
		{frame(3597), DropFrame, "00:01:59;29"},
		{frame(3598), DropFrame, "00:02:00;02"},
		{frame(17981), DropFrame, "00:09:59;29"},
		{frame(17982), DropFrame, "00:10:00;00"}, // the tenth minute has all its numbers
		{frame(107892), DropFrame, "01:00:00;00"},
		{frame(2589407), DropFrame, "23:59:59;29"},
		{frame(2589408), DropFrame, "00:00:00;00"},
		{24 * time.Hour, DropFrame, "00:00:00;02"}, // 2589408 frames last 86.4 ms less than a day: 2.6 frames
	} {
		if got := TimeCodeAt(c.at, c.rate).String(); got != c.want {
			t.Errorf("%v at %v: %s, want %s", c.at, c.rate, got, c.want)
		}
	}
}

// Frame after frame the numbers go up, none is one that drop frame counting skips, and all are written and read back.
func TestTimeCodesFollowEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := FrameRate(rapid.ByteRange(0, 3).Draw(t, "rate"))
		at := rapidTime(t)
		a := TimeCodeAt(at, rate)
		if err := a.valid(); err != nil {
			t.Fatalf("%v: %v", a, err)
		}
		if rate == DropFrame && a.Seconds == 0 && a.Frame < 2 && a.Minutes%10 != 0 {
			t.Fatalf("%v does not exist", a)
		}
		var back TimeCode
		if err := back.Decode(a.AppendTo(nil)); err != nil || back != a {
			t.Fatalf("%v comes back as %v (%v)", a, back, err)
		}
		// A 44th of a second later it is the same or the next, but for the numbers dropped and midnight.
		b := TimeCodeAt(at+time.Second/44, rate)
		ahead := number(b) - number(a)
		if ahead != 0 && ahead != 1 && (rate != DropFrame || ahead != 3) && number(b) != 0 {
			t.Fatalf("%v is followed by %v", a, b)
		}
	})
}

// number counts a time code's frames as if none were dropped.
func number(t TimeCode) int {
	return ((int(t.Hours)*60+int(t.Minutes))*60+int(t.Seconds))*t.Rate.perSecond() + int(t.Frame)
}

// Driven by the send loop's frames, each frame of the time code goes out once and in order.
func TestTimeSender(t *testing.T) {
	for rate := Film; rate <= SMPTE; rate++ {
		n := &fakeNet{}
		s, err := newTimeSender(nodeA, rate, 3, n.dial)
		if err != nil {
			t.Fatal(err)
		}
		sent := 0
		for k := range 44 * 65 {
			ok, err := s.Send(time.Duration(k) * time.Second / 44)
			if err != nil {
				t.Fatal(err)
			}
			if ok {
				sent++
			}
		}
		if sent != len(n.got) || int64(sent) != frameOf(int64(65*time.Second)-int64(time.Second/44), rate)+1 {
			t.Errorf("%v: %d sent, %d arrived", rate, sent, len(n.got))
		}
		var last TimeCode
		for i, b := range n.got {
			var c TimeCode
			if err := c.Decode(b); err != nil {
				t.Fatal(err)
			}
			if c.Stream != 3 || c.Rate != rate || i > 0 && number(c) != number(last)+1 && (c.Seconds != 0 || c.Frame != 2) {
				t.Fatalf("%v after %v", c, last)
			}
			last = c
		}
		n.errs = []error{syscall.ENETUNREACH}
		if ok, err := s.Send(0); ok || err == nil {
			t.Error("no network, and yet it was sent")
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		if _, err := s.Send(0); err != dmx.ErrClosed {
			t.Errorf("after Close: %v", err)
		}
	}
	if _, err := NewTimeSender(nodeA, 4, 0); err == nil {
		t.Error("a rate of type 4 is taken")
	}
	if _, err := NewTimeSender(netip.MustParseAddrPort("10.1.1.1:0"), EBU, 0); err == nil {
		t.Error("port 0 is taken")
	}
}

// quietNet takes everything and keeps nothing.
type quietNet struct{ taken int }

func TestTimeSenderAllocatesNothing(t *testing.T) {
	if dmxtest.Race {
		t.Skip("the race detector allocates")
	}
	q := &quietNet{}
	s, err := newTimeSender(nodeA, EBU, 0, q.dial)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Duration(0)
	if n := testing.AllocsPerRun(100, func() {
		at += 40 * time.Millisecond
		if ok, err := s.Send(at); !ok || err != nil {
			t.Fatal(ok, err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	if q.taken == 0 {
		t.Error(os.ErrInvalid)
	}
}
