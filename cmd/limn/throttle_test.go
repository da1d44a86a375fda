package main

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

// A throttled output gets its rate and no more, and always the latest frame.
func TestThrottledRate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		wire := dmxtest.NewOutput("wire", 1)
		out := throttle(wire, 10, 0, 0)
		loop, err := pace.New(pace.Config{
			Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Clock: dmxtest.NewClock(),
			Fill: func(k int64, frames []dmx.Frame) bool {
				frames[0][0], frames[0][1] = byte(k), byte(k>>8)
				return true
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		ctx, stop := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- loop.Run(ctx) }()
		time.Sleep(10 * time.Second)
		sent := wire.Sent()
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if len(sent) < 98 || len(sent) > 101 {
			t.Errorf("%d frames in 10 s at 10 a second", len(sent))
		}
		start := sent[0].At
		for i, s := range sent {
			if i > 0 && s.At.Sub(sent[i-1].At) < 100*time.Millisecond {
				t.Fatalf("frame %d came %v after the one before", i, s.At.Sub(sent[i-1].At))
			}
			k := int64(s.Frames[0][0]) | int64(s.Frames[0][1])<<8
			if age := s.At.Sub(start) - pace.Offset(k); age > pace.Offset(1)+time.Millisecond {
				t.Fatalf("frame %d of the grid was sent %v late", k, age)
			}
		}
	})
}

// An output keeps its own keep-alive where another asks the loop for a shorter one; a change and its three repeats
// (ANSI E1.31, 6.6.2) pass, and so does everything while Send fails.
func TestThrottledKeepAlive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		wire := dmxtest.NewOutput("wire", 1)
		out := throttle(wire, 0, time.Second, 100*time.Millisecond)
		frames := make([]dmx.Frame, 1)
		offer := func() error {
			err := out.Send(frames)
			time.Sleep(100 * time.Millisecond)
			return err
		}
		for range 4 + 20 {
			if err := offer(); err != nil {
				t.Fatal(err)
			}
		}
		if n := len(wire.Sent()); n < 4+2 || n > 4+3 {
			t.Errorf("%d frames: a change, three repeats, and a keep-alive a second make 6 or 7", n)
		}
		sent := wire.Sent()
		for i := 1; i < len(sent); i++ {
			if d := sent[i].At.Sub(sent[i-1].At); d > time.Second {
				t.Errorf("%v of silence", d)
			}
		}
		before := len(sent)
		frames[0][0] = 1
		for range 4 {
			offer()
		}
		if n := len(wire.Sent()) - before; n != 4 {
			t.Errorf("a change and its repeats came %d times", n)
		}
		wire.Fail(errors.New("cut"))
		frames[0][0] = 2
		for range 5 {
			if offer() == nil {
				t.Error("an error was swallowed")
			}
		}
		wire.Fail(nil)
		before = len(wire.Sent())
		if offer(); len(wire.Sent()) != before+1 {
			t.Error("the frame after a failure was held back")
		}
	})
}

// An output that asks for nothing is left alone.
func TestThrottleNothing(t *testing.T) {
	wire := dmxtest.NewOutput("wire", 1)
	if throttle(wire, 0, 0, 0) != dmx.Output(wire) || throttle(wire, pace.Rate, usualKeepAlive, usualKeepAlive) != dmx.Output(wire) {
		t.Error("it was wrapped")
	}
}
