package sacn

import (
	"fmt"
	"math/rand/v2"
	"net"
	"net/netip"
	"os"
	"runtime"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// badWay is a socket that fails now and then in every way there is, and remembers nothing but the levels it took last.
type badWay struct {
	mu     *sync.Mutex
	random *rand.Rand
	down   *bool
	last   map[uint16]byte
}

var faults = []error{
	syscall.ECONNREFUSED, syscall.EHOSTUNREACH, syscall.ENETUNREACH, syscall.ENOBUFS, syscall.EPERM, syscall.EINVAL, syscall.ENODEV, syscall.EPIPE,
}

func (w *badWay) fail() error {
	if *w.down || w.random.IntN(50) == 0 {
		return &os.SyscallError{Syscall: "sendmmsg", Err: faults[w.random.IntN(len(faults))]}
	}
	return nil
}

func (w *badWay) Write(msgs []udp.Message) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if err := w.fail(); err != nil {
		return 0, err
	}
	n := 1 + w.random.IntN(len(msgs))
	for _, m := range msgs[:n] {
		var d Data
		if d.Decode(m.Buffers[0]) == nil {
			w.last[d.Universe] = d.Slots[0]
		}
	}
	return n, nil
}

func (w *badWay) Path() string { return "memory" }
func (w *badWay) Close() error { return nil }

// runChurn lets an output live among ways that fail, and go down and up by turns, for a simulated time: a second after a way is
// up for good it has the present frame, and at the end nothing is left running.
func runChurn(t *testing.T, long time.Duration, seed uint64) {
	synctest.Test(t, func(t *testing.T) {
		var mu sync.Mutex
		random := rand.New(rand.NewPCG(seed, 31))
		down := false
		var ways []*badWay
		open := func() (udp.Socket, error) {
			mu.Lock()
			defer mu.Unlock()
			w := &badWay{mu: &mu, random: random, down: &down, last: map[uint16]byte{}}
			ways = append(ways[max(len(ways)-2, 0):], w) // of three, the two others and this
			return w, w.fail()
		}
		o, err := New(Config{
			To: []netip.AddrPort{boxA, boxB}, Groups: Groups4, Universes: []dmx.Universe{1, 2, 3}, CID: testCID, Sync: 9,
			interfaces: func() ([]Interface, error) { return []Interface{ethernet}, nil },
			dial:       func(netip.AddrPort) (udp.Socket, error) { return open() },
			multicast:  func(*net.Interface, bool, int) (udp.Socket, error) { return open() },
		})
		if err != nil {
			t.Fatal(err)
		}
		frames := make([]dmx.Frame, 3)
		var before string
		for minute := range int(long / time.Minute) {
			for range 60 {
				frames[random.IntN(3)][0]++
				_ = o.Send(frames)
				time.Sleep(time.Second)
				mu.Lock()
				down = random.IntN(4) == 0
				mu.Unlock()
			}
			mu.Lock()
			down = false
			mu.Unlock()
			time.Sleep(10 * time.Second) // the odd fault aside, more than enough for whatever was wrong
			synctest.Wait()
			mu.Lock()
			fresh := 0
			for _, w := range ways {
				if w.last[1] == frames[0][0] && w.last[2] == frames[1][0] && w.last[3] == frames[2][0] {
					fresh++
				}
			}
			mu.Unlock()
			if fresh == 0 {
				t.Fatalf("minute %d: no way has the present frame, status %+v", minute, o.Status())
			}
			if now := fmt.Sprint(runtime.NumGoroutine(), len(o.links)); minute == 0 {
				before = now
			} else if now != before {
				t.Fatalf("minute %d: %s goroutines and ways, %s at first", minute, now, before)
			}
		}
		if err := o.Close(); err != nil {
			t.Fatal(err)
		}
	})
}

func TestChurn(t *testing.T) { runChurn(t, 20*time.Minute, 1) }
