package serial

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
)

// A day on a bad set, in short: two adapters are pulled out and put back over and over, under whatever names the system
// gives them, often each other's. Each output is live within a second of its own adapter's return, never sends to
// the other's, and nothing piles up.
func TestChurn(t *testing.T) {
	const pulls = 100
	synctest.Test(t, func(t *testing.T) {
		type slot struct {
			adapter Adapter
			port    *churned
		}
		var there []slot
		random := rand.New(rand.NewPCG(1, 44))
		plug := func(a Adapter) {
			name := ""
			for n := random.IntN(4); name == ""; n = random.IntN(4) { // a name that nobody has
				name = fmt.Sprintf("/dev/ttyUSB%d", n)
				for _, s := range there {
					if s.adapter.Port == name {
						name = ""
					}
				}
			}
			there = append(there, slot{moved(a, name, fmt.Sprintf("1-%d:1.0", random.IntN(9))), &churned{}})
		}
		plug(boxA)
		plug(boxB)
		open := func(path string, _ Kind) (port, error) {
			for _, s := range there {
				if s.adapter.Port == path {
					return s.port, nil
				}
			}
			return nil, syscall.ENOENT
		}
		list := func() (all []Adapter, err error) {
			for _, s := range there {
				all = append(all, s.adapter)
			}
			return all, nil
		}
		// The left one is named by the port it has at first, the right one by its serial number.
		outs := []*Output{
			newOutput(Config{Name: "left", Kind: Widget, Port: there[0].adapter.Port, Universe: 1, List: list}, open),
			newOutput(Config{Name: "right", Kind: Widget, Port: boxB.Serial, Universe: 2, List: list}, open),
		}
		level := func(i int) []dmx.Frame { return frame(byte(10 + i)) }
		for _, o := range outs {
			defer func() {
				if err := o.Close(); err != nil {
					t.Error(err)
				}
			}()
		}
		for i, o := range outs {
			if err := o.Send(level(i)); err != nil {
				t.Fatal(err)
			}
		}
		before := runtime.NumGoroutine()
		for n := range pulls {
			which := random.IntN(len(there))
			gone := there[which]
			gone.port.pull()
			there = append(there[:which], there[which+1:]...)
			for range random.IntN(90) {
				for i, o := range outs {
					_ = o.Send(level(i)) // one of them is in trouble
				}
				time.Sleep(time.Second / 44)
			}
			plug(gone.adapter)
			back := time.Now()
			for i, o := range outs {
				for o.Send(level(i)) != nil {
					if took := time.Since(back); took > time.Second {
						t.Fatalf("pull %d: %s is not live %v after its adapter's return: %s", n, o.Name(), took, o.Status().Text)
					}
					time.Sleep(time.Second / 44)
				}
			}
			for _, s := range there {
				want := byte(10)
				if s.adapter.Serial == boxB.Serial {
					want++
				}
				if got := s.port.last(); got != want {
					t.Fatalf("pull %d: the adapter %s got %d, want %d", n, s.adapter.Serial, got, want)
				}
			}
		}
		time.Sleep(time.Second)
		synctest.Wait()
		if now := runtime.NumGoroutine(); now > before {
			t.Errorf("%d goroutines, %d before", now, before)
		}
	})
}

// churned is the port of a widget that can be pulled out.
type churned struct {
	scripted
	gone bool
}

func (c *churned) pull() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.gone = true
}

func (c *churned) Write(b []byte) (int, error) {
	c.mu.Lock()
	gone := c.gone
	c.mu.Unlock()
	if gone {
		return 0, syscall.EIO
	}
	return c.scripted.Write(b)
}

// last is slot 1 of the last packet.
func (c *churned) last() byte {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.levels) == 0 {
		return 0
	}
	return c.levels[len(c.levels)-1]
}
