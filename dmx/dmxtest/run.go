package dmxtest

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"limn/dmx"
)

// Transport is what [Run] needs to know of a kind of output.
type Transport struct {
	// Universes are those an output of this kind is given: several, if it can carry several.
	Universes []dmx.Universe
	// Open makes an output and its far end, which listens. It fails the test if it cannot.
	Open func(t testing.TB) (dmx.Output, Far)
	// Tells says that the output can know whether anybody is at its far end.
	Tells bool

	patience time.Duration // 0 is patience
}

const (
	patience    = 15 * time.Second // only a failing test waits so long
	offerEvery  = time.Second / 44
	manyFrames  = 24
	burstFrames = 32
)

// Run holds a transport to the contract of dmx.Output: frames arrive as they were sent and in
// order, the buffer stays the caller's, a receiver may go and come back, Close ends
// everything, and nothing is left running.
func Run(t *testing.T, tr Transport) {
	for _, c := range checks {
		t.Run(c.name, func(t *testing.T) {
			if err := c.run(t, tr); err != nil {
				t.Error(err)
			}
		})
	}
}

type check struct {
	name string
	do   func(*link) error
}

// checks return errors instead of failing a test, so that they can be tested themselves.
var checks = []check{
	{"frames arrive exactly and in order", (*link).exact},
	{"a burst arrives in order", (*link).burst},
	{"the buffer stays the caller's", (*link).buffer},
	{"a receiver goes and comes back", (*link).goneAndBack},
	{"close ends it", (*link).closes},
	{"close without a receiver", (*link).closesAlone},
}

func (c check) run(t testing.TB, tr Transport) (err error) {
	if tr.patience == 0 {
		tr.patience = patience
	}
	before := goleak.IgnoreCurrent()
	out, far := tr.Open(t)
	l := &link{Transport: tr, out: out, far: far, random: rand.New(rand.NewPCG(1, 44))}
	err = c.do(l)
	if e := l.close(); e != nil && err == nil {
		err = fmt.Errorf("closing at the end: %w", e)
	}
	far.Close()
	if e := goleak.Find(before); e != nil && err == nil {
		err = fmt.Errorf("left running: %w", e)
	}
	return err
}

// link is one output and its far end during a check.
type link struct {
	Transport
	out    dmx.Output
	far    Far
	random *rand.Rand
}

// frames makes different frames each time, with every value of a byte in them.
func (l *link) frames() []dmx.Frame {
	out := make([]dmx.Frame, len(l.Universes))
	for i := range out {
		for s := range out[i] {
			out[i][s] = byte(l.random.Uint32())
		}
	}
	return out
}

// next waits for the next frame at the far end, and gives its universe's place.
func (l *link) next(within <-chan time.Time) (int, dmx.Frame, error) {
	select {
	case a := <-l.far.Arrived():
		for i, u := range l.Universes {
			if u == a.Universe {
				return i, a.Frame, nil
			}
		}
		return 0, a.Frame, fmt.Errorf("a frame arrived for universe %d, which the output does not carry", a.Universe)
	case <-within:
		return 0, dmx.Frame{}, errors.New("no frame arrived any more")
	}
}

// follow reads until the newest of sent has arrived in every universe. A
// transport may repeat a frame; it may neither change nor drop nor swap one.
func (l *link) follow(sent [][]dmx.Frame, at []int) error {
	limit := time.After(l.patience)
	for missing := true; missing; {
		i, f, err := l.next(limit)
		if err != nil {
			return err
		}
		switch {
		case at[i]+1 < len(sent) && f == sent[at[i]+1][i]:
			at[i]++
		case at[i] >= 0 && f == sent[at[i]][i]: // a repeat
		default:
			return fmt.Errorf("universe %d: after frame %d came one that is neither it nor the next", l.Universes[i], at[i])
		}
		missing = false
		for _, n := range at {
			missing = missing || n < len(sent)-1
		}
	}
	return nil
}

func (l *link) fresh() []int {
	at := make([]int, len(l.Universes))
	for i := range at {
		at[i] = -1
	}
	return at
}

