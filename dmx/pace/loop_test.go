package pace_test

import (
	"context"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"go.uber.org/goleak"
	"pgregory.net/rapid"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/pace"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// bench is a loop in a bubble, on the bubble's time.
type bench struct {
	t      *testing.T
	loop   *pace.Loop
	start  time.Time
	cancel context.CancelFunc
	ended  chan error
}

func start(t *testing.T, cfg pace.Config) *bench {
	t.Helper()
	cfg.Clock = dmxtest.NewClock()
	l, err := pace.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return runBench(t, l)
}

func runBench(t *testing.T, l *pace.Loop) *bench {
	ctx, cancel := context.WithCancel(t.Context())
	b := &bench{t: t, loop: l, start: time.Now(), cancel: cancel, ended: make(chan error, 1)}
	go func() { b.ended <- l.Run(ctx) }()
	synctest.Wait() // frame 0 is out
	return b
}

// until lets the loop run until frame k has been handled.
func (b *bench) until(k int64) {
	time.Sleep(time.Until(b.start.Add(pace.Offset(k))))
	synctest.Wait()
}

func (b *bench) end() error {
	b.cancel()
	return <-b.ended
}

func (b *bench) mustEnd() {
	b.t.Helper()
	if err := b.end(); err != nil {
		b.t.Error(err)
	}
}

// frameNumbers turns the times of what was sent into frame numbers.
func (b *bench) frameNumbers(sent []dmxtest.Sent) []int64 {
	var ks []int64
	for _, s := range sent {
		k := int64(s.At.Sub(b.start).Seconds()*pace.Rate + 0.5)
		if at := s.At.Sub(b.start); at != pace.Offset(k) {
			b.t.Errorf("sent at %v, between the frames", at)
		}
		ks = append(ks, k)
	}
	return ks
}

// still fills every slot with v.
func still(v byte) pace.Fill {
	return func(_ int64, frames []dmx.Frame) bool {
		for i := range frames {
			for s := range frames[i] {
				frames[i][s] = v
			}
		}
		return true
	}
}

// counting writes k into slot 1 of every universe.
func counting(k int64, frames []dmx.Frame) bool {
	for i := range frames {
		frames[i][0] = byte(k)
	}
	return true
}

func TestFramesAreAskedForOnTheGrid(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var ks []int64
		var at []time.Duration
		began := time.Now()
		b := start(t, pace.Config{FirstK: 100, Fill: func(k int64, _ []dmx.Frame) bool {
			ks = append(ks, k)
			at = append(at, time.Since(began))
			return true
		}})
		b.until(440)
		b.mustEnd()
		for i, k := range ks {
			if k != int64(100+i) {
				t.Fatalf("frame %d was asked for where %d was due", k, 100+i)
			}
			// A resumed run goes on with its numbers; its frame 100 is due at once.
			if want := pace.Offset(k) - pace.Offset(100); at[i] != want {
				t.Errorf("frame %d was asked for at %v, want %v", k, at[i], want)
			}
		}
		if c := b.loop.Counters(); len(ks) != 441 || c.Frames != 441 || c.Late != 0 || c.Missed != 0 || c.Max != 0 {
			t.Errorf("%d frames, counters %+v", len(ks), c)
		}
	})
}

// Late frames are skipped, not queued, and k follows the clock.
func TestLateFramesAreSkipped(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var ks []int64
		b := start(t, pace.Config{Fill: func(k int64, _ []dmx.Frame) bool {
			ks = append(ks, k)
			if k == 5 {
				time.Sleep(pace.Offset(3) + pace.Offset(1)/2) // until the middle of frame 8
			}
			return true
		}})
		b.until(12)
		b.mustEnd()
		if want := []int64{0, 1, 2, 3, 4, 5, 8, 9, 10, 11, 12}; !slices.Equal(ks, want) {
			t.Errorf("frames %d, want %d", ks, want)
		}
		c := b.loop.Counters()
		if c.Frames != 11 || c.Missed != 2 || c.Late != 1 {
			t.Errorf("%d frames, %d missed, %d late; want 11, 2, 1", c.Frames, c.Missed, c.Late)
		}
		// Frame 6 was to begin at its time and began two and a half frames after it, to the rounding of Offset.
		if late := c.Max - pace.Offset(2) - pace.Offset(1)/2; late < -2 || late > 2 {
			t.Errorf("greatest lateness %v", c.Max)
		}
	})
}

