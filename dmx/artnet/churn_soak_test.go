//go:build soak

package artnet

import (
	"math/rand/v2"
	"net/netip"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
)

// A day of churn among 800 parts.
func TestADayOfChurn(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 44))
	if most := runChurn(t, 24*time.Hour, r.IntN); most > 800 {
		t.Errorf("%d entries", most)
	}
}

// A day on the clock of a bubble: a network whose nodes come, move and go under a discovery and an output, the cable out now and
// then. Memory and goroutines stay what they were after the first hour.
func TestADayOnTheNetwork(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		r := rand.New(rand.NewPCG(3, 44))
		d, err := Discover(DiscoveryConfig{networks: f.networks, open: f.open, OnEvent: func(Event) {}})
		if err != nil {
			t.Fatal(err)
		}
		o := subscribed(t, f, d, 1, 2, 3, 4)
		frames := make([]dmx.Frame, 4)
		heap := func() uint64 {
			var m runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&m)
			return m.HeapAlloc
		}
		var first uint64
		var routines int
		for minute := range 24 * 60 {
			for range r.IntN(4) {
				a := netip.AddrFrom4([4]byte{10, 9, 9, byte(100 + r.IntN(40))})
				f.set(func() { delete(f.plugs, a) })
				if r.IntN(3) > 0 {
					f.device(a.String(), uint16(1+r.IntN(6)))
				}
			}
			f.set(func() { f.cut = r.IntN(30) == 0; clear(f.dmx); f.tapped = nil })
			for range 60 {
				frames[r.IntN(4)][r.IntN(512)]++
				_ = o.Send(frames)
				time.Sleep(time.Second)
			}
			synctest.Wait()
			if minute == 60 {
				f.set(func() { clear(f.dmx); f.tapped = nil })
				first, routines = heap(), runtime.NumGoroutine()
			}
		}
		f.set(func() { clear(f.dmx); f.tapped = nil })
		if last := heap(); last > first+first/4 {
			t.Errorf("the heap has grown from %d to %d", first, last)
		}
		if n := runtime.NumGoroutine(); n > routines {
			t.Errorf("%d goroutines, after an hour %d", n, routines)
		}
		if len(o.dests) > 40 {
			t.Errorf("%d destinations", len(o.dests))
		}
		closing(t, o, d)
	})
}
