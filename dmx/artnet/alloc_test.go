package artnet

import (
	"testing"
	"testing/synctest"
	"time"

	"limn/dmx"
	"limn/dmx/dmxtest"
)

// With discovery, syncs and universes that change one at a time, a frame allocates nothing either.
func TestSendToFoundNodesAllocatesNothing(t *testing.T) {
	if dmxtest.Race {
		t.Skip("the race detector allocates")
	}
	synctest.Test(t, func(t *testing.T) {
		f := newFabric()
		f.device("10.9.9.1", 1, 2, 3)
		f.device("10.9.9.2", 4)
		d := discover(t, f, &listener{})
		q := &quietNet{}
		o, err := NewOutput(Config{Discovery: d, Universes: []dmx.Universe{1, 2, 3, 4}, Sync: SyncBroadcast, networks: f.networks, dial: q.dial})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		frames := make([]dmx.Frame, 4)
		k := 0
		if n := testing.AllocsPerRun(200, func() {
			frames[k%4][k%512]++
			k++
			if err := o.Send(frames); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("%v allocations a frame", n)
		}
		// Of every frame the one that changed, its repeats, and an ArtSync.
		if q.taken < 2*201 || o.Sent() < 201 {
			t.Errorf("%d messages, %d ArtDmx", q.taken, o.Sent())
		}
		closing(t, o, d)
	})
}
