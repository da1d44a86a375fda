package pace

import (
	"context"
	"runtime"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// benchFrames is a round's length: five seconds, so that the 99th percentile is not just the worst.
const benchFrames = 5 * Rate

// Each round runs a plain ticker at the runtime's own number of threads, then the loop
// with the threads and the scheduling it asks for; the ratio of the two is the figure. Run it with
// -benchtime 5x for steadier ones.
func BenchmarkLateness(b *testing.B) {
	for _, load := range []struct {
		name       string
		goroutines int
	}{{"idle", 0}, {"busy", 2}} {
		b.Run(load.name, func(b *testing.B) {
			procs := runtime.GOMAXPROCS(0)
			defer runtime.GOMAXPROCS(procs)
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
			var ticker, loop lateness
			var tickerMissed, loopMissed int64
			b.ReportAllocs()
			for b.Loop() {
				runtime.GOMAXPROCS(procs)
				tickerMissed += plainTicker(&ticker)
				RaiseProcs()
				loopMissed += runLoop(b, &loop)
			}
			t, _ := ticker.percentiles([2]float64{0.5, 0.99})
			l, _ := loop.percentiles([2]float64{0.5, 0.99})
			b.ReportMetric(float64(t[1])/1e3, "ticker-p99-us")
			b.ReportMetric(float64(l[1])/1e3, "loop-p99-us")
			b.ReportMetric(float64(l[1])/float64(t[1]), "loop/ticker")
			b.ReportMetric(float64(tickerMissed), "ticker-missed")
			b.ReportMetric(float64(loopMissed), "loop-missed")
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

func runLoop(b *testing.B, late *lateness) (missed int64) {
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
