package artnet

import (
	"net/netip"
	"slices"
)

// Bounds on what a network's devices can make an output do.
const (
	// maxFound is how many discovered nodes an output sends to.
	maxFound = 512
	// maxPast is of how many that are gone it keeps the sequence numbers, so that they go on when the node returns and
	// it does not take what it gets for old.
	maxPast = 512
)

// follow adapts the output to the nodes of its network. A node that is new gets the present slots at once, if there are any.
func (o *Output) follow(v *view) {
	networks, _ := o.cfg.networks() // not under the lock: it asks the system
	o.sending.Lock()
	defer o.sending.Unlock()
	if o.closed || v.serial < o.seen { // two goroutines bring the first views
		return
	}
	o.seen = v.serial
	o.status.see(o.watch(v))
	if !o.subscribe {
		return
	}
	want := map[netip.Addr][]int{} // universes of each node
	for i, e := range o.encoders {
		for _, a := range v.takers[e.portAddress()] {
			if want[a] == nil && len(want) >= maxFound {
				continue
			}
			want[a] = append(want[a], i)
		}
	}
	port := o.cfg.Discovery.cfg.Port
	for _, d := range o.dests {
		universes, found := want[d.to.Addr()]
		delete(want, d.to.Addr())
		if !found && !d.gone {
			d.gone = true
			d.close()
			d.trouble, d.cut = saying{}, false
		}
		d.gone = !found
		d.turn(func(i int) bool { return slices.Contains(universes, i) })
	}
	fresh := make([]netip.Addr, 0, len(want))
	for a := range want {
		fresh = append(fresh, a)
	}
	slices.SortFunc(fresh, netip.Addr.Compare)
	for _, a := range fresh {
		d := o.newDestination(netip.AddrPortFrom(a, port))
		_, d.local = networkOf(a, networks)
		d.turn(func(i int) bool { return slices.Contains(want[a], i) })
		o.dests = append(o.dests, d)
	}
	o.forget()
	o.place(networks)
	if o.live {
		_ = o.deliver(arrive) // Status tells
	}
	o.tell()
}

// forget lets go of the oldest of too many that are gone.
func (o *Output) forget() {
	past := 0
	for _, d := range o.dests {
		if d.gone {
			past++
		}
	}
	o.dests = slices.DeleteFunc(o.dests, func(d *destination) bool {
		if !d.gone || past <= maxPast {
			return false
		}
		past--
		return true
	})
}
