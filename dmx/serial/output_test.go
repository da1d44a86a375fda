package serial

import (
	"errors"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
)

// stubborn is a port whose writes wait until it is let go.
type stubborn struct {
	quiet
	stuck  chan struct{} // nil: takes everything
	mu     sync.Mutex
	closed bool
}

func (s *stubborn) Write(p []byte) (int, error) {
	if s.stuck != nil {
		<-s.stuck
	}
	return len(p), nil
}

func (s *stubborn) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	return nil
}

var cfg = Config{Name: "bench", Port: "/dev/ttyUSB7", Universe: 1}

func TestAStalledPortIsLeftAndOpenedAnew(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		stuck := &stubborn{stuck: make(chan struct{})}
		fine := &stubborn{}
		ports := []port{stuck, fine}
		o := newOutput(cfg, func(string, Kind) (port, error) {
			p := ports[0]
			ports = ports[1:]
			return p, nil
		})
		start := time.Now()
		if err := o.Send(make([]dmx.Frame, 1)); !errors.Is(err, errStalled) {
			t.Fatalf("a stalled write gives %v", err)
		}
		if took := time.Since(start); took != sendWithin {
			t.Errorf("it took %v, want %v", took, sendWithin)
		}
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "takes no more bytes") {
			t.Errorf("status %+v", s)
		}
		if err := o.Send(make([]dmx.Frame, 1)); !errors.Is(err, dmx.ErrDown) {
			t.Errorf("before the back-off is over Send gives %v, want ErrDown", err)
		}
		time.Sleep(retryFirst)
		if err := o.Send(make([]dmx.Frame, 1)); err != nil || !o.Status().Up {
			t.Errorf("after it: %v, %+v", err, o.Status())
		}
		close(stuck.stuck)
		synctest.Wait()
		if !stuck.closed {
			t.Error("the port that stalled was not closed when it came to")
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
		synctest.Wait()
		if !fine.closed {
			t.Error("Close left the port open")
		}
	})
}

// An adapter that comes back is tried again within a second, and not much more
// often than ten times a second while it is away.
func TestBackOff(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var attempts []time.Time
		o := newOutput(cfg, func(string, Kind) (port, error) {
			attempts = append(attempts, time.Now())
			return nil, fs.ErrNotExist
		})
		tick := time.NewTicker(time.Second / 44)
		defer tick.Stop()
		for range 44 * 60 {
			if err := o.Send(make([]dmx.Frame, 1)); err == nil {
				t.Fatal("sent to a port that is not there")
			}
			<-tick.C
		}
		for i := 1; i < len(attempts); i++ {
			if gap := attempts[i].Sub(attempts[i-1]); gap < retryFirst || gap > time.Second {
				t.Errorf("attempt %d came %v after the one before", i, gap)
			}
		}
		if n := len(attempts); n < 60 || n > 90 {
			t.Errorf("%d attempts in a minute", n)
		}
	})
}

func TestAnOpeningThatHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		let := make(chan struct{})
		p := &stubborn{}
		o := newOutput(cfg, func(string, Kind) (port, error) { <-let; return p, nil })
		if err := o.Send(make([]dmx.Frame, 1)); !errors.Is(err, errStalled) {
			t.Fatalf("got %v", err)
		}
		if err := o.Close(); err == nil || !strings.Contains(err.Error(), "is stuck") {
			t.Errorf("Close says %v", err)
		}
		close(let)
		synctest.Wait()
		if !p.closed {
			t.Error("a port opened too late was left open")
		}
	})
}