// Whatever Fill costs, k rises, no frame begins later than its own slot, and
// every frame is either asked for or counted as missed.
func TestFramesUnderAnyLoad(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		costs := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) time.Duration {
			return time.Duration(rapid.Int64Range(0, int64(100*time.Millisecond)).Draw(t, "ns"))
		}), 1, 40).Draw(rt, "costs")
		synctest.Test(t, func(t *testing.T) {
			ctx, cancel := context.WithCancel(t.Context())
			began := time.Now()
			last, n := int64(-1), 0
			l, err := pace.New(pace.Config{Clock: dmxtest.NewClock(), Fill: func(k int64, _ []dmx.Frame) bool {
				at := time.Since(began)
				if k <= last || at < pace.Offset(k) || at >= pace.Offset(k+1) {
					rt.Errorf("frame %d after %d at %v", k, last, at)
				}
				last = k
				time.Sleep(costs[n])
				if n++; n == len(costs) {
					cancel()
				}
				return true
			}})
			if err != nil {
				t.Fatal(err)
			}
			if err := l.Run(ctx); err != nil {
				rt.Error(err)
			}
			if c := l.Counters(); c.Frames != int64(n) || c.Frames+c.Missed != last+1 || l.NextK() != last+1 {
				rt.Errorf("last frame %d, next %d, counters %+v", last, l.NextK(), c)
			}
		})
	})
}

// ANSI E1.31-2018, 6.6.2: on change, three more, then every 800..1000 ms.
func TestSendsOnChangeThenKeepsAlive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		level := byte(10)
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: func(k int64, frames []dmx.Frame) bool {
			if k == 90 {
				level = 20
			}
			frames[0][7] = level
			return true
		}})
		b.until(140)
		b.until(44 * 10)
		ks := b.frameNumbers(out.Sent())
		// 36 frames are the first whole number to last 800 ms.
		want := []int64{0, 1, 2, 3, 39, 75, 90, 91, 92, 93, 129, 165}
		if !slices.Equal(ks[:len(want)], want) {
			t.Errorf("sent in frames %d, want %d", ks[:len(want)], want)
		}
		sent := out.Sent()
		for i := 4; i < len(sent); i++ {
			gap := sent[i].At.Sub(sent[i-1].At)
			if gap > time.Second || ks[i] > 93 && gap < 800*time.Millisecond {
				t.Errorf("frames %d and %d are %v apart", ks[i-1], ks[i], gap)
			}
		}
		if c := b.loop.Counters().Outputs[0]; c.Sent != int64(len(sent)) || c.Repeated != c.Sent-2 || c.Dropped != 0 || c.Errors != 0 {
			t.Errorf("counters %+v for %d frames with two contents", c, len(sent))
		}
		b.mustEnd()
	})
}

func TestNothingIsSentBeforeTheFirstCommand(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: func(k int64, frames []dmx.Frame) bool {
			frames[0][0] = 9
			return k >= 50 && k < 60 || k >= 70
		}})
		b.until(49)
		if sent := out.Sent(); len(sent) != 0 {
			t.Errorf("%d frames went out before there was anything to send", len(sent))
		}
		b.until(80)
		if ks, want := b.frameNumbers(out.Sent()), []int64{50, 51, 52, 53, 70, 71, 72, 73}; !slices.Equal(ks, want) {
			t.Errorf("sent in frames %d, want %d: at once when there is something to send", ks, want)
		}
		b.mustEnd()
	})
	synctest.Test(t, func(t *testing.T) {
		out := dmxtest.NewOutput("bench", 1)
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: func(int64, []dmx.Frame) bool { return false }})
		b.until(100)
		b.mustEnd()
		if sent := out.Sent(); len(sent) != 0 || out.Closed() != 1 {
			t.Errorf("without a command: %d frames at the end, closed %d times", len(sent), out.Closed())
		}
	})
}

func TestAnOutputGetsItsOwnUniverses(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		left, right := dmxtest.NewOutput("left", 7, 2), dmxtest.NewOutput("right", 4, 9)
		b := start(t, pace.Config{
			Universes: []dmx.Universe{2, 4, 7}, Outputs: []dmx.Output{left, right},
			Fill: func(k int64, frames []dmx.Frame) bool {
				frames[0][0], frames[1][0], frames[2][0] = 2, 4, 7
				if k >= 20 {
					frames[1][1] = 99
				}
				return true
			},
		})
		b.until(25)
		if n := len(b.frameNumbers(left.Sent())); n != 4 {
			t.Errorf("a change of universe 4 reached the output without it: %d frames", n)
		}
		b.mustEnd()
		if f := left.Sent()[0].Frames; f[0][0] != 7 || f[1][0] != 2 {
			t.Errorf("left got %d, %d in the places of universes 7 and 2", f[0][0], f[1][0])
		}
		if f := right.Sent()[0].Frames; f[0][0] != 4 || f[1] != (dmx.Frame{}) {
			t.Errorf("right got %d for universe 4, and for universe 9, which nobody fills, %v", f[0][0], f[1][:2])
		}
	})
}