func (l *link) exact() error {
	var sent [][]dmx.Frame
	at := l.fresh()
	for n := range manyFrames {
		f := l.frames()
		sent = append(sent, f)
		if err := l.out.Send(f); err != nil {
			return fmt.Errorf("frame %d: %w", n, err)
		}
		if err := l.follow(sent, at); err != nil {
			return fmt.Errorf("frame %d: %w", n, err)
		}
	}
	if s := l.out.Status(); !s.Up || s.Where == "" {
		return fmt.Errorf("while all goes well the status is %+v", s)
	}
	return nil
}

func (l *link) burst() error {
	stop := make(chan struct{})
	var asking sync.WaitGroup
	asking.Go(func() { // the race detector watches
		for {
			select {
			case <-stop:
				return
			default:
				l.out.Status()
			}
		}
	})
	defer asking.Wait()
	defer close(stop)
	var sent [][]dmx.Frame
	for n := range burstFrames {
		f := l.frames()
		sent = append(sent, f)
		if err := l.out.Send(f); err != nil {
			return fmt.Errorf("frame %d: %w", n, err)
		}
	}
	return l.follow(sent, l.fresh())
}

func (l *link) buffer() error {
	f := l.frames()
	sent := [][]dmx.Frame{append([]dmx.Frame(nil), f...)}
	if err := l.out.Send(f); err != nil {
		return err
	}
	if f[0] != sent[0][0] {
		return errors.New("Send changed the caller's frames")
	}
	for i := range f {
		clear(f[i][:])
	}
	return l.follow(sent, l.fresh())
}

func (l *link) goneAndBack() error {
	at := l.fresh()
	first := [][]dmx.Frame{l.frames()}
	if err := l.out.Send(first[0]); err != nil {
		return err
	}
	if err := l.follow(first, at); err != nil {
		return err
	}
	l.far.Leave()
	if err := l.offer(l.frames(), "the output says that its receiver is gone", func() bool { return !l.Tells || !l.out.Status().Up }); err != nil {
		return err
	}
	if s := l.out.Status(); l.Tells && (s.Text == "" || strings.ContainsAny(s.Text, "\n\x1b")) {
		return fmt.Errorf("its receiver gone, the output has no words for it: %+v", s)
	}
	l.far.Return()
	back := l.frames()
	arrived := make([]bool, len(l.Universes))
	if err := l.offer(back, "the present frame arrives again", func() bool {
		for {
			select {
			case a := <-l.far.Arrived():
				for i, u := range l.Universes {
					arrived[i] = arrived[i] || u == a.Universe && a.Frame == back[i]
				}
				continue
			default:
			}
			break
		}
		for _, yes := range arrived {
			if !yes {
				return false
			}
		}
		return true
	}); err != nil {
		return err
	}
	return l.offer(back, "the output says that all is well", func() bool { return l.out.Status().Up })
}

// offer sends as the send loop does to an output that is in trouble, 44 times a
// second, until something is so.
func (l *link) offer(f []dmx.Frame, what string, so func() bool) error {
	tick := time.NewTicker(offerEvery)
	defer tick.Stop()
	limit := time.After(l.patience)
	var err error
	for {
		err = l.out.Send(f)
		if so() {
			return nil
		}
		select {
		case <-tick.C:
		case <-limit:
			return fmt.Errorf("waited in vain until %s; Send's last answer: %v, status %+v", what, err, l.out.Status())
		}
	}
}

func (l *link) closes() error {
	f := l.frames()
	if err := l.out.Send(f); err != nil {
		return err
	}
	if err := l.close(); err != nil {
		return err
	}
	if err := l.follow([][]dmx.Frame{f}, l.fresh()); err != nil {
		return fmt.Errorf("a frame sent before Close: %w", err)
	}
	if err := l.out.Send(f); !errors.Is(err, dmx.ErrClosed) {
		return fmt.Errorf("Send after Close returned %v, want dmx.ErrClosed", err)
	}
	if l.out.Status().Up {
		return errors.New("a closed output says that it is up")
	}
	return nil
}

func (l *link) closesAlone() error {
	if err := l.out.Send(l.frames()); err != nil {
		return err
	}
	l.far.Leave()
	l.out.Send(l.frames()) // whether this fails is the transport's affair
	return l.close()
}

// close must return in time; the second one, at the end of every check, must return nil.
func (l *link) close() error {
	closed := make(chan error, 1)
	go func() { closed <- l.out.Close() }()
	select {
	case err := <-closed:
		return err
	case <-time.After(l.patience):
		return errors.New("Close does not return")
	}
}
