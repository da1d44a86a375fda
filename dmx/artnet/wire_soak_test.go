//go:build soak

package artnet_test

import (
	"context"
	"encoding/binary"
	"net/netip"
	"sync/atomic"
	"testing"
	"time"

	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/pace"
)

// Ten minutes of 64 universes, to eight nodes of eight, on the machine's own clock: every frame of every universe
// arrives, in order.
func TestNoFrameIsLostInTenMinutes(t *testing.T) {
	const (
		nodes, perNode = 8, 8
		frames         = 10 * 60 * pace.Rate
	)
	pace.RaiseProcs()
	var universes []dmx.Universe
	var outputs []dmx.Output
	var receivers []*artnet.Receiver
	var arrived, lost, disorder atomic.Int64
	for n := range nodes {
		next := map[uint16]uint64{} // by Port-Address, the frame that is to come
		r, err := artnet.Listen(netip.MustParseAddrPort("127.0.0.1:0"), func(d *artnet.Datagram) {
			k := binary.BigEndian.Uint64(d.Data)
			want := next[d.PortAddress]
			switch {
			case k >= want:
				arrived.Add(1)
				lost.Add(int64(k - want))
				next[d.PortAddress] = k + 1
			case k+1 < want || k != frames-1: // but for the farewell, which is the last frame again
				disorder.Add(1)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
		receivers = append(receivers, r)
		own := make([]dmx.Universe, perNode)
		for i := range own {
			own[i] = dmx.Universe(n*perNode + i + 1)
		}
		o, err := artnet.NewOutput(artnet.Config{Name: r.Addr().String(), To: []netip.AddrPort{r.Addr()}, Universes: own})
		if err != nil {
			t.Fatal(err)
		}
		universes, outputs = append(universes, own...), append(outputs, o)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	l, err := pace.New(pace.Config{Universes: universes, Outputs: outputs, Fill: func(k int64, f []dmx.Frame) bool {
		if k >= frames-1 {
			k = frames - 1
			cancel()
		}
		for i := range f {
			binary.BigEndian.PutUint64(f[i][:], uint64(k))
		}
		return true
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Run(ctx); err != nil {
		t.Error(err)
	}
	time.Sleep(time.Second) // for what is still on its way
	c := l.Counters()
	t.Logf("%d packets arrived, %d are missing; clock %s: p50 %v, p99 %v, worst %v, %d late, %d missed",
		arrived.Load(), lost.Load(), c.Scheduler, c.P50, c.P99, c.Max, c.Late, c.Missed)
	if lost.Load() != 0 || disorder.Load() != 0 || arrived.Load() != frames*nodes*perNode {
		t.Errorf("%d packets of %d arrived, %d are missing, %d out of order", arrived.Load(), frames*nodes*perNode, lost.Load(), disorder.Load())
	}
	for _, r := range receivers {
		if r.Refused() != 0 {
			t.Errorf("%d packets were refused", r.Refused())
		}
	}
	for _, o := range c.Outputs {
		if o.Dropped != 0 || o.Errors != 0 {
			t.Errorf("output %s: %+v", o.Name, o)
		}
	}
	if c.Missed != 0 {
		t.Errorf("the clock missed %d frames", c.Missed)
	}
}