func TestAWidgetThatDoesNotAnswerIsTakenToWork(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := cfg
		c.Kind = Widget
		o := newOutput(c, func(string, Kind) (port, error) { return &deaf{}, nil })
		start := time.Now()
		for range 30 { // more than half a second
			if err := o.Send(make([]dmx.Frame, 1)); err != nil {
				t.Fatal(err)
			}
			if took := time.Since(start); took != 0 {
				t.Errorf("a frame waited %v for an answer", took)
			}
			time.Sleep(time.Second / 44)
			start = time.Now()
		}
		if s := o.Status(); !s.Up || !strings.Contains(s.Text, "taken to work") {
			t.Errorf("status %+v", s)
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

// deaf is a port that is written to and never says anything.
type deaf struct {
	quiet
	timeout time.Duration
}

func (d *deaf) SetReadTimeout(t time.Duration) error { d.timeout = t; return nil }
func (d *deaf) Read([]byte) (int, error)             { time.Sleep(d.timeout); return 0, nil }

func TestWords(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{fs.ErrNotExist, "there is no port /dev/ttyUSB7"},
		{syscall.ENOENT, "there is no port /dev/ttyUSB7"},
		{syscall.EACCES, "dialout"},
		{syscall.EBUSY, "another program"},
		{syscall.EIO, "the adapter is gone"},
		{syscall.ENODEV, "the adapter is gone"},
		{errShort, "the adapter is gone"},
		{errStalled, "takes no more bytes"},
		{&breakError{syscall.EPIPE}, "cannot hold a break"},
		{&breakError{syscall.EIO}, "the adapter is gone"},
		{&speedError{230400}, "230400 bit/s"},
		{errNeither, "may be a modem or a console"},
		{syscall.ENOTTY, "is not a serial port"},
		{errors.New("a reason of its own"), "a reason of its own"},
	} {
		if got := words(cfg.Port, c.err); !strings.Contains(got, c.want) {
			t.Errorf("%v: %q, want something with %q", c.err, got, c.want)
		}
	}
}

func TestConfigIsChecked(t *testing.T) {
	for name, c := range map[string]Config{
		"no port":        {Name: "a", Universe: 1},
		"NUL in port":    {Name: "a", Port: "/dev/\x00", Universe: 1},
		"universe 0":     {Name: "a", Port: "x"},
		"universe 64000": {Name: "a", Port: "x", Universe: 64000},
		"no such kind":   {Name: "a", Port: "x", Universe: 1, Kind: 9},
		"raw, no port":   {Name: "a", Port: " ", Universe: 1, Kind: Raw},
	} {
		if _, err := NewOutput(c); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := NewOutput(Config{Name: "a", Universe: 1, Kind: Auto}); err != nil {
		t.Errorf("an adapter that is to be found: %v", err)
	}
	if _, err := NewOutput(Config{Name: "a", Port: "/dev/nowhere", Universe: 63999}); err != nil {
		t.Errorf("a port that is not there yet: %v", err)
	}
}

func TestARealPathThatIsNoPort(t *testing.T) {
	path := t.TempDir() + "/file"
	o, err := NewOutput(Config{Name: "bench", Port: path, Universe: 1})
	if err != nil {
		t.Fatal(err)
	}
	if err := o.Send(make([]dmx.Frame, 1)); err == nil || !strings.Contains(o.Status().Text, "there is no port") {
		t.Errorf("missing: %v, %+v", err, o.Status())
	}
}

func TestSendAllocs(t *testing.T) {
	o := newOutput(cfg, func(string, Kind) (port, error) { return &fast{}, nil })
	frames := make([]dmx.Frame, 1)
	if err := o.Send(frames); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(20, func() {
		if err := o.Send(frames); err != nil {
			t.Fatal(err)
		}
	}); n >= 1 {
		t.Errorf("%v allocations for each frame, want 0", n)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
}

// fast is a port that takes everything at once.
type fast struct{}

func (fast) Write(p []byte) (int, error)        { return len(p), nil }
func (fast) Read([]byte) (int, error)           { return 0, nil }
func (fast) SetReadTimeout(time.Duration) error { return nil }
func (fast) Break(time.Duration) error          { return nil }
func (fast) Drain() error                       { return nil }
func (fast) Close() error                       { return nil }

// lined is a port with a request-to-send line.
type lined struct {
	fast
	high []bool
	err  error
}

func (l *lined) SetRTS(high bool) error { l.high = append(l.high, high); return l.err }

func TestRequestToSendIsHeldLow(t *testing.T) {
	for _, low := range []bool{true, false} {
		p := &lined{}
		c := cfg
		c.LowRTS = low
		o := newOutput(c, on(p))
		if err := o.Send(frame(1)); err != nil {
			t.Fatal(err)
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
		if low != slices.Equal(p.high, []bool{false}) {
			t.Errorf("low %v: it was set to %v", low, p.high)
		}
	}
	c := cfg
	c.LowRTS = true
	o := newOutput(c, on(&lined{err: syscall.EIO}))
	if err := o.Send(frame(1)); err == nil || !strings.Contains(o.Status().Text, "is gone") {
		t.Errorf("%v, %+v", err, o.Status())
	}
}
