package serial

import (
	"slices"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

// With kind = "usb" the adapter is asked once; then frames flow as its kind wants them, and they
// do so from the first attempt after a loss.
func TestAutoOutput(t *testing.T) {
	answer := reply(t)
	for _, kind := range []Kind{Widget, Raw} {
		t.Run(kind.String(), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				there := []Adapter{boxA}
				var now *scripted
				listed := 0
				c := Config{Name: "bench", Kind: Auto, Universe: 1, List: func() ([]Adapter, error) { listed++; return there, nil }}
				o := newOutput(c, func(path string, _ Kind) (port, error) {
					if path != there[0].Port {
						return nil, syscall.ENOENT
					}
					now = &scripted{}
					if kind == Widget {
						now.script = func(Packet) []says { return []says{{after: 20 * time.Millisecond, bytes: answer}} }
					}
					return now, nil
				})
				if s := o.Status(); s.Where != "usb" {
					t.Errorf("before the first frame %+v", s)
				}
				if err := o.Send(frame(7)); err != nil {
					t.Fatal(err)
				}
				first := now
				if s := o.Status(); !s.Up || s.Where != boxA.Port || (kind == Raw) != strings.Contains(s.Text, `"usb widget"`) {
					t.Errorf("status %+v", s)
				}
				for range 440 {
					if err := o.Send(frame(8)); err != nil {
						t.Fatal(err)
					}
					time.Sleep(time.Second / 44)
				}
				if listed != 1 {
					t.Errorf("while all was well the ports were listed %d times", listed)
				}
				first.mu.Lock()
				arrived := kind == Widget && first.levels[0] == 7 || kind == Raw && first.line[0] == startCode && first.line[1] == 7
				first.mu.Unlock()
				if !arrived {
					t.Error("the first frame did not arrive")
				}

				// Pulled out, and in again elsewhere.
				there = nil
				o.link.release()
				o.link = newLink(func() (session, error) { return session{port: &clocked{err: syscall.EIO}}, nil })
				if err := o.link.wait(openWithin); err != nil {
					t.Fatal(err)
				}
				for range 100 {
					if err := o.Send(frame(9)); err == nil {
						t.Fatal("sent to nobody")
					}
					time.Sleep(time.Second / 44)
				}
				if s := o.Status(); s.Up || !strings.Contains(s.Text, "plug it in") {
					t.Errorf("gone: %+v", s)
				}
				there = []Adapter{moved(boxA, "/dev/ttyUSB3", "1-9:1.0")}
				back := time.Now()
				for o.Send(frame(9)) != nil {
					time.Sleep(time.Second / 44)
				}
				if took := time.Since(back); took > time.Second {
					t.Errorf("it took %v until the adapter was live again", took)
				}
				now.mu.Lock()
				asked := len(now.asked)
				now.mu.Unlock()
				if now == first || asked > 1 || o.Status().Where != "/dev/ttyUSB3" {
					t.Errorf("asked %v times, status %+v", asked, o.Status())
				}
				if err := o.Close(); err != nil {
					t.Error(err)
				}
			})
		})
	}
}

// A spare of another kind in the place of a broken adapter is asked anew.
func TestASpareIsAskedAnew(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		answer := reply(t)
		there := []Adapter{boxA}
		c := Config{Name: "bench", Kind: Auto, Universe: 1, List: func() ([]Adapter, error) { return there, nil }}
		ports := []*scripted{{}, {script: func(Packet) []says { return []says{{bytes: answer}} }}}
		opened := 0
		o := newOutput(c, func(string, Kind) (port, error) { opened++; return ports[opened-1], nil })
		if err := o.Send(frame(1)); err != nil {
			t.Fatal(err)
		}
		ports[0].mu.Lock()
		ports[0].brk = syscall.EIO
		ports[0].mu.Unlock()
		there = []Adapter{boxB}
		time.Sleep(time.Second)
		for o.Send(frame(2)) != nil {
			time.Sleep(time.Second / 44)
		}
		if o.Status().Where != boxB.Port || o.kind != Widget || !slices.Equal(ports[1].levels, []byte{2}) {
			t.Errorf("status %+v, kind %v, levels %v", o.Status(), o.kind, ports[1].levels)
		}
		if err := o.Close(); err != nil {
			t.Error(err)
		}
	})
}

// Two outputs never share an adapter, even where the system would let them.
func TestTwoOutputsOneAdapter(t *testing.T) {
	c := Config{Name: "left", Kind: Raw, Port: boxA.Port, Universe: 1, List: func() ([]Adapter, error) { return []Adapter{boxA}, nil }}
	left := newOutput(c, func(string, Kind) (port, error) { return &fast{}, nil })
	c.Name, c.Port = "right", "AAAA"
	right := newOutput(c, func(string, Kind) (port, error) { return &fast{}, nil })
	if err := left.Send(frame(1)); err != nil {
		t.Fatal(err)
	}
	if err := right.Send(frame(1)); err == nil || !strings.Contains(right.Status().Text, `output "left" has the adapter`) {
		t.Errorf("%v, %+v", err, right.Status())
	}
	if err := left.Close(); err != nil {
		t.Error(err)
	}
	time.Sleep(retryFirst)
	if err := right.Send(frame(1)); err != nil {
		t.Error(err)
	}
	if err := right.Close(); err != nil {
		t.Error(err)
	}
}

// An error names the port that was tried, not the words it was found by.
func TestErrorsNameThePort(t *testing.T) {
	c := Config{Name: "bench", Kind: Auto, Universe: 1, List: func() ([]Adapter, error) { return []Adapter{boxA}, nil }}
	o := newOutput(c, func(string, Kind) (port, error) { return nil, syscall.EACCES })
	if err := o.Send(frame(1)); err == nil || !strings.Contains(o.Status().Text, "no permission to use "+boxA.Port) {
		t.Errorf("%v, %+v", err, o.Status())
	}
}
