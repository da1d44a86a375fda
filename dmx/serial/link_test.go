package serial

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"

	"limn/dmx"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// clocked is a port on a bubble's time: a packet takes as long to drain as on
// the line, and what was written is kept with its time.
type clocked struct {
	quiet
	mu     sync.Mutex
	levels []byte // slot 1 of each packet
	at     []time.Time
	err    error
	closed bool
}

func (c *clocked) Write(b []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.err != nil {
		return 0, c.err
	}
	c.levels = append(c.levels, b[1])
	c.at = append(c.at, time.Now())
	return len(b), nil
}

func (c *clocked) Drain() error { time.Sleep(lineBytes * slotTime); return nil }

func (c *clocked) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.closed = true
	return nil
}

func (c *clocked) isClosed() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.closed
}

func (c *clocked) packets() ([]byte, []time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.levels, c.at
}

func (c *clocked) fail(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.err = err
}

func on(p port) opener { return func(string, Kind) (port, error) { return p, nil } }

// A line that is not spoken to keeps its light by being told again: ANSI E1.11 wants a
// packet at least once a second, lights are used to 25 and more.
func TestALineIsRefreshed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &clocked{}
		o := newOutput(cfg, on(p))
		if err := o.Send([]dmx.Frame{{7}}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(10 * time.Second)
		levels, at := p.packets()
		if n := len(levels); n != 251 { // one every 40 ms
			t.Errorf("%d packets in ten seconds", n)
		}
		for i := 1; i < len(at); i++ {
			if levels[i] != 7 || at[i].Sub(at[i-1]) != refreshEvery {
				t.Fatalf("packet %d carries %d, %v after the one before", i, levels[i], at[i].Sub(at[i-1]))
			}
		}
		if err := o.Send([]dmx.Frame{{8}}); err != nil {
			t.Fatal(err)
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
		levels, _ = p.packets()
		if levels[len(levels)-1] != 8 || !p.isClosed() {
			t.Errorf("the last packet carries %d; closed %v", levels[len(levels)-1], p.isClosed())
		}
		time.Sleep(time.Second)
		if after, _ := p.packets(); len(after) != len(levels) {
			t.Error("a closed output goes on sending")
		}
	})
}

// While frames come at the grid's pace nothing is repeated in between.
func TestRefreshDoesNotGetIntoAFade(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &clocked{}
		o := newOutput(cfg, on(p))
		for n := range 100 {
			due := time.Now().Add(time.Second / 44)
			if err := o.Send([]dmx.Frame{{byte(n)}}); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Until(due))
		}
		levels, _ := p.packets()
		for n, v := range levels {
			if int(v) != n {
				t.Fatalf("packet %d carries frame %d", n, v)
			}
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

// A plug pulled between two frames is found by the repeat and told by the next Send.
func TestARepeatThatFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &clocked{}
		o := newOutput(cfg, on(p))
		if err := o.Send(make([]dmx.Frame, 1)); err != nil {
			t.Fatal(err)
		}
		p.fail(syscall.EIO)
		time.Sleep(200 * time.Millisecond)
		if !p.isClosed() {
			t.Error("a port that is gone is kept open")
		}
		if err := o.Send(make([]dmx.Frame, 1)); !errors.Is(err, syscall.EIO) || o.Status().Up {
			t.Errorf("Send says %v, status %+v", err, o.Status())
		}
		p.fail(nil)
		time.Sleep(retryFirst)
		if err := o.Send(make([]dmx.Frame, 1)); err != nil || !o.Status().Up {
			t.Errorf("back again: %v, status %+v", err, o.Status())
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

// An adapter that hangs for hours costs a bounded number of goroutines and threads, and is used
// again when it comes to itself.
func TestStuckOpeningsAreBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hang := make(chan struct{})
		opened := 0
		o := newOutput(cfg, func(string, Kind) (port, error) {
			opened++
			return &stubborn{stuck: hang}, nil
		})
		for range 44 * 60 {
			if err := o.Send(make([]dmx.Frame, 1)); err == nil {
				t.Fatal("sent to a port that hangs")
			}
			time.Sleep(time.Second / 44)
		}
		if opened != maxStuck {
			t.Errorf("opened %d times, want %d", opened, maxStuck)
		}
		if s := o.Status(); s.Up || !strings.Contains(s.Text, "unplug it") {
			t.Errorf("status %+v", s)
		}
		close(hang)
		synctest.Wait()
		if err := o.Send(make([]dmx.Frame, 1)); err != nil || !o.Status().Up {
			t.Errorf("come to itself: %v, status %+v", err, o.Status())
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

// The port is exclusive: while our own stuck opening holds it, the next one finds it busy. No
// other program is to blame.
func TestOurOwnStuckOpeningIsNoOtherProgram(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hang := make(chan struct{})
		opened := 0
		o := newOutput(cfg, func(string, Kind) (port, error) {
			if opened++; opened == 1 {
				return &stubborn{stuck: hang}, nil
			}
			return nil, syscall.EBUSY
		})
		for range 200 {
			_ = o.Send(make([]dmx.Frame, 1)) // the status tells
			time.Sleep(time.Second / 44)
		}
		if s := o.Status(); opened < 3 || s.Up || !strings.Contains(s.Text, "takes no more bytes") {
			t.Errorf("after %d openings the status is %+v", opened, s)
		}
		close(hang)
		synctest.Wait()
		time.Sleep(retryAtMost)
		if err := o.Send(make([]dmx.Frame, 1)); err == nil || !strings.Contains(o.Status().Text, "another program") {
			t.Errorf("with nothing of ours in the way: %v, status %+v", err, o.Status())
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

func TestCloseWaitsForAStuckPortWithinASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p := &clocked{}
		o := newOutput(cfg, on(p))
		if err := o.Send(make([]dmx.Frame, 1)); err != nil {
			t.Fatal(err)
		}
		stuck := &stubborn{stuck: make(chan struct{})}
		o.link.release()
		o.link = newLink(func() (session, error) { return session{port: stuck}, nil })
		if err := o.link.wait(openWithin); err != nil {
			t.Fatal(err)
		}
		o.link.work <- dmx.Frame{}
		start := time.Now()
		if err := o.Close(); err == nil || !strings.Contains(err.Error(), "is stuck") {
			t.Errorf("Close says %v", err)
		}
		if took := time.Since(start); took != closeWithin {
			t.Errorf("it took %v", took)
		}
		if err := o.Close(); err != nil {
			t.Errorf("closed again: %v", err)
		}
		close(stuck.stuck)
	})
}

// Before the first frame nothing is opened, but a port that is missing is told of.
func TestStatusBeforeTheFirstFrame(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ttyUSB0")
	c := cfg
	c.Port = path
	o := newOutput(c, func(string, Kind) (port, error) {
		t.Error("the port was opened before there was anything to send")
		return nil, fs.ErrNotExist
	})
	if s := o.Status(); s.Up || s.Where != path || !strings.Contains(s.Text, "plug the adapter in") {
		t.Errorf("missing: %+v", s)
	}
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if s := o.Status(); !s.Up || s.Text != "" {
		t.Errorf("there: %+v", s)
	}
	c.Port = "COM3"
	if s := newOutput(c, nil).Status(); !s.Up {
		t.Errorf("a name that cannot be looked for: %+v", s)
	}
}