func TestAStuckOutputDelaysNoOther(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		stuck, well := dmxtest.NewOutput("stuck", 1), dmxtest.NewOutput("well", 1)
		stuck.Stall()
		var events []pace.Event
		b := start(t, pace.Config{
			Universes: []dmx.Universe{1}, Outputs: []dmx.Output{stuck, well}, Fill: counting,
			OnEvent: func(e pace.Event) { events = append(events, e) },
		})
		b.until(99)
		if ks := b.frameNumbers(well.Sent()); len(ks) != 100 || ks[99] != 99 {
			t.Errorf("the other output got %d of 100 frames in time", len(ks))
		}
		c := b.loop.Counters()
		// Frame 0 is in its hands, the latest in its mailbox.
		if got := c.Outputs[0]; got.Dropped != 98 || got.Sent != 0 || got.Status.Up {
			t.Errorf("the stuck one: %+v", got)
		}
		if c.Outputs[1].Dropped != 0 || c.Missed != 0 {
			t.Errorf("the well one dropped %d, %d frames missed", c.Outputs[1].Dropped, c.Missed)
		}
		if len(events) != 1 || events[0].Output != "stuck" || !strings.Contains(events[0].Status.Text, "not taken a frame") {
			t.Errorf("events %+v", events)
		}
		stuck.Release()
		b.until(200)
		// Of what it missed it gets the latest only.
		if sent := stuck.Sent(); len(sent) != 103 || sent[0].Frames[0][0] != 0 || sent[1].Frames[0][0] != 99 || sent[102].Frames[0][0] != 200 {
			t.Errorf("released, it got %d frames, the second with %d", len(sent), sent[1].Frames[0][0])
		}
		if len(events) != 2 || !events[1].Status.Up {
			t.Errorf("events %+v", events)
		}
		b.mustEnd()
	})
}

func TestASlowOutputGetsTheLatest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		slow := dmxtest.NewOutput("slow", 1)
		slow.Take(30 * time.Millisecond)
		b := start(t, pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{slow}, Fill: counting})
		b.until(220)
		c := b.loop.Counters().Outputs[0]
		if c.Sent != 166 || c.Sent+c.Dropped < 219 || c.Status.Up == false { // 5 s at 30 ms each
			t.Errorf("in 220 frames %+v", c)
		}
		b.mustEnd()
	})
}

func TestNextK(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var running atomic.Pointer[pace.Loop]
		b := start(t, pace.Config{FirstK: 7, Fill: func(k int64, _ []dmx.Frame) bool {
			if l := running.Load(); l != nil && l.NextK() != k+1 {
				t.Errorf("while frame %d is filled the next is %d", k, l.NextK())
			}
			return true
		}})
		l := b.loop
		running.Store(l)
		if got := l.NextK(); got != 8 {
			t.Errorf("after the first frame the next is %d", got)
		}
		b.until(3)
		if got := l.NextK(); got != 11 {
			t.Errorf("three frames on the next is %d", got)
		}
		b.mustEnd()
		if err := l.Run(t.Context()); err == nil {
			t.Error("a loop ran twice")
		}
	})
	l, err := pace.New(pace.Config{Fill: counting, FirstK: 42})
	if err != nil || l.NextK() != 42 {
		t.Errorf("before it runs the next frame is %d (%v)", l.NextK(), err)
	}
}

func TestConfigsThatMakeNoSense(t *testing.T) {
	for want, cfg := range map[string]pace.Config{
		"no Fill":           {},
		"counted from 0":    {Fill: counting, FirstK: -1},
		"at most 1s":        {Fill: counting, KeepAlive: 2 * time.Second},
		"more than 0":       {Fill: counting, KeepAlive: -1},
		"listed twice":      {Fill: counting, Universes: []dmx.Universe{3, 1, 3}},
		"universe 3 is lis": {Fill: counting, Universes: []dmx.Universe{3, 1, 3}},
	} {
		if _, err := pace.New(cfg); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want something on %q", cfg, err, want)
		}
	}
}

// On the machine's own clock and thread.
func TestOnTheMachine(t *testing.T) {
	out := dmxtest.NewOutput("bench", 1)
	ctx, cancel := context.WithCancel(t.Context())
	l, err := pace.New(pace.Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: func(k int64, frames []dmx.Frame) bool {
		if k >= 10 {
			cancel()
		}
		return counting(k, frames)
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Run(ctx); err != nil {
		t.Error(err)
	}
	c := l.Counters()
	if !slices.Contains([]string{"fifo", "slice", "plain"}, c.Scheduler) {
		t.Errorf("scheduler %q", c.Scheduler)
	}
	if c.Frames == 0 || c.Frames+c.Missed != l.NextK() || c.P50 > c.P99 || c.P99 > c.Max {
		t.Errorf("counters %+v, next %d", c, l.NextK())
	}
	if n := len(out.Sent()); n < 3 || int64(n) != c.Outputs[0].Sent {
		t.Errorf("%d frames sent, counted %d", n, c.Outputs[0].Sent)
	}
}
