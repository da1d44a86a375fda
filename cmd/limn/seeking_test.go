package main

import (
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// An output that cannot begin is down, says why, tries again within the second, and then is the output itself.
func TestSeeking(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		wire := dmxtest.NewOutput("wire", 1)
		var err error = errors.New("the cable is out")
		tries := 0
		s := newSeeking("wire", []dmx.Universe{1}, "somewhere", func() (dmx.Output, error) {
			tries++
			if err != nil {
				return nil, err
			}
			return wire, nil
		})
		frames := make([]dmx.Frame, 1)
		for range 44 {
			if e := s.Send(frames); !errors.Is(e, dmx.ErrDown) {
				t.Fatalf("down: %v", e)
			}
			time.Sleep(time.Second / 44)
		}
		if st := s.Status(); st.Up || st.Text != "the cable is out" || st.Where != "somewhere" {
			t.Errorf("status %+v", st)
		}
		if tries != 2 {
			t.Errorf("%d tries in a second", tries)
		}
		err = nil
		back := time.Now()
		for s.Send(frames) != nil {
			time.Sleep(time.Second / 44)
		}
		if d := time.Since(back); d > time.Second {
			t.Errorf("light is back after %v", d)
		}
		if st := s.Status(); !st.Up || len(wire.Sent()) != 1 {
			t.Errorf("status %+v, %d frames", st, len(wire.Sent()))
		}
		if err := s.Close(); err != nil || wire.Closed() != 1 {
			t.Errorf("close: %v, %d", err, wire.Closed())
		}
		s = newSeeking("wire", nil, "", func() (dmx.Output, error) { return nil, errors.New("no") })
		s.Close()
		if err := s.Send(nil); !errors.Is(err, dmx.ErrClosed) {
			t.Errorf("after close: %v", err)
		}
	})
}
