package pace

import (
	"context"
	"runtime"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/internal/baseline"
)

// benchFrames is a round's length: five seconds, so that the 99th percentile is not just the worst.
const benchFrames = 5 * Rate

// arm is one frame clock in the comparison.
type arm struct {
	name   string
	run    func(late *lateness) (missed int64)
	late   lateness
	missed int64
}

func (a *arm) p99() float64 {
	at, _ := a.late.percentiles([2]float64{0.5, 0.99})
	return float64(at[1])
}

// Each round runs four clocks in turn: the bare loop in C; a plain ticker at the runtime's own number of threads; our loop
// with the threads and the scheduling it asks for; our loop without privilege. The ratios of their 99th percentiles are
// the figures, with the frames each has missed. -benchtime 5x gives steadier ones.
func BenchmarkLateness(b *testing.B) {
	for _, load := range []struct {
		name                  string
		processes, goroutines int
	}{{name: "idle"}, {name: "processes", processes: 2}, {name: "goroutines", goroutines: 2}} {
		b.Run(load.name, func(b *testing.B) {
			procs := runtime.GOMAXPROCS(0)
			defer runtime.GOMAXPROCS(procs)
			inC := baseline.NewClock(b)
			baseline.Busy(b, load.processes)
			stop := make(chan struct{})
			for range load.goroutines {
				go func() {
					for !over(stop) {
						for range 1_000_000 { // long enough for nobody to notice the channel
						}
					}
				}()
			}
			defer close(stop)
			realTime := map[string]float64{}
			c := &arm{name: "c", run: func(late *lateness) int64 {
				times, fifo := inC.Run(b, benchFrames)
				if fifo {
					realTime["c"] = 1
				}
				for _, d := range times {
					late.add(d)
				}
				return benchFrames - int64(len(times))
			}}
			ticker := &arm{name: "ticker", run: func(late *lateness) int64 {
				runtime.GOMAXPROCS(procs)
				return plainTicker(late)
			}}
			ours := func(name string, raise func() string) *arm {
				return &arm{name: name, run: func(late *lateness) int64 {
					runtime.GOMAXPROCS(procsPerCore * runtime.NumCPU()) // as RaiseProcs does
					return runLoop(b, late, func() string {
						s := raise()
						if s == fifo {
							realTime["loop"] = 1
						}
						return s
					})
				}}
			}
			loop, unprivileged := ours("loop", raise), ours("unprivileged", ordinary)
			arms := []*arm{c, ticker, loop, unprivileged}
			b.ReportAllocs()
			for b.Loop() {
				for _, a := range arms {
					a.missed += a.run(&a.late)
				}
			}
			for _, a := range arms {
				b.ReportMetric(a.p99()/1e3, a.name+"-p99-us")
				b.ReportMetric(float64(a.missed), a.name+"-missed")
			}
			b.ReportMetric(loop.p99()/c.p99(), "loop/c")
			b.ReportMetric(loop.p99()/ticker.p99(), "loop/ticker")
			b.ReportMetric(unprivileged.p99()/ticker.p99(), "unprivileged/ticker")
			b.ReportMetric(realTime["c"], "c-fifo") // without the right to it, C and we do without
			b.ReportMetric(realTime["loop"], "loop-fifo")
		})
	}
}

func plainTicker(late *lateness) (missed int64) {
	tick := time.NewTicker(time.Second / Rate)
	defer tick.Stop()
	start := time.Now()
	for k := int64(1); k <= benchFrames; k++ {
		<-tick.C
		at := time.Since(start)
		late.add(at - Offset(k))
		if due := frameAt(at); due > k {
			missed += due - k
			k = due
		}
	}
	return missed
}

func runLoop(b *testing.B, late *lateness, raise func() string) (missed int64) {
	out := dmxtest.NewOutput("bench", 1)
	out.Quiet()
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	l, err := New(Config{Universes: []dmx.Universe{1}, Outputs: []dmx.Output{out}, Fill: func(k int64, frames []dmx.Frame) bool {
		if k >= benchFrames {
			cancel()
		}
		frames[0][0] = byte(k)
		return true
	}})
	if err != nil {
		b.Fatal(err)
	}
	l.raise = raise
	if err := l.Run(ctx); err != nil {
		b.Error(err)
	}
	for i := range l.lateness.count {
		late.count[i].Add(l.lateness.count[i].Load())
	}
	late.max.Store(max(late.max.Load(), l.lateness.max.Load()))
	return l.missed.Load()
}

// BenchmarkFrame is what 64 universes cost the frame thread when all of them change.
func BenchmarkFrame(b *testing.B) {
	universes := make([]dmx.Universe, 64)
	for i := range universes {
		universes[i] = dmx.Universe(i + 1)
	}
	l, err := New(Config{
		Universes: universes, Outputs: []dmx.Output{dmxtest.NewOutput("bench", universes...)},
		Fill: func(k int64, frames []dmx.Frame) bool {
			for i := range frames {
				frames[i][0] = byte(k)
			}
			return true
		},
	})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for k := int64(0); b.Loop(); k++ {
		l.frame(k, Offset(k))
	}
}
