package artnet

import (
	"context"
	"net/netip"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"limn/dmx"
	"limn/dmx/dmxtest"
	"limn/dmx/internal/udp"
	"limn/dmx/pace"
)

// perUniverse splits what arrived by Port-Address.
func perUniverse(t testing.TB, got [][]byte) map[uint16][]Datagram {
	out := map[uint16][]Datagram{}
	for _, b := range got {
		var d Datagram
		if err := d.Decode(b); err != nil {
			t.Fatal(err)
		}
		out[d.PortAddress] = append(out[d.PortAddress], d)
	}
	return out
}

func TestOnlyWhatChangedIsSent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		n := &fakeNet{}
		o := fakeOutput(t, n, 1, 2, 3)
		frames := make([]dmx.Frame, 3)
		send := func(why string, want ...uint16) {
			t.Helper()
			n.got = nil
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
			var got []uint16
			for _, b := range n.got {
				got = append(got, decode(t, b).PortAddress)
			}
			if len(got) != len(want) {
				t.Fatalf("%s: %d were sent, want %d", why, got, want)
			}
			for i := range want {
				if got[i] != want[i] {
					t.Fatalf("%s: %d were sent, want %d", why, got, want)
				}
			}
			time.Sleep(time.Second / 44)
		}
		send("the first frame", 1, 2, 3)
		send("its repeat", 1, 2, 3)
		send("its second", 1, 2, 3)
		send("its third", 1, 2, 3)
		frames[1][7] = 9
		send("a change", 2)
		frames[1][7] = 10
		send("another", 2)
		send("its repeat", 2)
		send("its second", 2)
		send("its third; the others are 114 ms old", 2)
		send("a farewell", 1, 2, 3)
		time.Sleep(keepAlive)
		send("a keep-alive", 1, 2, 3)
		for range 34 { // a fade of one universe, 773 ms
			frames[2][0]++
			send("a fade", 3)
		}
		frames[2][0]++
		send("the 35th frame, 795 ms after the keep-alive", 3)
		frames[2][0]++
		send("the 36th, 818 ms after it", 1, 2, 3)
	})
}

// Under the send loop, whatever changes when: no universe is silent for more than a second, an unchanged one is not sent more than
// it must, and the last slots of each have arrived four times at least.
func TestNoUniverseIsSilentForLong(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		const universes = 4
		// For each universe, in which frames it changes.
		changes := map[int64][universes]bool{}
		for range rapid.IntRange(0, 12).Draw(rt, "bursts") {
			from, length := rapid.Int64Range(0, 300).Draw(rt, "from"), rapid.Int64Range(1, 80).Draw(rt, "length")
			u := rapid.IntRange(0, universes-1).Draw(rt, "universe")
			for k := from; k < from+length; k++ {
				c := changes[k]
				c[u] = true
				changes[k] = c
			}
		}
		synctest.Test(t, func(t *testing.T) {
			w := &timedNet{}
			list := []dmx.Universe{1, 2, 3, 4}
			o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA}, Universes: list}, w.dial)
			if err != nil {
				t.Fatal(err)
			}
			loop, err := pace.New(pace.Config{
				Universes: list, Outputs: []dmx.Output{o}, Clock: dmxtest.NewClock(),
				Fill: func(k int64, frames []dmx.Frame) bool {
					for u, yes := range changes[k] {
						if yes {
							frames[u][0]++
						}
					}
					return true
				},
			})
			if err != nil {
				t.Fatal(err)
			}
			ctx, cancel := context.WithTimeout(t.Context(), 12*time.Second)
			defer cancel()
			begin := time.Now()
			if err := loop.Run(ctx); err != nil {
				t.Fatal(err)
			}
			end := time.Now()
			for u := range uint16(universes) {
				last := begin
				var value byte
				same, all, changed := 0, 0, 0
				for _, a := range w.got {
					if a.address != u+1 {
						continue
					}
					if gap := a.at.Sub(last); gap > time.Second {
						rt.Fatalf("universe %d is silent for %v", u+1, gap)
					}
					last = a.at
					all++
					same++
					if a.first != value {
						value, same = a.first, 1
						changed++
					}
				}
				if gap := end.Sub(last); gap > time.Second {
					rt.Fatalf("universe %d is silent for %v at the end", u+1, gap)
				}
				if same < 1+repeats {
					rt.Fatalf("the last slots of universe %d arrived %d times", u+1, same)
				}
				// Four times each change, the keep-alives, at most two more for each other universe's burst, the first four and the farewell.
				if most := (1+repeats)*changed + 16 + 2*12 + 8; all > most {
					rt.Fatalf("universe %d was sent %d times for %d changes", u+1, all, changed)
				}
			}
		})
	})
}

// timedNet remembers when what arrived.
type timedNet struct{ got []arrival }

func (w *timedNet) dial(netip.AddrPort) (udp.Socket, error) { return &timedSocket{w}, nil }

// A node in trouble gets everything with each frame, until it is well; its neighbour only its share.
func TestTroubleOfOneIsNotTheOthers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		good, bad := &fakeNet{}, &fakeNet{}
		o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA, nodeB}, Universes: []dmx.Universe{1, 2}}, func(to netip.AddrPort) (udp.Socket, error) {
			if to == nodeB {
				return bad.dial(to)
			}
			return good.dial(to)
		})
		if err != nil {
			t.Fatal(err)
		}
		frames := make([]dmx.Frame, 2)
		for range 44 { // a second
			bad.errs = []error{syscall.ECONNREFUSED}
			if err := o.Send(frames); err == nil {
				t.Fatal("a refusal is no error")
			}
			time.Sleep(time.Second / 44)
		}
		if len(bad.got) != 88 {
			t.Errorf("the missing node was offered %d packets, want 88", len(bad.got))
		}
		if n := len(good.got); n < 2*4+2*5 || n > 2*4+2*7 { // at first four times, then each 150 ms and a frame
			t.Errorf("its neighbour got %d packets", n)
		}
	})
}

// The numbers of each node follow each other without a gap, whatever the others get.
func TestNumbersOfEachNodeFollow(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		nets := map[netip.AddrPort]*fakeNet{nodeA: {}, nodeB: {}}
		o, err := newOutput(t, Config{To: []netip.AddrPort{nodeA, nodeB}, Universes: []dmx.Universe{1, 2}}, func(to netip.AddrPort) (udp.Socket, error) {
			return nets[to].dial(to)
		})
		if err != nil {
			t.Fatal(err)
		}
		frames := make([]dmx.Frame, 2)
		for k := range 900 {
			if k%3 == 0 {
				frames[k%2][0]++
			}
			switch {
			case k%200 == 150: // no network for a quarter of a second and more
				nets[nodeB].errs = []error{syscall.ENETUNREACH}
			case k%7 == 0:
				nets[nodeB].errs = []error{syscall.ECONNREFUSED}
			case k%31 == 0:
				nets[nodeB].errs = []error{syscall.ENOBUFS}
			}
			_ = o.Send(frames)
			time.Sleep(time.Second / 44)
		}
		for to, n := range nets {
			for address, all := range perUniverse(t, n.got) {
				for i, d := range all {
					if want := byte(i%255 + 1); d.Sequence != want {
						t.Fatalf("%v, Port-Address %d: packet %d has number %d, want %d", to, address, i, d.Sequence, want)
					}
				}
			}
		}
	})
}
