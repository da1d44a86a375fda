package pace

import (
	"runtime"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// A frame that changes everything costs no memory, from Fill to the output.
func TestFramesAllocateNothing(t *testing.T) {
	universes := make([]dmx.Universe, 64)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	out := dmxtest.NewOutput("bench", universes...)
	out.Quiet()
	l, err := New(Config{Universes: universes, Outputs: []dmx.Output{out}, Fill: func(k int64, frames []dmx.Frame) bool {
		for i := range frames {
			frames[i][0] = byte(k)
		}
		return true
	}})
	if err != nil {
		t.Fatal(err)
	}
	end, hurry := make(chan struct{}), make(chan struct{})
	o := l.outlets[0]
	go o.work(end, hurry, 0)
	clock, k := l.clock, int64(0)
	allocs := testing.AllocsPerRun(1000, func() {
		clock.SleepUntil(clock.Now()) // the sleep is part of a frame
		k = l.frame(k, Offset(k))
		for o.sent.Load()+o.dropped.Load() < k {
			runtime.Gosched() // the other goroutine's work counts too
		}
	})
	close(end)
	<-o.done
	if allocs != 0 {
		t.Errorf("%v allocations a frame", allocs)
	}
	if n := l.framesRun.Load(); n != 1001 { // AllocsPerRun warms up once
		t.Errorf("%d frames ran", n)
	}
}

func TestMachineClockSleepsUntil(t *testing.T) {
	c := newMachineClock()
	for _, d := range []time.Duration{-time.Second, 0, 200 * time.Microsecond, 3 * time.Millisecond} {
		deadline := c.Now() + d
		c.SleepUntil(deadline)
		if now := c.Now(); now < deadline {
			t.Errorf("woke %v before the deadline", deadline-now)
		}
	}
}

func TestRaiseProcs(t *testing.T) {
	old := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(old)
	t.Setenv("GOMAXPROCS", "")
	if got := RaiseProcs(); got != procsPerCore*runtime.NumCPU() {
		t.Errorf("%d threads for %d cores", got, runtime.NumCPU())
	}
	runtime.GOMAXPROCS(3)
	t.Setenv("GOMAXPROCS", "3")
	if got := RaiseProcs(); got != 3 {
		t.Errorf("the environment asked for 3 threads and got %d", got)
	}
}
