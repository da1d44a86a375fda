package artnet

import (
	"net/netip"
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/internal/udp"
)

// syncTo runs an output of two universes to two nodes and says, for each send, what went where, in order.
func syncTo(t *testing.T, kind Sync, universes []dmx.Universe, networks func() ([]Network, error)) (sends [][]string) {
	synctest.Test(t, func(t *testing.T) {
		var log []string
		o, err := NewOutput(Config{
			To: []netip.AddrPort{nodeA, nodeB}, Universes: universes, Sync: kind, networks: networks,
			dial: func(to netip.AddrPort) (udp.Socket, error) {
				return &logSocket{to: to, log: &log}, nil
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		frames := make([]dmx.Frame, len(universes))
		for i := range 7 {
			if i == 4 { // one universe changes: the nodes are still to show it together
				frames[0][0] = 1
			}
			log = nil
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
			sends = append(sends, log)
			time.Sleep(time.Second / 44)
		}
		closing(t, o)
	})
	return sends
}

func TestSync(t *testing.T) {
	nowhere := func() ([]Network, error) { return nil, nil }
	lonely := func() ([]Network, error) {
		return []Network{{Interface: "lo", Own: netip.MustParsePrefix("10.9.9.7/8"), Loopback: true}}, nil
	}
	dmxA, dmxB := "10.9.9.1:6454 ArtDmx", "10.9.9.2:6454 ArtDmx"
	full := []string{dmxA, dmxA, dmxB, dmxB}
	one := []string{dmxA, dmxB}
	broadcast := []string{"10.9.9.255:6454 ArtSync"}
	each := []string{"10.9.9.1:6454 ArtSync", "10.9.9.2:6454 ArtSync"}
	two := []dmx.Universe{1, 2}
	for _, c := range []struct {
		name      string
		kind      Sync
		universes []dmx.Universe
		networks  func() ([]Network, error)
		all, part []string // ArtDmx of a whole frame, and of one universe
		sync      []string
	}{
		{"none", NoSync, two, here, full, one, nil},
		{"broadcast", SyncBroadcast, two, here, full, one, broadcast},
		{"unicast", SyncUnicast, two, here, full, one, each},
		{"broadcast to nodes on no network of ours", SyncBroadcast, two, nowhere, full, one, each},
		{"broadcast on loopback", SyncBroadcast, two, lonely, full, one, each},
		{"a single universe", SyncBroadcast, []dmx.Universe{1}, here, one, one, nil},
	} {
		sends := syncTo(t, c.kind, c.universes, c.networks)
		for i, got := range sends {
			want := c.all
			if i >= 4 {
				want = c.part
			}
			want = append(append([]string(nil), want...), c.sync...)
			equal(t, c.name, got, want...)
		}
	}
}

// With every frame or never: the keep-alives too carry an ArtSync, or the nodes would hold their output for 4 s.
func TestKeepAlivesCarrySync(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.1", 1)
		f.device("10.9.9.2", 2)
		d := discover(t, f, &listener{})
		o, err := NewOutput(Config{Discovery: d, Universes: []dmx.Universe{1, 2}, Sync: SyncBroadcast, networks: f.networks, dial: f.dial})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		f.said(OpSync)
		for range 20 {
			if err := o.Send(make([]dmx.Frame, 2)); err != nil {
				t.Fatal(err)
			}
			time.Sleep(keepAlive)
		}
		all := f.said(OpSync)
		if len(all) != 20 {
			t.Errorf("%d ArtSync for 20 frames", len(all))
		}
		for _, m := range all {
			if m.to.String() != "10.9.9.255:6454" {
				t.Errorf("an ArtSync to %v", m.to)
			}
		}
		closing(t, o, d)
	})
}
