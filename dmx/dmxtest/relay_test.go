package dmxtest

import (
	"net"
	"net/netip"
	"slices"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// through sends numbered datagrams through a relay, one after the other, and gives the numbers that arrive in
// their order, and when. The last ones are sent without faults, so that all is seen to have passed.
func through(t *testing.T, loopback string, seed uint64, f Faults, n int) ([]int, RelayCounts, time.Duration) {
	t.Helper()
	far, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(netip.MustParseAddrPort(loopback)))
	if err != nil {
		t.Skipf("this system has no such loopback address: %v", err)
	}
	defer far.Close()
	r := NewRelay(t, far.LocalAddr().(*net.UDPAddr).AddrPort(), seed, f)
	defer r.Close()
	near, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(r.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	defer near.Close()
	start := time.Now()
	wait := func(taken int) {
		for limit := time.Now().Add(10 * time.Second); r.Counts().In < taken; time.Sleep(time.Millisecond) {
			if time.Now().After(limit) {
				t.Fatal("the relay takes nothing")
			}
		}
	}
	for i := range n {
		if _, err := near.Write([]byte{byte(i)}); err != nil {
			t.Fatal(err)
		}
		wait(i + 1) // no queue of the system overflows
	}
	r.Set(Faults{Delay: f.Delay + f.Spread})
	if _, err := near.Write([]byte{255}); err != nil {
		t.Fatal(err)
	}
	var got []int
	buf := make([]byte, 16)
	for {
		if err := far.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
			t.Fatal(err)
		}
		if _, err := far.Read(buf); err != nil {
			t.Fatal(err)
		}
		if buf[0] == 255 {
			break
		}
		got = append(got, int(buf[0]))
	}
	// One that was held came free behind the last.
	for c := r.Counts(); len(got) < c.Out-1 || c.Out < c.In-c.Lost-c.CutAway+c.Duplicated; c = r.Counts() {
		if len(got) >= c.Out-1 {
			time.Sleep(time.Millisecond)
			continue
		}
		if _, err := far.Read(buf); err != nil {
			t.Fatal(err)
		}
		got = append(got, int(buf[0]))
	}
	return got, r.Counts(), time.Since(start)
}

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestRelay(t *testing.T) {
	before := goleak.IgnoreCurrent()
	for _, loopback := range []string{"127.0.0.1:0", "[::1]:0"} {
		t.Run(loopback, func(t *testing.T) {
			const n = 200
			got, c, _ := through(t, loopback, 1, Faults{}, n)
			if !slices.Equal(got, numbers(n)) || c != (RelayCounts{In: n + 1, Out: n + 1}) {
				t.Errorf("without faults: %v, %+v", got, c)
			}

			got, c, _ = through(t, loopback, 2, Faults{Loss: 0.3}, n)
			// Binomial: 60 expected, standard deviation 6.5; the seed fixes it.
			if len(got) != n-c.Lost || c.Lost < 40 || c.Lost > 80 || !slices.IsSorted(got) {
				t.Errorf("with loss: %v, %+v", got, c)
			}

			got, c, _ = through(t, loopback, 3, Faults{Duplicate: 0.3}, n)
			if len(got) != n+c.Duplicated || c.Duplicated < 40 || !slices.Equal(slices.Compact(slices.Clone(got)), numbers(n)) {
				t.Errorf("with duplicates: %v, %+v", got, c)
			}

			got, c, _ = through(t, loopback, 4, Faults{Reorder: 0.3, Hold: time.Minute}, n)
			sorted := slices.Clone(got)
			slices.Sort(sorted)
			if c.Reordered < 40 || slices.IsSorted(got) || !slices.Equal(sorted, numbers(n)) {
				t.Errorf("with reordering: %v, %+v", got, c)
			}
			f := Faults{Loss: 0.2, Duplicate: 0.2, Reorder: 0.2, Hold: time.Minute}
			one, _, _ := through(t, loopback, 5, f, n)
			two, _, _ := through(t, loopback, 5, f, n)
			other, _, _ := through(t, loopback, 6, f, n)
			if !slices.Equal(one, two) || slices.Equal(one, other) {
				t.Error("the seed does not decide")
			}

			const delay = 30 * time.Millisecond
			if got, _, took := through(t, loopback, 7, Faults{Delay: delay}, 5); took < delay || !slices.Equal(got, numbers(5)) {
				t.Errorf("with delay: %v in %v", got, took)
			}
		})
	}
	if err := goleak.Find(before); err != nil {
		t.Error(err)
	}
}

func TestRelayCut(t *testing.T) {
	far, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
	if err != nil {
		t.Fatal(err)
	}
	defer far.Close()
	r := NewRelay(t, far.LocalAddr().(*net.UDPAddr).AddrPort(), 1, Faults{})
	near, err := net.DialUDP("udp4", nil, net.UDPAddrFromAddrPort(r.Addr()))
	if err != nil {
		t.Fatal(err)
	}
	defer near.Close()
	send := func(b byte, in int) {
		if _, err := near.Write([]byte{b}); err != nil {
			t.Fatal(err)
		}
		for limit := time.Now().Add(10 * time.Second); r.Counts().In < in && time.Now().Before(limit); {
			time.Sleep(time.Millisecond)
		}
	}
	r.Cut()
	send(1, 1)
	r.Mend()
	send(2, 2)
	buf := make([]byte, 4)
	if err := far.SetReadDeadline(time.Now().Add(10 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if n, err := far.Read(buf); err != nil || n != 1 || buf[0] != 2 {
		t.Errorf("%x arrived, %v", buf[:n], err)
	}
	if c := r.Counts(); c.CutAway != 1 {
		t.Errorf("%+v", c)
	}
	r.Close()
	r.Close()
}
