package dmxtest

import (
	"errors"
	"strings"
	"testing"
	"time"

	"limn/dmx"
)

var twoUniverses = []dmx.Universe{3, 1}

func wireTransport(wrap func(dmx.Output) dmx.Output) Transport {
	return Transport{Universes: twoUniverses, Tells: true, Open: func(testing.TB) (dmx.Output, Far) {
		w := NewWire(twoUniverses)
		return wrap(w.Near()), w.Far()
	}}
}

func TestTheWirePasses(t *testing.T) {
	Run(t, wireTransport(func(o dmx.Output) dmx.Output { return o }))
}

// faulty is an output with one fault.
type faulty struct {
	dmx.Output
	send   func(good dmx.Output, frames []dmx.Frame) error
	close  func(good dmx.Output) error
	status func(good dmx.Output) dmx.Status
}

func (f *faulty) Send(frames []dmx.Frame) error {
	if f.send == nil {
		return f.Output.Send(frames)
	}
	return f.send(f.Output, frames)
}

func (f *faulty) Close() error {
	if f.close == nil {
		return f.Output.Close()
	}
	return f.close(f.Output)
}

func (f *faulty) Status() dmx.Status {
	if f.status == nil {
		return f.Output.Status()
	}
	return f.status(f.Output)
}

// Every way to break the contract is caught by some check.
func TestRunCatchesFaults(t *testing.T) {
	leaks := make(chan struct{})
	defer close(leaks)
	for name, c := range map[string]struct {
		make func() *faulty
		want string // in the error of some check
	}{
		"a slot changed": {func() *faulty {
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error {
				g := append([]dmx.Frame(nil), f...)
				g[1][511] ^= 1
				return o.Send(g)
			}}
		}, "neither it nor the next"},
		"universes swapped": {func() *faulty {
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error { return o.Send([]dmx.Frame{f[1], f[0]}) }}
		}, "neither it nor the next"},
		"a frame late": {func() *faulty {
			var kept []dmx.Frame
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error {
				f, kept = kept, append([]dmx.Frame(nil), f...)
				if f == nil {
					f = kept
				}
				return o.Send(f)
			}}
		}, "frame 1: "},
		"every fifth frame dropped": {func() *faulty {
			n := 0
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error {
				if n++; n%5 == 0 {
					return nil
				}
				return o.Send(f)
			}}
		}, "neither it nor the next"},
		"the buffer changed": {func() *faulty {
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error {
				err := o.Send(f)
				f[0][0]++
				return err
			}}
		}, "changed the caller's frames"},
		"no words": {func() *faulty {
			return &faulty{status: func(o dmx.Output) dmx.Status { s := o.Status(); s.Text = ""; return s }}
		}, "has no words"},
		"no place": {func() *faulty {
			return &faulty{status: func(o dmx.Output) dmx.Status { s := o.Status(); s.Where = ""; return s }}
		}, "while all goes well"},
		"open after Close": {func() *faulty {
			return &faulty{close: func(dmx.Output) error { return nil }}
		}, "Send after Close"},
		"a wrong error after Close": {func() *faulty {
			return &faulty{send: func(o dmx.Output, f []dmx.Frame) error {
				if err := o.Send(f); errors.Is(err, dmx.ErrClosed) {
					return dmx.ErrDown
				}
				return nil
			}}
		}, "want dmx.ErrClosed"},
		"a second Close that fails": {func() *faulty {
			n := 0
			return &faulty{close: func(o dmx.Output) error {
				if n++; n > 1 {
					return errors.New("closed twice")
				}
				return o.Close()
			}}
		}, "closed twice"},
		"up when closed": {func() *faulty {
			return &faulty{status: func(o dmx.Output) dmx.Status { s := o.Status(); s.Up = true; return s }}
		}, "says that it is up"},
		"a goroutine left": {func() *faulty {
			return &faulty{close: func(o dmx.Output) error { go func() { <-leaks }(); return o.Close() }}
		}, "left running"},
	} {
		t.Run(name, func(t *testing.T) {
			tr := wireTransport(func(o dmx.Output) dmx.Output {
				f := c.make()
				f.Output = o
				return f
			})
			tr.patience = 300 * time.Millisecond // in memory nothing takes long
			tr.Tells = name != "up when closed"  // or it waits for the news
			var got []string
			for _, check := range checks {
				if err := check.run(t, tr); err != nil {
					got = append(got, err.Error())
				}
			}
			if !strings.Contains(strings.Join(got, "\n"), c.want) {
				t.Errorf("the checks said %q, nothing of %q", got, c.want)
			}
		})
	}
}
